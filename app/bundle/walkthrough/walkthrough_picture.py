"""One picture of a walkthrough: the film as it was shown, its marks, the curve under it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final, Protocol

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from analysis.body.track import BodyTrack
from app.bundle.pictures.mark_paint import MarkPainter
from app.bundle.walkthrough.walkthrough_curve import CurvePanel
from app.bundle.walkthrough.walkthrough_ink import GROUND, PANEL
from app.bundle.wording.words import Words
from app.media.light import lifted
from app.media.opencv import opencv
from app.media.orientation import Turn
from app.media.planes import (
    Planes,
    frame_of,
    from_rgb,
    lay,
    plain,
    planes_of,
    resized,
    to_rgb,
    turned,
    views,
    zoom_box,
    zoomed,
)
from app.media.video import VideoFile
from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import PICTURE
from app.review.walkthrough_scene import View
from app.scene import raster
from app.scene.shapes import Text

# Paints what stands in the picture's place: what was shown, film seconds, and the width and height
# of the room it is laid into -> (h, w, 3) RGB, or None where it cannot be painted.
StandIn = Callable[[View, float, tuple[int, int]], NDArray[np.uint8] | None]

# ITU-T H.264 table A-1: the largest frame of level 5.2, the highest that players in use take.
_MOST_MACROBLOCKS: Final = 36_864
_PANEL: Final = 0.25  # of the film's shorter side
_LEAST_PANEL_PX: Final = 90
_BARE: Final = (1280, 720)  # where there is no film


class Panel(Protocol):
    """What stands under the picture; times are seconds of the film."""

    def look(self, at_s: float, /) -> object:
        """What it shows of a moment; two that are equal look alike."""

    def at(self, at_s: float, /) -> Planes:
        """The panel of a moment."""


@dataclass(frozen=True)
class Tick:
    """What one output picture shows.

    Attributes
    ----------
    frame : number of the film's frame, -1 where none is needed
    video_s : the moment shown
    view : everything else on screen
    """

    frame: int
    video_s: float
    view: View


@dataclass(frozen=True)
class Layout:
    """Sizes of an output picture, all even: the film's place, and the curve's under it."""

    width: int
    film_height: int
    panel_height: int

    @property
    def height(self) -> int:
        """Of the whole."""
        return self.film_height + self.panel_height


def lay_out(
    film: tuple[int, int] | None,
    turn: PictureTurn,
    with_curve: bool,
    most_height: int | None = None,
) -> Layout:
    """Say how large the output is: the film at its own size, turned as it was shown first.

    Parameters
    ----------
    film : width and height of the upright film, None where there is none
    most_height : the film's place is shrunk to this, never enlarged
    """
    if film is None:
        width, height = _BARE
        scale = min(1.0, (most_height or height) / height)
        width, height = _even(width * scale), _even(height * scale)
        return Layout(width, 0 if with_curve else height, height if with_curve else 0)
    width, height = film[::-1] if turn.quarter_turns % 2 else film
    scale = min(1.0, (most_height or height) / height)
    panel = max(_LEAST_PANEL_PX / scale, _PANEL * min(film)) if with_curve else 0.0
    while _macroblocks(width * scale, (height + panel) * scale) > _MOST_MACROBLOCKS:
        scale *= 0.98
    return Layout(*(_even(side * scale) for side in (width, height, panel)))


def _macroblocks(width: float, height: float) -> float:
    return -(-width // 16) * -(-height // 16)


def _even(side: float) -> int:
    return int(side) // 2 * 2


class Composer:
    """Lays pictures together; what does not change from one to the next is done once.

    Parameters
    ----------
    film : open; frames come from elsewhere
    panel : the curve, or None
    trace_time : film seconds to trace seconds
    matrix : of the output's planes
    instead : what stands in the curve's place for a view, None for the curve itself
    track : the followed body, where it is to be drawn over the film
    """

    def __init__(
        self,
        layout: Layout,
        film: VideoFile | None,
        panel: CurvePanel | None,
        state: ReviewState,
        trace_time: Callable[[float], float],
        words: Words,
        matrix: int,
        stand_ins: Mapping[str, StandIn],
        instead: Callable[[View], Panel | None] = lambda _view: None,
        track: BodyTrack | None = None,
    ) -> None:
        self._layout, self._film, self._panel = layout, film, panel
        self._state, self._trace_time, self._words = state, trace_time, words
        self._matrix, self._stand_ins, self._instead = matrix, stand_ins, instead
        self._track = track
        self._empty = plain(layout.width, max(layout.height, 2), GROUND, matrix)
        self._last: tuple[object, VideoFrame] | None = None
        self._picture: tuple[object, Planes] | None = None

    def compose(self, tick: Tick, decoded: VideoFrame | None) -> VideoFrame:
        """The output picture of a tick.

        Parameters
        ----------
        decoded : its frame of the film, None where it needs none
        """
        view = tick.view
        panel, at_s = self._under(view, tick.video_s)
        cursor = panel.look(at_s) if panel is not None else None
        moving = tick.video_s if view.what != PICTURE else None
        picture_key = (tick.frame, view, moving)
        key = (picture_key, cursor)
        if self._last is not None and self._last[0] == key:
            return self._last[1]
        if self._layout.film_height and (self._picture is None or self._picture[0] != picture_key):
            self._picture = (picture_key, self._film_part(tick, decoded))
        frame = frame_of(self._empty, self._matrix)
        canvas = Planes(*views(frame))
        if self._picture is not None:
            part = self._picture[1]
            left = (self._layout.width - part.width) // 4 * 2
            top = (self._layout.film_height - part.height) // 4 * 2
            lay(canvas, part, left, top)
        if panel is not None:
            lay(canvas, panel.at(at_s), 0, self._layout.film_height)
        self._last = (key, frame)
        return frame

    def _under(self, view: View, video_s: float) -> tuple[Panel | None, float]:
        """What stands under the picture, and the moment on its clock."""
        if self._panel is None or not view.curve:
            return None, video_s
        other = self._instead(view)
        if other is not None:
            return other, video_s
        return self._panel, self._trace_time(video_s)

    def _film_part(self, tick: Tick, decoded: VideoFrame | None) -> Planes:
        """What stands in the film's place, no larger than that."""
        room = (self._layout.width, self._layout.film_height)
        if tick.view.what != PICTURE:
            paint = self._stand_ins.get(tick.view.what)
            image = paint(tick.view, tick.video_s, room) if paint is not None else None
            if image is not None:
                return from_rgb(_into(image, room), self._matrix)
        if decoded is None or self._film is None:
            return from_rgb(_said(self._words["walk_no_film"], room), self._matrix)
        return self._shown(tick, decoded, self._film)

    def _shown(self, tick: Tick, decoded: VideoFrame, film: VideoFile) -> Planes:
        view = tick.view
        stored = (film.height, film.width) if film.turn.swaps_sides else (film.width, film.height)
        wide, high = (max(2, side // 2 * 2) for side in stored)
        planes = planes_of(decoded, wide, high, self._matrix)
        turn = Turn(view.turn.quarter_turns % 4, view.turn.mirrored)
        time_s = float(film.index.time_s[tick.frame])
        if film.hides_at(time_s):  # faces are hidden in the upright picture, before all else
            upright = to_rgb(turned(planes, film.turn), self._matrix)
            planes = turned(from_rgb(film.hidden(upright, time_s), self._matrix), turn)
        else:
            planes = turned(planes, film.turn.then(turn))
        planes = zoomed(planes, *view.zoom)
        painter = self._painter(view, film, planes)
        if view.turn.lift > 0.0 or painter.draws_at(time_s) or painter.at(time_s):
            image = lifted(to_rgb(planes, self._matrix), view.turn.lift)
            planes = from_rgb(painter.paint(image, time_s, red=0), self._matrix)
        width, height = _fitting((planes.width, planes.height),
                                 (self._layout.width, self._layout.film_height))  # fmt: skip
        return resized(planes, width, height)

    def _painter(self, view: View, film: VideoFile, planes: Planes) -> MarkPainter:
        wide, high = planes.width, planes.height
        seen = (0.0, 0.0, 1.0, 1.0)
        if view.zoom[0] > 1.0:
            left, top, width, height = zoom_box(wide, high, *view.zoom)
            seen = (left / wide, top / high, width / wide, height / high)
        marks: tuple[Mark, ...] = view.marks
        shown = replace(self._state, marks=marks, turn=view.turn)
        return MarkPainter(shown, (film.width, film.height), film.index.at, seen, self._track)


def _fitting(size: tuple[int, int], room: tuple[int, int]) -> tuple[int, int]:
    """The largest even size of the same shape within a room."""
    scale = min(room[0] / size[0], room[1] / size[1])
    if abs(scale - 1.0) < 2.0 / max(size):
        return min(size[0], room[0]), min(size[1], room[1])
    return max(2, _even(size[0] * scale)), max(2, _even(size[1] * scale))


def _into(image: NDArray[np.uint8], room: tuple[int, int]) -> NDArray[np.uint8]:
    """A picture laid into the middle of a dark room."""
    cv2 = opencv()
    width, height = _fitting((image.shape[1], image.shape[0]), room)
    how = cv2.INTER_AREA if width < image.shape[1] else cv2.INTER_CUBIC
    small = cv2.resize(image, (width, height), interpolation=how)
    canvas = np.full((room[1], room[0], 3), GROUND, np.uint8)
    left, top = (room[0] - width) // 2, (room[1] - height) // 2
    canvas[top : top + height, left : left + width] = small
    return canvas


def _said(words: str, room: tuple[int, int]) -> NDArray[np.uint8]:
    """Words in the middle of a dark room."""
    width, height = room
    image = np.full((height, width, 3), GROUND, np.uint8)
    size = min(height * 0.06, 0.8 * width / max(raster.measure(words, 1.0, False), 1.0))
    said = Text(width / 2, height / 2, words, size, "quiet", "middle")
    raster.paint(image, [said], PANEL)
    return image
