"""Marks and bodies on both pictures of a comparison, by the painter of stills and clips."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis.body.track import BodyTrack
from analysis.comparing.picture_fit import PictureFit
from app.bundle.pictures.mark_paint import MarkPainter
from app.media.video import VideoFile
from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState

Image = NDArray[np.uint8]
Seen = tuple[float, float, float, float]  # left, top, width, height: shares of the turned picture
Drawn = Callable[[Image, Seen], Image]


def turn_of_right(turn: PictureTurn, fit: PictureFit) -> PictureTurn:
    """How the right picture stands: mirrored about its own middle first, then as the left one.

    A mirror before a quarter turn is the turn the other way before the mirror.
    """
    if not fit.mirrored:
        return turn
    return replace(turn, quarter_turns=-turn.quarter_turns % 4, mirrored=not turn.mirrored)


def seen_of(matrix: NDArray[np.float64], size: tuple[int, int], room: tuple[int, int]) -> Seen:
    """What a room shows of a turned picture, as shares of it.

    Parameters
    ----------
    matrix : (2, 3) from the upright source picture's pixels to the room's
    size : width and height of the source picture
    """
    corners = np.array([(x, y, 1.0) for x in (0.0, size[0]) for y in (0.0, size[1])])
    places = corners @ matrix.T
    left, top = places.min(axis=0)
    wide, high = np.ptp(places, axis=0)
    return (
        float(-left / wide),
        float(-top / high),
        float(room[0] / wide),
        float(room[1] / high),
    )


def pen_of(
    film: VideoFile,
    frame: int | None,
    state: ReviewState,
    marks: tuple[Mark, ...],
    turn: PictureTurn,
    spans_only: bool,
    track: BodyTrack | None = None,
) -> Drawn | None:
    """Give what draws body and marks of one frame of a film; None where there are none.

    Parameters
    ----------
    frame : its number, None where the film shows nothing
    state : the review whose film it is: its scale counts for distances
    turn : how the picture stands
    spans_only : leave out marks of a single frame, which would only flash in a clip
    track : the body followed in the film, where it is to be drawn
    """
    if frame is None or not (marks or track):
        return None
    shown = replace(state, marks=marks, turn=turn)
    size, at_s = (film.width, film.height), float(film.index.time_s[frame])

    def drawn(image: Image, seen: Seen) -> Image:
        painter = MarkPainter(shown, size, film.index.at, seen, track)
        return painter.paint(image, at_s, spans_only=spans_only, red=0)

    return drawn
