"""What is level in the picture, all along a film: the seat runs on a rail that does not move."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

# The line is found anew over so long, so that a camera that creeps is followed. Two strokes and
# more lie in it, which a line needs. Common practice, no source.
WINDOW_S = 12.0
FEWEST = 30  # samples of the seat a line is drawn through
# The seat must run so many times as far as it rises and falls about its line.
STRAIGHT = 6.0
MOST_ROLL_DEG = 12.0
# Rails slope a little by themselves. Common practice, no source.
RAIL_SD_RAD = float(np.radians(1.0))
UNLEVELLED_SD_RAD = float(np.radians(2.0))  # nobody holds a camera straighter


@dataclass(frozen=True, eq=False)
class Level:
    """The line of the seat at T instants.

    Attributes
    ----------
    roll_rad : (T,) how far the picture must be turned to be level
    height_px : (T,) of the line at the middle of the seat's way, upwards
    middle_px : where that middle is, along the picture
    found : False where no line was found: level is then what the picture calls level
    """

    roll_rad: FloatArray
    height_px: FloatArray
    middle_px: float
    found: bool

    @property
    def sd_rad(self) -> float:
        """How sure the level is."""
        return RAIL_SD_RAD if self.found else UNLEVELLED_SD_RAD

    def turned(self, along_px: FloatArray, up_px: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Turn points (T, ...) level and count them from the line of the seat."""
        shape = (len(self.roll_rad), *(1,) * (along_px.ndim - 1))
        cos, sin = np.cos(self.roll_rad).reshape(shape), np.sin(self.roll_rad).reshape(shape)
        x, y = along_px - self.middle_px, up_px - self.height_px.reshape(shape)
        return x * cos + y * sin, y * cos - x * sin


def level_of(time_s: FloatArray, along_px: FloatArray, up_px: FloatArray) -> Level:
    """Find the line a seat runs on, anew every few strokes.

    Parameters
    ----------
    time_s : (T,) s
    along_px, up_px : (T,) the seat, upwards positive; NaN where it is not known
    """
    known = np.isfinite(along_px) & np.isfinite(up_px)
    middle = float(np.median(along_px[known])) if known.any() else 0.0
    centres, slopes, heights = [], [], []
    for at_s in _centres(time_s):
        inside = known & (np.abs(time_s - at_s) <= 0.5 * WINDOW_S)
        line = _line(along_px[inside] - middle, up_px[inside], time_s[inside] - at_s)
        if line is not None:
            centres.append(at_s)
            slopes.append(line[0])
            heights.append(line[1])
    if not centres or abs(np.degrees(np.arctan(np.median(slopes)))) > MOST_ROLL_DEG:
        flat = np.zeros(len(time_s))
        return Level(flat, flat, middle, found=False)
    return Level(
        np.arctan(_going_on(time_s, centres, slopes)),
        _going_on(time_s, centres, heights),
        middle,
        found=True,
    )


def _going_on(time_s: FloatArray, at_s: list[float], values: list[float]) -> FloatArray:
    """Straight lines through some values, which go on beyond the first and the last."""
    if len(at_s) < 2:
        return np.full(len(time_s), values[0])
    from scipy.interpolate import make_interp_spline

    line: FloatArray = make_interp_spline(at_s, values, k=1)(time_s)
    return line


def _centres(time_s: FloatArray) -> FloatArray:
    if len(time_s) == 0:
        return time_s
    half = 0.5 * WINDOW_S
    first, last = float(time_s[0]) + half, float(time_s[-1]) - half
    if last <= first:
        return np.array([0.5 * float(time_s[0] + time_s[-1])])
    return np.linspace(first, last, int(np.ceil((last - first) / half)) + 1)


def _line(along: FloatArray, up: FloatArray, since_s: FloatArray) -> tuple[float, float] | None:
    """Slope and height, in the middle of the window, of a straight line that may drift."""
    if len(along) < FEWEST:
        return None
    terms = np.stack((along, np.ones_like(along), since_s), axis=1)
    near = np.ones(len(along), dtype=np.bool_)
    for _ in range(2):
        found = np.linalg.lstsq(terms[near], up[near], rcond=None)[0]
        off = np.abs(up - terms @ found)
        near = off <= 3.0 * 1.4826 * np.median(off) + 1e-9
    if float(np.ptp(along)) < STRAIGHT * float(np.std(up[near] - terms[near] @ found)):
        return None
    return float(found[0]), float(found[1])
