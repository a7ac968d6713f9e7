"""Whether two pieces were rowed alike enough to be compared: rate, pressure, how it was seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from analysis.following_up.summaries import PieceSummary, SectionSummary

# Beyond these two sections are unlike: the steps at which a piece is cut into sections as well
# (analysis/sections). Common practice, no source.
LIKE_RATE_SPM: Final = 1.5
LIKE_FORCE: Final = 0.12
FEWEST: Final = 8  # whole strokes a side; fewer say nothing of how they vary. Common practice

# How many percent a measure may go with one percent of stroke rate, whatever the athlete learned.
# The recovery takes up most of what a stroke is shortened by; for the others one for one is more
# than the simulated athlete shows (tests/benchmarks/follow_up_rates.py). Common practice.
WITH_RATE: Final = {"recovery_s": 1.7, "rhythm": 1.7, "drive_s": 1.0}
WITH_RATE_ELSE: Final = 1.0
# ... and with one percent of pressure: forces and what is made of them go with it.
WITH_FORCE: Final = {
    "peak_n": 1.0, "impulse_ns": 1.0, "rfd_n_per_s": 1.0, "work_j": 1.0, "mean_power_w": 1.3,
    "peak_power_w": 1.3, "drive_s": 0.5, "rhythm": 0.5,
}  # fmt: skip
WITH_FORCE_ELSE: Final = 0.25
# What is chosen to be rowed, and so no result of it.
CHOSEN: Final = ("rate_spm", "mean_n")


@dataclass(frozen=True)
class LikeSections:
    """Two sections that may be compared.

    Attributes
    ----------
    rate_apart, force_apart : differences that remain, as shares of last time; 0 where unknown
    """

    before: SectionSummary
    after: SectionSummary
    rate_apart: float
    force_apart: float

    @property
    def count(self) -> int:
        """Whole strokes of the side that has fewer."""
        return min(self.before.count, self.after.count)

    def allowance(self, key: str, mean: float) -> float:
        """How far a measure may differ by rate and pressure alone, in its own unit."""
        rate = WITH_RATE.get(key, WITH_RATE_ELSE) * self.rate_apart
        force = WITH_FORCE.get(key, WITH_FORCE_ELSE) * self.force_apart
        return abs(mean) * (rate + force)


@dataclass(frozen=True)
class Conditions:
    """What was rowed then and now.

    Attributes
    ----------
    pair : the like sections with most strokes, None where there are none
    why_not : a sentence where there are none
    remarks : sentences about what may differ beyond that
    """

    pair: LikeSections | None
    why_not: str = ""
    remarks: tuple[str, ...] = ()


def conditions_of(before: PieceSummary, after: PieceSummary) -> Conditions:
    """Find what of two pieces may be compared, before anything is."""
    if before.analysis_version != after.analysis_version:
        return Conditions(None, "The two were measured by different versions; save both again.")
    if not before.source or not after.source:
        return Conditions(None, "One of the two has no strokes to compare.")
    if before.source != after.source:
        return Conditions(
            None,
            "One was measured by the force and one from the picture alone, where strokes begin "
            "at another moment.",
        )
    pairs = [
        pair for b in before.sections for a in after.sections if (pair := like(b, a)) is not None
    ]
    if not pairs:
        return Conditions(None, _unlike(before, after))
    best = max(pairs, key=lambda pair: pair.count)
    return Conditions(best, "", _remarks(best))


def like(before: SectionSummary, after: SectionSummary) -> LikeSections | None:
    """Pair two sections of like rate and pressure with enough strokes; None otherwise."""
    if min(before.count, after.count) < FEWEST:
        return None
    if before.rate_spm is None or after.rate_spm is None or before.rate_spm <= 0.0:
        return None
    if abs(after.rate_spm - before.rate_spm) > LIKE_RATE_SPM:
        return None
    force = 0.0
    if (before.mean_n is None) != (after.mean_n is None):
        return None
    if before.mean_n is not None and after.mean_n is not None:
        if before.mean_n <= 0.0:
            return None
        force = abs(after.mean_n / before.mean_n - 1.0)
        if force > LIKE_FORCE:
            return None
    rate = abs(after.rate_spm / before.rate_spm - 1.0)
    return LikeSections(before, after, rate, force)


def _unlike(before: PieceSummary, after: PieceSummary) -> str:
    then, now = _rowed(before), _rowed(after)
    if not then or not now:
        few = "last time" if not then else "this time"
        return f"Fewer than {FEWEST} whole strokes of a known rate were rowed {few}."
    return (
        f"Nothing was rowed alike: {now} this time, {then} last time. Have the next piece rowed "
        "like the one before."
    )


def _rowed(piece: PieceSummary) -> str:
    said = []
    for section in piece.sections:
        if section.count >= FEWEST and section.rate_spm is not None:
            force = "" if section.mean_n is None else f" and {section.mean_n:.0f} N"
            said.append(f"{section.rate_spm:.1f} a minute{force}")
    return ", ".join(said)


def _remarks(pair: LikeSections) -> tuple[str, ...]:
    before, after = pair.before, pair.after
    said = []
    if before.rate_spm is not None and after.rate_spm is not None and pair.rate_apart > 0.01:
        said.append(
            f"Rate {after.rate_spm:.1f}, last time {before.rate_spm:.1f}; what that alone may "
            "change is allowed for."
        )
    if before.mean_n is not None and after.mean_n is not None and pair.force_apart > 0.02:
        said.append(
            f"Mean force {after.mean_n:.0f} N, last time {before.mean_n:.0f} N; what that alone "
            "may change is allowed for."
        )
    if before.mean_n is None:
        said.append("How hard was pulled is not known without a force recording.")
    return tuple(said)
