"""The measures in plain words: names, units, definitions, and sentences about one stroke."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from analysis.force.piece import Spread
from analysis.measures.measures import Measures
from analysis.measures.registry import MEASURES as SPECS
from analysis.measures.spec import MeasureSpec
from app.bundle.wording.words import ENGLISH, Words


@dataclass(frozen=True)
class MeasureWord:
    """How a measure is spoken of.

    Attributes
    ----------
    name : its column in strokes.csv and its key in review.json
    factor : from the stored value to the shown one
    digits : decimals shown
    decimal : what stands before the decimals
    """

    name: str
    title: str
    unit: str
    meaning: str
    digits: int
    factor: float = 1.0
    decimal: str = "."

    def show(self, value: float | None, signed: bool = False) -> str:
        """Give the value as text without its unit; an en dash where there is none."""
        if value is None:
            return "–"
        shown = round(value * self.factor, self.digits) + 0.0  # no minus zero
        # A thin space stands apart in every language; a comma does not.
        text = f"{shown:{'+' if signed else ''},.{self.digits}f}"
        text = text.replace(",", "\u202f").replace("-", "−")
        return text.replace(".", self.decimal)

    def show_difference(self, left: float | None, right: float | None) -> str:
        """Right less left, of the figures shown: a reader who subtracts finds the same."""
        if left is None or right is None:
            return "–"
        apart = round(right * self.factor, self.digits) - round(left * self.factor, self.digits)
        return self.show(apart / self.factor, signed=True)

    def show_spread(self, value: float | None) -> str:
        """Give a spread as text; one too small for the digits shown is not called nothing."""
        step = 10.0**-self.digits
        if value is not None and 0.0 < value * self.factor < step / 2.0:
            return f"<\u00a0{step:.{self.digits}f}".replace(".", self.decimal)
        return self.show(value)

    def with_unit(self, value: float | None) -> str:
        """Give the value as text with its unit, held together."""
        return f"{self.show(value)}\u00a0{self.unit}".rstrip()


def measures_in(words: Words, specs: Sequence[MeasureSpec] = SPECS) -> tuple[MeasureWord, ...]:
    """Give all measures in a language; what it has no words for is said in those of the spec."""
    return tuple(
        MeasureWord(
            spec.key,
            words.get(f"measure_{spec.key}", spec.title),
            spec.unit_shown,
            words.get(f"meaning_{spec.key}", spec.meaning),
            spec.digits,
            spec.factor,
            words["decimal"],
        )
        for spec in specs
    )


MEASURES = measures_in(ENGLISH)
BY_NAME = {m.name: m for m in MEASURES}


def sentences(
    own: Measures, usual: Mapping[str, Spread | None], words: Words = ENGLISH
) -> tuple[str, ...]:
    """Say what the measures of one stroke are, beside the athlete's own mean.

    Parameters
    ----------
    usual : as `analysis.force.piece.summary` gives it; may be empty
    """
    by_name = {m.name: m for m in measures_in(words)}
    said = (
        _pull(own, usual, by_name, words),
        _shape(own, by_name, words),
        _time(own, by_name, words),
    )
    return tuple(s for s in said if s)


_ByName = dict[str, MeasureWord]


def _pull(own: Measures, usual: Mapping[str, Spread | None], by_name: _ByName, words: Words) -> str:
    if own.peak_n is None:
        return ""
    word = by_name["peak_n"]
    text = words["said_pull"].format(peak=word.with_unit(own.peak_n))
    mean = usual.get("peak_n")
    if mean is not None and mean.count > 1:
        gap = round(own.peak_n) - round(mean.mean)
        kind = "same" if gap == 0 else "above" if gap > 0 else "below"
        text += words[f"said_pull_{kind}"].format(gap=word.with_unit(abs(gap)))
    if own.time_to_peak_pct is not None:
        at = by_name["time_to_peak_pct"].with_unit(own.time_to_peak_pct)
        text += words["said_pull_at"].format(at=at)
    return text + "."


def _shape(own: Measures, by_name: _ByName, words: Words) -> str:
    plateau = by_name["plateau_pct"].with_unit(own.plateau_pct)
    share = by_name["mean_to_peak"].with_unit(own.mean_to_peak)
    if own.plateau_pct is not None and own.mean_to_peak is not None:
        return words["said_shape"].format(plateau=plateau, share=share) + "."
    if own.plateau_pct is not None:
        return words["said_plateau"].format(plateau=plateau) + "."
    if own.mean_to_peak is not None:
        return words["said_share"].format(share=share) + "."
    return ""


def _time(own: Measures, by_name: _ByName, words: Words) -> str:
    if own.drive_s is None:
        return ""
    text = words["said_drive"].format(drive=by_name["drive_s"].with_unit(own.drive_s))
    if own.recovery_s is not None:
        recovery = by_name["recovery_s"].with_unit(own.recovery_s)
        text += words["said_recovery"].format(recovery=recovery)
    if own.rate_spm is not None:
        text += words["said_rate"].format(rate=f"{own.rate_spm:.0f}")
    return text + "."
