"""A mark on the picture as shapes: its lines on a dark casing, its words on a plate beside it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from app.review import mark_shapes
from app.review.mark_shapes import shape_of
from app.review.parts.marks import CASING, MARK_COLOURS, Mark, Point
from app.scene.shapes import Line, Measure, Palette, Rect, Shape, Text

PALETTE: Palette = {**MARK_COLOURS, "casing": CASING, "words": "#ffffff"}


@dataclass(frozen=True)
class MarkLook:
    """How large marks are drawn, in pixels of what they are drawn on.

    Attributes
    ----------
    line, casing : widths of a line, and of the dark one under it
    head : an arrow's head; arcs and bars follow it
    text : size of letters
    gap : from a mark to its words
    pad : beside the words on their plate; `high` is the plate's height
    edge, corner, opacity : of the plate
    """

    line: float
    casing: float
    head: float
    text: float
    gap: float
    pad: float
    high: float
    edge: float
    corner: float = 0.0
    opacity: float = 1.0


@dataclass(frozen=True)
class MarkView:
    """Where video pixels are seen.

    Attributes
    ----------
    place : from video pixels to pixels of what is drawn on
    scale : pixels of what is drawn on, to a video pixel
    mirrored : words of their own end at their place, clear of the picture's edge
    room : width and height to keep plates in, None where they may leave it
    """

    place: Callable[[Point], Point]
    scale: float
    mirrored: bool = False
    room: tuple[float, float] | None = None


def seen(
    mark: Mark, metres_per_px: float | None, view: MarkView, look: MarkLook
) -> mark_shapes.Shape:
    """Lines and words of a mark in video pixels; heads and arcs keep their size as seen."""
    return shape_of(mark, metres_per_px, look.head / view.scale)


def plate_of(
    outline: mark_shapes.Shape, view: MarkView, look: MarkLook, measure: Measure
) -> Rect | None:
    """Where the plate of a mark's words lies; None where it has none."""
    if not outline.label:
        return None
    wide = measure(outline.label, look.text, True) or 0.3 * look.text
    width, height = wide + 2.0 * look.pad, look.high
    at, away = view.place(outline.label_at), view.place(outline.label_from)
    lean_x, lean_y = at[0] - away[0], at[1] - away[1]
    length = math.hypot(lean_x, lean_y)
    if length < 1e-6 and outline.runs:  # on the middle of its line
        left, top = at[0] - width / 2, at[1] - height / 2
    elif length < 1e-6:  # words of their own begin where they were put, beside the point
        left = at[0] - look.gap - width if view.mirrored else at[0] + look.gap
        top = at[1] - height / 2
    else:
        reach = look.gap + 0.5 * (abs(lean_x) * width + abs(lean_y) * height) / length
        left = at[0] + lean_x * reach / length - width / 2
        top = at[1] + lean_y * reach / length - height / 2
    if view.room is not None:
        across, down = view.room
        # What lies outside stays outside.
        if 0.0 <= at[0] <= across and 0.0 <= at[1] <= down:
            left = max(min(left, across - width - 2), 2.0)
            top = max(min(top, down - height - 2), 2.0)
    return Rect(left, top, width, height, "casing", look.opacity, look.corner)


def mark_shapes_of(
    mark: Mark, metres_per_px: float | None, view: MarkView, look: MarkLook, measure: Measure
) -> list[Shape]:
    """Give a mark as shapes, in pixels of what it is drawn on."""
    outline = seen(mark, metres_per_px, view, look)
    runs = [tuple(view.place(point) for point in run) for run in outline.runs]
    shapes = cased(runs, mark.colour, look.line, look.casing)
    plate = plate_of(outline, view, look, measure)
    if plate is not None:
        shapes += plated(outline.label, plate, look.text, mark.colour, look.edge)
    return shapes


def cased(runs: list[tuple[Point, ...]], ink: str, line: float, casing: float) -> list[Shape]:
    """Lines in a colour, all of their dark casing under all of them."""
    under: list[Shape] = [Line(run, "casing", casing) for run in runs]
    return [*under, *(Line(run, ink, line) for run in runs)]


def plated(
    text: str, plate: Rect, size: float, edge: str, edge_width: float, bold: bool = True
) -> list[Shape]:
    """Words in the middle of their plate, which has an edge in the mark's colour."""
    middle = plate.y + 0.5 * plate.height + 0.36 * size  # capitals are 0.73 of the size high
    words = Text(plate.x + 0.5 * plate.width, middle, text, size, "words", "middle", bold)
    return [replace(plate, edge=edge, edge_width=edge_width), words]
