"""Where the lines of a mark run, and what it measures. No drawing here."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from app.review.parts.marks import Mark, Point

_ARC_STEP_RAD = math.radians(6.0)


@dataclass(frozen=True)
class Shape:
    """What a painter draws of a mark: open or closed runs of points, and words at a place."""

    runs: tuple[tuple[Point, ...], ...]
    label: str = ""
    label_at: Point = (0.0, 0.0)
    label_from: Point = (0.0, 0.0)  # the label leans away from here


def angle_deg(points_px: Sequence[Point]) -> float:
    """Angle at the second of three points, 0-180 degrees; 0 where an arm has no length."""
    (ax, ay), (bx, by), (cx, cy) = points_px
    ux, uy, vx, vy = ax - bx, ay - by, cx - bx, cy - by
    return abs(math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)))


def length_px(points_px: Sequence[Point]) -> float:
    """Length from the first to the second point, video pixels."""
    (ax, ay), (bx, by) = points_px[:2]
    return math.hypot(bx - ax, by - ay)


def turned(point: Point, size: tuple[float, float], quarter_turns: int, mirrored: bool) -> Point:
    """Where a place of the source is shown after quarter turns clockwise, then the mirror.

    Parameters
    ----------
    size : width and height of the source picture
    """
    (x, y), (width, height) = point, size
    for _ in range(quarter_turns % 4):
        x, y, width, height = height - y, x, height, width
    return (width - x if mirrored else x), y


def straightened(
    kind: str, points_px: tuple[Point, ...], quarter_turns: int, moved: int = 1
) -> tuple[Point, ...]:
    """Make a plumb line upright and a level line level, as the coach sees the picture.

    Parameters
    ----------
    moved : the point that was moved; it gives way and the other one stays
    """
    if kind not in ("plumb", "level") or len(points_px) != 2:
        return points_px
    anchor, free = points_px[1 - moved], points_px[moved]
    upright = (kind == "plumb") == (quarter_turns % 2 == 0)
    free = (anchor[0], free[1]) if upright else (free[0], anchor[1])
    return (anchor, free) if moved else (free, anchor)


def shown_marks(
    marks: Iterable[Mark], frame: int, frame_at: Callable[[float], int]
) -> tuple[Mark, ...]:
    """Marks that stand on a frame: those of its moment, and those whose span it lies in.

    Parameters
    ----------
    frame_at : the number of the frame on screen at a video time (`FrameIndex.at`)
    """
    return tuple(
        mark
        for mark in marks
        if frame_at(mark.video_s)
        <= frame
        <= frame_at(mark.video_s if mark.end_s is None else mark.end_s)
    )


def measure_text(mark: Mark, metres_per_px: float | None) -> str:
    """What a mark says: degrees, a distance, its words; "" for a mark that only shows."""
    if mark.kind == "text":
        return mark.text
    if mark.kind == "angle":
        return f"{angle_deg(mark.points_px):.0f}°"
    if mark.kind == "distance":
        length = length_px(mark.points_px)
        return f"{length:.0f} px" if metres_per_px is None else f"{length * metres_per_px:.2f} m"
    return ""


def shape_of(mark: Mark, metres_per_px: float | None, head_px: float) -> Shape:
    """Lines and words of a mark, in video pixels; every painter draws these.

    Parameters
    ----------
    head_px : video pixels of an arrow's head, so that it looks alike at every zoom
    """
    points = mark.points_px
    label = measure_text(mark, metres_per_px)
    if mark.kind == "text":
        return Shape((), label, points[0], points[0])
    if mark.kind == "circle":
        return Shape((_ellipse(points[0], points[1]),))
    if mark.kind == "arrow":
        return Shape((points, _head(points[0], points[1], head_px)))
    if mark.kind == "distance":
        middle = _between(points[0], points[1], 0.5)
        ends = (_bar(points[1], points[0], head_px), _bar(points[0], points[1], head_px))
        return Shape((points, *ends), label, middle, middle)
    if mark.kind == "angle":
        arc, beyond = _arc(points, head_px)
        return Shape((points, arc), label, beyond, points[1])
    return Shape((points,))


def named(marks: Sequence[Mark], metres_per_px: float | None) -> tuple[str, ...]:
    """Say marks in words, for those who cannot see them: "an angle of 117°"."""
    said = []
    for mark in marks:
        value = measure_text(mark, metres_per_px)
        said.append(
            {
                "line": "a line",
                "arrow": "an arrow",
                "freehand": "a freehand line",
                "circle": "a circle",
                "angle": f"an angle of {value}",
                "plumb": "a plumb line",
                "level": "a level line",
                "text": f"the words “{value}”",
                "distance": f"a distance of {value}",
            }[mark.kind]
        )
    return tuple(said)


def distance_to(point: Point, runs: Iterable[Sequence[Point]]) -> float:
    """How far a point lies from the nearest of some runs of points; infinite from none."""
    nearest = math.inf
    for run in runs:
        if len(run) == 1:
            nearest = min(nearest, math.dist(point, run[0]))
        for a, b in itertools.pairwise(run):
            nearest = min(nearest, _from_segment(point, a, b))
    return nearest


def thinned(points_px: Sequence[Point], tolerance_px: float) -> tuple[Point, ...]:
    """Leave out points of a freehand line that do not change how it looks.

    Ramer 1972, Douglas and Peucker 1973: keep the point farthest from the chord while it is
    farther than the tolerance.
    """
    keep = {0, len(points_px) - 1}
    open_spans = [(0, len(points_px) - 1)]
    while open_spans:
        first, last = open_spans.pop()
        far, at = tolerance_px, -1
        for i in range(first + 1, last):
            away = _from_segment(points_px[i], points_px[first], points_px[last])
            if away > far:
                far, at = away, i
        if at >= 0:
            keep.add(at)
            open_spans += [(first, at), (at, last)]
    return tuple(points_px[i] for i in sorted(keep))


def _from_segment(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    squared = dx * dx + dy * dy
    share = 0.0 if squared == 0 else ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / squared
    return math.dist(p, _between(a, b, min(max(share, 0.0), 1.0)))


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def _ellipse(a: Point, b: Point) -> tuple[Point, ...]:
    middle, rx, ry = _between(a, b, 0.5), abs(b[0] - a[0]) / 2, abs(b[1] - a[1]) / 2
    steps = 64
    turns = [2 * math.pi * i / steps for i in range(steps + 1)]
    return tuple((middle[0] + rx * math.cos(t), middle[1] + ry * math.sin(t)) for t in turns)


def _head(tail: Point, tip: Point, size: float) -> tuple[Point, ...]:
    back = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
    size = min(size, 0.5 * math.dist(tail, tip)) if tail != tip else 0.0
    left, right = (
        (tip[0] + size * math.cos(back + side), tip[1] + size * math.sin(back + side))
        for side in (0.5, -0.5)
    )
    return left, tip, right


def _bar(other: Point, end: Point, size: float) -> tuple[Point, ...]:
    across = math.atan2(end[1] - other[1], end[0] - other[0]) + math.pi / 2
    dx, dy = 0.4 * size * math.cos(across), 0.4 * size * math.sin(across)
    return (end[0] - dx, end[1] - dy), (end[0] + dx, end[1] + dy)


def _arc(points: Sequence[Point], head_px: float) -> tuple[tuple[Point, ...], Point]:
    """Give the arc between the arms of an angle, and a place beyond it for its number."""
    (ax, ay), (bx, by), (cx, cy) = points
    start = math.atan2(ay - by, ax - bx)
    sweep = math.remainder(math.atan2(cy - by, cx - bx) - start, 2 * math.pi)
    shorter = min(math.hypot(ax - bx, ay - by), math.hypot(cx - bx, cy - by))
    radius = min(1.8 * head_px, 0.5 * shorter)
    steps = max(2, math.ceil(abs(sweep) / _ARC_STEP_RAD))
    turns = [start + sweep * i / steps for i in range(steps + 1)]
    arc = tuple((bx + radius * math.cos(t), by + radius * math.sin(t)) for t in turns)
    middle = start + sweep / 2
    return arc, (bx + radius * math.cos(middle), by + radius * math.sin(middle))
