"""Legs, trunk, arms: when each part moves in the drive, and how much of the handle's way it does.

The handle's way is split where the body is jointed: what the seat goes is the legs' part, what the
shoulder goes from the seat the trunk's, and what the handle goes from the shoulder the arms'. The
three add up to the whole by themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.body.angles import BodySeries
from analysis.body.smoothing import CUT_OFF_HZ
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

PARTS: Final = ("legs", "trunk", "arms")
# A part has begun and has ended when it has done these shares of its own way. Common practice,
# no source.
BEGUN, DONE = 0.15, 0.85
# Some leave before the hands turn: what is looked at begins so much before, as a share of the drive
EARLIER = 0.15
LEAST_SHARE = 0.03  # of the handle's way: what does less has no beginning and no end
FINENESS = 201
FEWEST = 3  # strokes from which an interval is told


@dataclass(frozen=True)
class Over:
    """A value over strokes.

    Attributes
    ----------
    middle : median
    low, high : from the tenth to the ninth tenth of the strokes; the median itself for one or two
    """

    middle: float
    low: float
    high: float


@dataclass(frozen=True)
class PartOfDrive:
    """What one part of the body does in the drive.

    Attributes
    ----------
    name : of `PARTS`
    start, peak, end : percent of the drive's time, from the hands' turn to the finish turn; begun,
        fastest, done; None where the part does next to nothing
    share : percent of the handle's way; below 0 where the part goes against it
    """

    name: str
    start: Over | None
    peak: Over | None
    end: Over | None
    share: Over


@dataclass(frozen=True)
class Order:
    """The order of movement over the strokes of a film.

    Attributes
    ----------
    parts : legs, trunk, arms
    strokes : how many it is taken from
    share_sd : percent of the handle's way by which any share may be off for all strokes alike
    """

    parts: tuple[PartOfDrive, ...]
    strokes: int
    share_sd: float | None = None

    def part(self, name: str) -> PartOfDrive:
        """Give one of the three."""
        return next(part for part in self.parts if part.name == name)


def order_of(body: BodySeries, strokes: Sequence[Stroke]) -> Order | None:
    """Tell the order of movement; None where hip, shoulder or handle are not known in any stroke.

    Half strokes are left out.
    """
    calm = body.calm(CUT_OFF_HZ)
    rows = [_stroke(calm, stroke) for stroke in strokes if not stroke.remark]
    known = np.array([row for row in rows if row is not None])
    if len(known) == 0:
        return None
    parts = []
    for i, name in enumerate(PARTS):
        start, peak, end, share = known[:, i].T
        moves = np.isfinite(start)
        if 2 * int(moves.sum()) < len(known):
            parts.append(PartOfDrive(name, None, None, None, _over(share)))
            continue
        begun, fastest, done = (_over(values[moves]) for values in (start, peak, end))
        parts.append(PartOfDrive(name, begun, fastest, done, _over(share)))
    return Order(tuple(parts), len(known), _share_sd(body, strokes))


def _stroke(body: BodySeries, stroke: Stroke) -> FloatArray | None:
    """Start, peak, end and share of each part in one drive: (3, 4), percent."""
    along = np.linspace(-EARLIER, 1.05, FINENESS)
    drive_s = stroke.finish_s - stroke.catch_s
    at_s = stroke.catch_s + along * drive_s
    seat = "hip_m" if np.isnan(body.seat_m).all() else "seat_m"
    where = [body.at(name, at_s) for name in (seat, "shoulder_m", "handle_m")]
    inside = (along >= 0.0) & (along <= 1.0)
    if any(np.isnan(row[inside]).any() for row in where):
        return None
    ways = (where[0], where[1] - where[0], where[2] - where[1])
    ends = np.interp((0.0, 1.0), along, where[2])
    whole = float(ends[1] - ends[0])
    return np.array([_part(along, way, whole) for way in ways]) if whole > 0.0 else None


def _part(along: FloatArray, way: FloatArray, whole: float) -> FloatArray:
    first, last = np.interp((0.0, 1.0), along, way)
    share = float(last - first) / whole
    if share < LEAST_SHARE:
        return np.array((np.nan, np.nan, np.nan, 100.0 * share))
    # From the last moment of rest before it goes: what leads back at first is not its start.
    known = np.isfinite(way)
    along, way = along[known], way[known]
    top = int(way.argmax())
    bottom = int(way[: top + 1].argmin())
    done = (way - way[bottom]) / max(float(way[top] - way[bottom]), 1e-9)
    start = _crossing(along, done, BEGUN, bottom, top)
    end = _crossing(along, done, DONE, bottom, top)
    speed = np.gradient(way, along)
    fastest = float(along[bottom + int(speed[bottom : top + 1].argmax())])
    return 100.0 * np.array((start, fastest, end, share))


def _crossing(along: FloatArray, done: FloatArray, level: float, low: int, high: int) -> float:
    """When a way last passes a level on its way up."""
    below = np.flatnonzero(done[low : high + 1] < level)
    if len(below) == 0:
        return float(along[low])
    i = min(low + int(below[-1]), len(along) - 2)
    step = float(done[i + 1] - done[i])
    share = (level - float(done[i])) / step if step > 0.0 else 0.0
    return float(along[i] + share * (along[i + 1] - along[i]))


def _over(values: FloatArray) -> Over:
    middle = float(np.median(values))
    if len(values) < FEWEST:
        return Over(middle, middle, middle)
    low, high = np.percentile(values, (10.0, 90.0))
    return Over(middle, float(low), float(high))


def _share_sd(body: BodySeries, strokes: Sequence[Stroke]) -> float | None:
    """What an error of the shoulder that comes with every stroke makes of a share, percent."""
    from analysis.body.error_parts import RETURNING

    sd = body.sd.get("shoulder_m")
    if sd is None:
        return None
    ends = np.array([(s.catch_s, s.finish_s) for s in strokes if not s.remark])
    way = np.nanmedian(np.diff(body.at("handle_m", ends), axis=1))
    # Catch and finish lie half a stroke apart at the most, where such an error turns its sign.
    return float(100.0 * 2.0 * RETURNING * np.nanmedian(sd) / way)
