"""A section of a piece: strokes rowed at like rate and pressure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, Literal

Origin = Literal["found", "coach"]
NOTICED_RATE_SPM: Final = 1.5  # a rate that goes further than this within a section is told so


@dataclass(frozen=True)
class Section:
    """One section.

    Attributes
    ----------
    first, last : indices of its first and last stroke; those between belong to it
    count : whole strokes in it
    start_s, end_s : first catch, and where the last stroke is over, on the clock of the strokes
    rate_spm, mean_n : middle stroke rate and mean force of its whole strokes, None where unknown
    rate_change_spm : rate at its end less that at its begin, along a straight line
    force_change : the same of the mean force, as a share of that at its begin
    name : a coach's own, or what was rowed
    origin : "found", or "coach" where the coach drew it
    """

    first: int
    last: int
    count: int
    start_s: float
    end_s: float
    rate_spm: float | None
    mean_n: float | None
    rate_change_spm: float = 0.0
    force_change: float = 0.0
    name: str = ""
    origin: Origin = "found"

    def holds(self, index: int) -> bool:
        """Whether a stroke belongs to it."""
        return self.first <= index <= self.last

    def as_dict(self) -> dict[str, Any]:
        """Give it as plain values, ready for JSON."""
        return {
            "first": self.first,
            "last": self.last,
            "count": self.count,
            "start_s": self.start_s,
            "end_s": self.end_s,
            "rate_spm": self.rate_spm,
            "mean_n": self.mean_n,
            "rate_change_spm": self.rate_change_spm,
            "force_change": self.force_change,
            "name": self.name,
            "origin": self.origin,
        }


def default_name(
    count: int, rate_spm: float | None, mean_n: float | None, rate_change_spm: float = 0.0
) -> str:
    """Say what was rowed: "20 strokes at 24, about 310 N mean force"."""
    said = "1 stroke" if count == 1 else f"{count} strokes"
    if rate_spm is not None:
        half = 0.5 * rate_change_spm
        said += (
            f" at {rate_spm:.0f}"
            if abs(rate_change_spm) < NOTICED_RATE_SPM
            else f" from {rate_spm - half:.0f} to {rate_spm + half:.0f}"
        )
    if mean_n is not None:
        said += f", about {_rounded(mean_n):.0f} N mean force"
    return said


def _rounded(mean_n: float) -> float:
    return 10.0 * round(mean_n / 10.0) if mean_n >= 100.0 else round(mean_n)


@dataclass(frozen=True)
class SectionChange:
    """What changed from one section to the next: no fault, but what was rowed.

    Attributes
    ----------
    rate_spm : difference of the rates, None where one is not known
    force_share : difference of the mean forces as a share of the earlier one, None as before
    """

    before: Section
    after: Section
    rate_spm: float | None
    force_share: float | None

    @property
    def words(self) -> str:
        """The change in one sentence."""
        parts = []
        if self.rate_spm is not None:
            parts.append(f"rate {self.rate_spm:+.0f} a minute")
        if self.force_share is not None:
            parts.append(f"mean force {100.0 * self.force_share:+.0f} %")
        at = f"From stroke {self.after.first + 1} on"
        return f"{at}: {', '.join(parts)}." if parts else f"{at} another section."


def changes(sections: Sequence[Section]) -> tuple[SectionChange, ...]:
    """Give what changes from each section to the next."""
    return tuple(_change(before, after) for before, after in pairwise(sections))


def _change(before: Section, after: Section) -> SectionChange:
    rate = force = None
    if before.rate_spm is not None and after.rate_spm is not None:
        rate = after.rate_spm - before.rate_spm
    if before.mean_n is not None and after.mean_n is not None and before.mean_n > 0.0:
        force = after.mean_n / before.mean_n - 1.0
    return SectionChange(before, after, rate, force)


def section_of(sections: Sequence[Section], index: int) -> Section | None:
    """The section a stroke belongs to."""
    return next((section for section in sections if section.holds(index)), None)
