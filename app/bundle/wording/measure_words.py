"""The measures in plain words: names, units, definitions, and sentences about one stroke."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.force.measures import Measures
from analysis.force.piece import Spread
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

    def show_spread(self, value: float | None) -> str:
        """Give a spread as text; one too small for the digits shown is not called nothing."""
        step = 10.0**-self.digits
        if value is not None and 0.0 < value * self.factor < step / 2.0:
            return f"<\u00a0{step:.{self.digits}f}".replace(".", self.decimal)
        return self.show(value)

    def with_unit(self, value: float | None) -> str:
        """Give the value as text with its unit, held together."""
        return f"{self.show(value)}\u00a0{self.unit}".rstrip()


# Unit, digits shown and factor of each, in the order of the table.
_SHOWN: tuple[tuple[str, str, int, float], ...] = (
    ("drive_s", "s", 2, 1.0),
    ("recovery_s", "s", 2, 1.0),
    ("rhythm", "", 2, 1.0),
    ("rate_spm", "/min", 1, 1.0),
    ("peak_n", "N", 0, 1.0),
    ("mean_n", "N", 0, 1.0),
    ("impulse_ns", "N s", 0, 1.0),
    ("mean_to_peak", "%", 0, 100.0),
    ("time_to_peak_pct", "%", 0, 1.0),
    ("length_to_peak_pct", "%", 0, 1.0),
    ("rfd_n_per_s", "N/s", 0, 1.0),
    ("plateau_pct", "%", 0, 1.0),
    ("length_m", "m", 2, 1.0),
    ("work_j", "J", 0, 1.0),
)


def measures_in(words: Words) -> tuple[MeasureWord, ...]:
    """Give all measures in a language."""
    return tuple(
        MeasureWord(
            name,
            words[f"measure_{name}"],
            unit,
            words[f"meaning_{name}"],
            digits,
            factor,
            words["decimal"],
        )
        for name, unit, digits, factor in _SHOWN
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
