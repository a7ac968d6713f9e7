"""The measures in plain words: names, units, definitions, and sentences about one stroke."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.force.measures import Measures
from analysis.force.piece import Spread


@dataclass(frozen=True)
class MeasureWord:
    """How a measure is spoken of.

    Attributes
    ----------
    name : its column in strokes.csv and its key in review.json
    factor : from the stored value to the shown one
    digits : decimals shown
    """

    name: str
    title: str
    unit: str
    meaning: str
    digits: int
    factor: float = 1.0

    def show(self, value: float | None, signed: bool = False) -> str:
        """Give the value as text without its unit; an en dash where there is none."""
        if value is None:
            return "–"
        shown = round(value * self.factor, self.digits) + 0.0  # no minus zero
        # A thin space stands apart in every language; a comma does not.
        text = f"{shown:{'+' if signed else ''},.{self.digits}f}"
        return text.replace(",", "\u202f").replace("-", "−")

    def show_spread(self, value: float | None) -> str:
        """Give a spread as text; one too small for the digits shown is not called nothing."""
        step = 10.0**-self.digits
        if value is not None and 0.0 < value * self.factor < step / 2.0:
            return f"<\u00a0{step:.{self.digits}f}"
        return self.show(value)

    def with_unit(self, value: float | None) -> str:
        """Give the value as text with its unit, held together."""
        return f"{self.show(value)}\u00a0{self.unit}".rstrip()


MEASURES: tuple[MeasureWord, ...] = (
    MeasureWord("drive_s", "Drive time", "s", "From the catch to the finish.", 2),
    MeasureWord("recovery_s", "Recovery time", "s", "From the finish to the next catch.", 2),
    MeasureWord(
        "rhythm", "Rhythm", "", "Recovery time divided by drive time: 2 means twice as long.", 2
    ),
    MeasureWord("rate_spm", "Stroke rate", "/min", "Strokes per minute, catch to catch.", 1),
    MeasureWord("peak_n", "Peak force", "N", "The hardest pull on the handle in the drive.", 0),
    MeasureWord("mean_n", "Mean force", "N", "The pull on the handle averaged over the drive.", 0),
    MeasureWord("impulse_ns", "Impulse", "N s", "Force times time, added up over the drive.", 0),
    MeasureWord(
        "mean_to_peak",
        "Mean-to-peak ratio",
        "%",
        "Mean force as a share of peak force: the fuller the curve, the higher.",
        0,
        100.0,
    ),
    MeasureWord("time_to_peak_pct", "Time to peak", "%", "Share of drive time until the peak.", 0),
    MeasureWord(
        "length_to_peak_pct", "Length to peak", "%", "Share of drive length until the peak.", 0
    ),
    MeasureWord(
        "rfd_n_per_s",
        "Rate of force development",
        "N/s",
        "How fast force grows at its fastest, over 50 ms of the build-up.",
        0,
    ),
    MeasureWord(
        "plateau_pct", "Plateau", "%", "Share of drive time spent at 90 % of the peak or more.", 0
    ),
    MeasureWord("length_m", "Drive length", "m", "How far the handle travels in the drive.", 2),
    MeasureWord(
        "work_j", "Work per stroke", "J", "Force times travel, added up over the drive.", 0
    ),
)
BY_NAME = {m.name: m for m in MEASURES}


def sentences(own: Measures, usual: dict[str, Spread | None]) -> tuple[str, ...]:
    """Say what the measures of one stroke are, beside the athlete's own mean.

    Parameters
    ----------
    usual : as `analysis.force.piece.summary` gives it; may be empty
    """
    said = (_pull(own, usual), _shape(own), _time(own))
    return tuple(s for s in said if s)


def _pull(own: Measures, usual: dict[str, Spread | None]) -> str:
    if own.peak_n is None:
        return ""
    word = BY_NAME["peak_n"]
    text = f"Your hardest pull was {word.with_unit(own.peak_n)}"
    mean = usual.get("peak_n")
    if mean is not None and mean.count > 1:
        gap = round(own.peak_n) - round(mean.mean)
        if gap == 0:
            text += ", the same as your mean"
        else:
            text += f", {word.with_unit(abs(gap))} {'above' if gap > 0 else 'below'} your mean"
    if own.time_to_peak_pct is not None:
        text += f"; it came {own.time_to_peak_pct:.0f}\u00a0% of the way through the drive"
    return text + "."


def _shape(own: Measures) -> str:
    parts = []
    if own.plateau_pct is not None:
        parts.append(f"you held close to it for {own.plateau_pct:.0f}\u00a0% of the drive")
    if own.mean_to_peak is not None:
        share = BY_NAME["mean_to_peak"].with_unit(own.mean_to_peak)
        parts.append(f"your mean pull was {share} of it")
    text = " and ".join(parts)
    return text[:1].upper() + text[1:] + "." if text else ""


def _time(own: Measures) -> str:
    if own.drive_s is None:
        return ""
    text = f"The drive took {BY_NAME['drive_s'].with_unit(own.drive_s)}"
    if own.recovery_s is not None:
        text += f" and the recovery {BY_NAME['recovery_s'].with_unit(own.recovery_s)}"
    if own.rate_spm is not None:
        text += f", at {own.rate_spm:.0f} strokes a minute"
    return text + "."
