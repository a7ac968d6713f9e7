"""What a rule hands over: which strokes show it, how much, where, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.findings.finding import Effect
from analysis.signals.signal import FloatArray


@dataclass(frozen=True)
class Raised:
    """One rule's answer over S strokes.

    Attributes
    ----------
    shows : (S,) strokes that show it
    values : (S,) the measure of each stroke, in `unit`; NaN where not measurable
    threshold : what the values are held against
    strong : value from which the severity is 1
    percent_from, percent_to : (S,) span of the drive, percent
    look_s : (S,) moment to look at, on the clock of the rule's own signal
    effect : what it costs in the strokes that show it
    whole_piece : the finding speaks of the piece, its share is not what raises it
    on_video : `look_s` is on the video clock
    """

    code: str
    measure: str
    unit: str
    shows: NDArray[np.bool_]
    values: FloatArray
    threshold: float
    strong: float
    percent_from: FloatArray
    percent_to: FloatArray
    look_s: FloatArray
    effect: Effect = field(default_factory=Effect)
    whole_piece: bool = False
    on_video: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def value(self) -> float:
        """Median of the strokes that show it."""
        return float(np.median(self.values[self.shows]))

    @property
    def severity(self) -> float:
        """0 at the threshold, 1 where the table calls it strong, in between in a straight line."""
        away = self.strong - self.threshold
        share = (self.value - self.threshold) / away if away else 1.0
        return float(np.clip(share, 0.0, 1.0))

    @property
    def clearest(self) -> int:
        """Row of the stroke that shows it most clearly."""
        sign = 1.0 if self.strong >= self.threshold else -1.0
        clear = np.where(self.shows & np.isfinite(self.values), sign * self.values, -np.inf)
        return int(np.argmax(clear))


def over_shown(values: FloatArray, shows: NDArray[np.bool_]) -> float:
    """Median over the strokes that show it, 0 or more."""
    return max(0.0, float(np.median(values[shows]))) if shows.any() else 0.0


def late_in_most(values: FloatArray, limit: float) -> NDArray[np.bool_]:
    """Strokes beyond a limit, none where it is not most of them: (S,).

    Recoveries differ from stroke to stroke: a third of even ones may lie beyond a limit near 50.
    """
    shows: NDArray[np.bool_] = np.nan_to_num(values, nan=0.0) > limit
    known = int(np.isfinite(values).sum())
    return shows if 2 * int(shows.sum()) > known else np.zeros_like(shows)
