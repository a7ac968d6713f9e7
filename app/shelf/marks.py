"""Marks told by what carries over to another athlete, and drawn again on that one's frame."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from app.review.parts.curve_marks import CurveMark, new_curve_mark
from app.review.parts.marks import Mark, Point, new_mark
from app.shelf.explanation import Anchored, KeptCurveMark, KeptMark
from app.shelf.frames import SeenFrame

# A point of a mark this near to one of the body was meant for that one; common practice, no source.
REACH_SHANKS: Final = 0.5
# Each of their points may follow another point of the body; all others keep their shape.
_JOINTED: Final = ("line", "arrow", "angle", "distance")
_FURTHEST: Final = 50.0  # widths, shanks or rails; nothing a coach draws lies as far away


def kept_mark(mark: Mark, frame: SeenFrame, note_s: float) -> KeptMark:
    """Tell a mark by the frame it stands on.

    Parameters
    ----------
    frame : of the note's moment
    note_s : that moment
    """
    width, height = frame.size_px
    spans = mark.end_s is not None
    return KeptMark(
        mark.kind,
        mark.colour,
        mark.text,
        tuple((x / width, y / height) for x, y in mark.points_px),
        _on_body(mark, frame) if frame.has_body else (),
        _on_rail(mark.points_px, frame.rail) if frame.rail is not None else (),
        mark.video_s - note_s if spans else 0.0,
        mark.end_s - mark.video_s if mark.end_s is not None else None,
    )


def placed_mark(kept: KeptMark, frame: SeenFrame, note_s: float) -> tuple[Mark, str]:
    """Draw a kept mark on a frame.

    Returns
    -------
    Mark, str
        The mark, and what it was placed by: "body", "machine" or "picture".
    """
    points, by = _placed(kept, frame)
    begins_s = max(note_s + kept.begins_s, 0.0)
    end_s = None if kept.lasts_s is None else begins_s + kept.lasts_s
    return new_mark(kept.kind, points, begins_s, end_s, kept.colour, kept.text), by


def kept_curve_mark(mark: CurveMark, peak_n: float) -> KeptCurveMark:
    """Tell a mark on the curve by the drive and the peak of the curve it was drawn on."""
    points = tuple((percent, force_n / peak_n) for percent, force_n in mark.points)
    return KeptCurveMark(
        mark.kind, mark.axis, mark.colour, mark.text, points, mark.stroke is not None
    )


def placed_curve_mark(kept: KeptCurveMark, peak_n: float, stroke: int | None) -> CurveMark:
    """Draw it again on a curve of another peak.

    Parameters
    ----------
    stroke : whose it becomes where it belonged to one stroke
    """
    points = tuple((percent, share * peak_n) for percent, share in kept.points)
    of = stroke if kept.of_stroke else None
    return new_curve_mark(kept.kind, kept.axis, points, kept.colour, of, kept.text)


def _placed(kept: KeptMark, frame: SeenFrame) -> tuple[tuple[Point, ...], str]:
    shank = frame.shank_px
    if kept.on_body and shank is not None and all(a.point in frame.points for a in kept.on_body):
        return tuple(_beside(a, frame.points, shank, frame.facing) for a in kept.on_body), "body"
    if kept.on_machine and frame.rail is not None:
        return tuple(_off_rail(point, frame.rail) for point in kept.on_machine), "machine"
    width, height = frame.size_px
    return tuple((x * width, y * height) for x, y in kept.in_picture), "picture"


def _on_body(mark: Mark, frame: SeenFrame) -> tuple[Anchored, ...]:
    """Each point beside a point of the body."""
    assert frame.shank_px is not None
    names = _anchors(mark, frame.points, REACH_SHANKS * frame.shank_px)
    told = []
    for name, (x, y) in zip(names, mark.points_px, strict=True):
        at_x, at_y = frame.points[name]
        forward = frame.facing * (x - at_x) / frame.shank_px
        told.append(Anchored(name, forward, (at_y - y) / frame.shank_px))
    far = any(max(abs(a.forward), abs(a.up)) > _FURTHEST for a in told)
    return () if far else tuple(told)


def _anchors(mark: Mark, points: Mapping[str, Point], reach_px: float) -> list[str]:
    """Which point of the body each point of a mark follows.

    A joint the coach pointed at is followed; what points away from it goes with that joint. What
    is drawn around something keeps its shape.
    """
    middle = _middle(mark.points_px)
    near = [_nearest(point, points) for point in mark.points_px]
    held = [i for i, (_name, away) in enumerate(near) if away <= reach_px]
    if mark.kind not in _JOINTED or not held:
        return [_nearest(middle, points)[0]] * len(mark.points_px)
    return [
        near[i if i in held else min(held, key=lambda h: math.dist(mark.points_px[h], point))][0]
        for i, point in enumerate(mark.points_px)
    ]


def _nearest(at: Point, points: Mapping[str, Point]) -> tuple[str, float]:
    name = min(points, key=lambda n: math.dist(points[n], at))
    return name, math.dist(points[name], at)


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _y in points) / len(points), sum(y for _x, y in points) / len(points)


def _beside(place: Anchored, points: Mapping[str, Point], shank_px: float, facing: int) -> Point:
    x, y = points[place.point]
    return x + facing * place.forward * shank_px, y - place.up * shank_px


def _on_rail(points: Sequence[Point], rail: tuple[Point, Point]) -> tuple[Point, ...]:
    (x0, y0), along, up, length = _axes(rail)
    told = []
    for x, y in points:
        dx, dy = (x - x0) / length, (y - y0) / length
        told.append((dx * along[0] + dy * along[1], dx * up[0] + dy * up[1]))
    far = any(max(abs(x), abs(y)) > _FURTHEST for x, y in told)
    return () if far else tuple(told)


def _off_rail(place: Point, rail: tuple[Point, Point]) -> Point:
    (x0, y0), along, up, length = _axes(rail)
    back, above = place
    return (
        x0 + length * (back * along[0] + above * up[0]),
        y0 + length * (back * along[1] + above * up[1]),
    )


def _axes(rail: tuple[Point, Point]) -> tuple[Point, Point, Point, float]:
    """Where the rail begins, its direction, what is up from it, and its length in pixels."""
    (x0, y0), (x1, y1) = rail
    length = math.hypot(x1 - x0, y1 - y0)
    along = ((x1 - x0) / length, (y1 - y0) / length)
    up = (along[1], -along[0]) if along[0] >= 0.0 else (-along[1], along[0])
    return (x0, y0), along, up, length
