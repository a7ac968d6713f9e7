"""Marks painted into stills and clips: the same shapes as on the screen, without a display."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.body.track import BodyTrack
from app.bundle.wording.text import one_line
from app.review.mark_shapes import shown_marks, turned
from app.review.parts.marks import Mark, Point
from app.review.parts.state import ReviewState
from app.scene import raster, skeleton
from app.scene.picture_marks import PALETTE, MarkLook, MarkView, mark_shapes_of

Image = NDArray[np.uint8]
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
    track : the body followed in the film, where it is to be drawn under the marks
    """

    def __init__(
        self,
        state: ReviewState,
        size: tuple[int, int],
        frame_at: Callable[[float], int],
        seen: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0),
        track: BodyTrack | None = None,
    ) -> None:
        self._state = state
        self._size = size
        self._frame_at = frame_at
        self._seen = seen
        self._track = track

    def draws_at(self, time_s: float) -> bool:
        """Whether anything is drawn over a frame of a clip."""
        return bool(self.at(time_s, spans_only=True)) or bool(self._joints(time_s))

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
        marks, joints = self.at(time_s, spans_only), self._joints(time_s)
        if not marks and not joints:
            return image
        image = np.ascontiguousarray(image).copy()
        cut = cut or Cut(0, 0, image.shape[1], image.shape[0])
        room = (float(image.shape[1]), float(image.shape[0]))
        view = replace(self._view(cut), room=room)
        longer = max(cut.width, cut.height) * cut.bolder
        if joints:
            bones = skeleton.skeleton_shapes(joints, view, skeleton.look_in(longer))
            raster.paint(image, bones, skeleton.PALETTE, red=red)
        look = look_of(longer)
        for mark in marks:
            shapes = mark_shapes_of(
                _said(mark), self._state.metres_per_px, view, look, raster.measure
            )
            raster.paint(image, shapes, PALETTE, red=red)
        return image

    def _joints(self, time_s: float) -> dict[str, skeleton.Joint]:
        return {} if self._track is None else skeleton.joints_at(self._track, time_s)

    def _view(self, cut: Cut) -> MarkView:
        """Where the picture shows a video pixel."""
        turn = self._state.turn
        wide, high = self._size if turn.quarter_turns % 2 == 0 else self._size[::-1]
        left, top, seen_x, seen_y = self._seen
        scale_x, scale_y = cut.width / (wide * seen_x), cut.height / (high * seen_y)

        def place(point: Point) -> Point:
            x, y = turned(point, self._size, turn.quarter_turns, turn.mirrored)
            return (
                (x - left * wide) * scale_x - cut.left,
                (y - top * high) * scale_y - cut.top,
            )

        return MarkView(place, math.sqrt(scale_x * scale_y), turn.mirrored)


def look_of(longer: float) -> MarkLook:
    """How marks look in a picture whose longer side has so many pixels."""
    line, text = max(2.0, _LINE * longer), max(11.0, _TEXT * longer)
    return MarkLook(
        line=line,
        casing=2.0 * line,
        head=_HEAD * longer,
        text=text,
        gap=_GAP * longer,
        pad=0.35 * text,
        high=1.5 * text,
        edge=0.5 * _LINE * longer,
    )


def _said(mark: Mark) -> Mark:
    """A mark whose words are one clean line."""
    return replace(mark, text=one_line(mark.text)) if mark.text else mark
