"""The drive in a curve that was read: where it begins and ends, and its force at each percent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.force.curves import PERCENT, Axis
from analysis.reading_pictures.flattening import PictureError, Points
from analysis.reading_pictures.reading import Reading
from analysis.reading_pictures.scales import IN_NEWTONS, AlongUnit, ForceUnit

END_SHARE: Final = 0.05  # of the peak: there a drive begins and ends, as in every force file
# A curve may begin so high, as share of its peak, and still show its whole drive: plots clip, and
# the ends of a line run into the axis. Common practice, no source.
WHOLE_SHARE: Final = 0.2
_LONGEST_BRIDGE: Final = 1.5  # percent of the drive: a gap between two points of the curve is none
_AXES: Final[dict[str, Axis]] = {
    "s": "time",
    "ms": "time",
    "% of drive": "time",
    "m": "length",
    "% of length": "length",
}


@dataclass(frozen=True, eq=False)
class ReadDrive:
    """The force of one drive, read from a picture.

    Attributes
    ----------
    axis : what the percent are of; None where the picture does not say
    values, sd : (101,) at 0, 1 ... 100 % of the drive; newtons, or shares of the peak where the
        picture has no scale; NaN in gaps
    has_scale : whether they are newtons
    extent : of the drive, seconds or metres; None where the axis has no such unit
    remarks : sentences for the coach
    """

    axis: Axis | None
    values: Points
    sd: Points
    has_scale: bool
    extent: float | None
    remarks: tuple[str, ...] = ()


def drive_of(reading: Reading, along: AlongUnit, force: ForceUnit) -> ReadDrive:
    """Cut the drive out of a curve and give it at every percent.

    It begins and ends where the force crosses 5 % of the curve's peak; where the lower axis is in
    percent, it is the axis that says.

    Raises
    ------
    PictureError
        There is no drive in it.
    """
    known = np.isfinite(reading.values)
    x, y, sd = (part[known] for part in (reading.along, reading.values, reading.sd))
    if len(x) < 3 or not float(np.max(y)) > 0.0:
        raise PictureError(
            "The curve does not rise above zero; check the values of the upright axis and which of"
            " its ticks is which."
        )
    peak = float(np.max(y))
    start, end, remarks = _ends(x, y, peak, along)
    percent = 100.0 * (x - start) / (end - start)
    unit = IN_NEWTONS[force] if force else 1.0 / peak
    values, spread = (_at_percents(percent, part) * unit for part in (np.maximum(y, 0.0), sd))
    missing = int(np.isnan(values).sum())
    if missing > len(PERCENT) // 2:
        raise PictureError("More than half of the drive is not in the picture; read more of it.")
    if missing:
        remarks += (f"{missing} % of the drive cannot be seen in the picture and is left open.",)
    per = 0.001 if along == "ms" else 1.0
    extent = (end - start) * per if along in ("s", "ms", "m") else None
    return ReadDrive(_AXES.get(along), values, spread, bool(force), extent, remarks)


def _ends(
    x: Points, y: Points, peak: float, along: AlongUnit
) -> tuple[float, float, tuple[str, ...]]:
    if along.startswith("%"):
        return 0.0, 100.0, ()
    top, level = int(np.argmax(y)), END_SHARE * peak
    below, after = np.flatnonzero(y[:top] <= level), top + np.flatnonzero(y[top:] <= level)
    start = _crossing(x, y, int(below[-1]), level) if len(below) else float(x[0])
    end = _crossing(x, y, int(after[0]) - 1, level) if len(after) else float(x[-1])
    if not end > start:
        raise PictureError("The curve only rises, or only falls; read the whole drive.")
    remarks = []
    for reached, value, words in (
        (len(below), y[0], "begins"),
        (len(after), y[-1], "ends"),
    ):
        if not reached and value > WHOLE_SHARE * peak:
            share = 100.0 * value / peak
            remarks.append(
                f"The curve {words} at {share:.0f} % of its peak: perhaps a part of the drive is"
                " missing."
            )
    return start, end, tuple(remarks)


def _crossing(x: Points, y: Points, before: int, level: float) -> float:
    """Where the straight line from one point to the next crosses a level."""
    step = y[before + 1] - y[before]
    share = (level - y[before]) / step if step else 0.0
    return float(x[before] + np.clip(share, 0.0, 1.0) * (x[before + 1] - x[before]))


def _at_percents(percent: Points, values: Points) -> Points:
    """Values at 0, 1 ... 100 %, NaN further than a little from any that is known."""
    out: Points = np.interp(PERCENT, percent, values)
    after = np.clip(np.searchsorted(percent, PERCENT), 1, len(percent) - 1)
    wide = percent[after] - percent[after - 1] > _LONGEST_BRIDGE
    inside = (percent[after - 1] < PERCENT) & (percent[after] > PERCENT)
    beyond = (percent[0] - _LONGEST_BRIDGE > PERCENT) | (percent[-1] + _LONGEST_BRIDGE < PERCENT)
    out[(wide & inside) | beyond] = np.nan
    return out
