"""Marks painted into stills and clips: the same shapes as on the screen, without a display."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.bundle.pictures.lettering import outlines
from app.bundle.wording.text import one_line
from app.media.opencv import opencv
from app.review.mark_shapes import Shape, shape_of, shown_marks, turned
from app.review.parts.marks import CASING, MARK_COLOURS, Mark, Point
from app.review.state import ReviewState

Image = NDArray[np.uint8]
_SHIFT = 4  # OpenCV's fixed point: sixteenths of a pixel
# Shares of the longer side, which make a still look as the picture on the bench does; words are
# larger, since a phone held upright shows a still some 320 points wide.
_LINE = 0.0032
_HEAD = 0.02
_TEXT = 0.031
_GAP = 0.011


@dataclass(frozen=True)
class Cut:
    """A piece of a larger picture, and how much bolder its marks are drawn.

    Attributes
    ----------
    left, top : where the piece begins, pixels of the larger picture
    width, height : of the larger picture
    """

    left: int
    top: int
    width: int
    height: int
    bolder: float = 1.0


class MarkPainter:
    """Paints a review's marks into pictures of its film.

    Parameters
    ----------
    size : width and height of the upright source picture
    frame_at : the number of the frame on screen at a film time
    seen : left, top, width and height of the part of the turned picture that the pictures show,
        as shares of the whole
    """

    def __init__(
        self,
        state: ReviewState,
        size: tuple[int, int],
        frame_at: Callable[[float], int],
        seen: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0),
    ) -> None:
        self._state = state
        self._size = size
        self._frame_at = frame_at
        self._seen = seen

    def at(self, time_s: float, spans_only: bool = False) -> tuple[Mark, ...]:
        """Marks to be seen at a film time; in a clip, one frame of a mark would only flash."""
        shown = shown_marks(self._state.marks, self._frame_at(time_s), self._frame_at)
        return tuple(m for m in shown if m.end_s is not None or not spans_only)

    def paint(
        self,
        image: Image,
        time_s: float,
        spans_only: bool = False,
        red: int = 2,
        cut: Cut | None = None,
    ) -> Image:
        """Return a picture with its marks.

        Parameters
        ----------
        image : (h, w, 3 or 4) uint8, upright and turned as the coach set, of any size
        red : which channel is red
        cut : which piece of the picture the image is; all of it for None
        """
        marks = self.at(time_s, spans_only)
        if not marks:
            return image
        image = np.ascontiguousarray(image).copy()
        for mark in marks:
            self._paint_mark(image, mark, red, cut or Cut(0, 0, image.shape[1], image.shape[0]))
        return image

    def _paint_mark(self, image: Image, mark: Mark, red: int, cut: Cut) -> None:
        turn = self._state.turn
        wide, high = self._size if turn.quarter_turns % 2 == 0 else self._size[::-1]
        left, top, seen_x, seen_y = self._seen
        scale_x, scale_y = cut.width / (wide * seen_x), cut.height / (high * seen_y)
        longer = max(cut.width, cut.height) * cut.bolder

        def place(point: Point) -> Point:
            x, y = turned(point, self._size, turn.quarter_turns, turn.mirrored)
            return (
                (x - left * wide) * scale_x - cut.left,
                (y - top * high) * scale_y - cut.top,
            )

        head_px = _HEAD * longer / math.sqrt(scale_x * scale_y)
        shape = shape_of(mark, self._state.metres_per_px, head_px)
        line_px = max(2.0, _LINE * longer)
        for ink, wider in ((CASING, 2.0), (MARK_COLOURS[mark.colour], 1.0)):
            for run in shape.runs:
                _polyline(image, [place(p) for p in run], _bgr(ink, red), round(line_px * wider))
        if shape.label:
            plate = _Plate(image, place, turn.mirrored, red, longer)
            plate.paint(shape, mark.colour)


def _polyline(image: Image, points: Sequence[Point], ink: tuple[int, ...], thickness: int) -> None:
    cv2 = opencv()
    cv2.polylines(image, [fixed_points(points)], False, ink, thickness, cv2.LINE_AA, _SHIFT)


class _Plate:
    """Words on a dark plate with an edge in the mark's colour."""

    def __init__(
        self,
        image: Image,
        place: Callable[[Point], Point],
        mirrored: bool,
        red: int,
        longer: float,
    ) -> None:
        self._image, self._place, self._mirrored, self._red = image, place, mirrored, red
        self._longer = longer

    def paint(self, shape: Shape, colour: str) -> None:
        """Paint the words of a shape beside it."""
        cv2, image = opencv(), self._image
        letters_of = outlines(one_line(shape.label))
        size = max(11.0, _TEXT * self._longer)
        ink_width = max((float(o[:, 0].max()) for o in letters_of), default=0.3) * size
        width, height = ink_width + 0.7 * size, 1.5 * size
        left, top = self._corner(shape, width, height)
        right, bottom = left + width, top + height
        box = [(left, top), (right, top), (right, bottom), (left, bottom)]
        cv2.fillPoly(image, [fixed_points(box)], _bgr(CASING, self._red), cv2.LINE_AA, _SHIFT)
        edge = max(1, round(0.5 * _LINE * self._longer))
        _polyline(image, [*box, box[0]], _bgr(MARK_COLOURS[colour], self._red), edge)
        base = top + 0.5 * height + 0.36 * size  # capitals are 0.73 of the size high
        letters = [
            fixed_points([(left + 0.35 * size + x * size, base - y * size) for x, y in o])
            for o in letters_of
        ]
        if letters:  # all at once: holes in letters stay open by the even-odd rule
            cv2.fillPoly(image, letters, _bgr("#ffffff", self._red), cv2.LINE_AA, _SHIFT)

    def _corner(self, shape: Shape, width: float, height: float) -> tuple[float, float]:
        """Give the upper left corner, leaning away from the mark, and inside the picture."""
        at, away = self._place(shape.label_at), self._place(shape.label_from)
        lean_x, lean_y = at[0] - away[0], at[1] - away[1]
        length = math.hypot(lean_x, lean_y)
        gap = _GAP * self._longer
        if length < 1e-6 and shape.runs:  # on the middle of its line
            left, top = at[0] - width / 2, at[1] - height / 2
        elif length < 1e-6:
            left = at[0] - gap - width if self._mirrored else at[0] + gap
            top = at[1] - height / 2
        else:
            reach = gap + 0.5 * (abs(lean_x) * width + abs(lean_y) * height) / length
            left = at[0] + lean_x * reach / length - width / 2
            top = at[1] + lean_y * reach / length - height / 2
        room_y, room_x = self._image.shape[:2]
        if not (0.0 <= at[0] <= room_x and 0.0 <= at[1] <= room_y):
            return left, top  # what lies outside stays outside
        return max(min(left, room_x - width - 2), 2.0), max(min(top, room_y - height - 2), 2.0)


def fixed_points(points: Sequence[Point]) -> NDArray[np.int32]:
    """Points as OpenCV takes them: whole numbers lie in the middle of a pixel."""
    far = 2**30 / 2**_SHIFT  # what lies farther out than that is out of every picture
    places = np.clip(np.asarray(points, float) - 0.5, -far, far)
    return np.round(places * 2**_SHIFT).astype(np.int32)


def _bgr(colour: str, red: int) -> tuple[int, ...]:
    rgb = tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return (*(rgb if red == 0 else rgb[::-1]), 255)
