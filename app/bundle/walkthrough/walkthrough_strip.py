"""The stroke strip where it stood in the picture's place during a walkthrough."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.bundle.pictures.strip import StripError, paint_strip
from app.bundle.pictures.strips import strip_of
from app.bundle.sources.recordings import Sources
from app.bundle.walkthrough.walkthrough_picture import StandIn
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.parts.curve_marks import on_curve
from app.review.parts.state import ReviewState
from app.review.walkthrough_scene import View

_WIDTH_PX = 1600


def strip_stand_in(
    state: ReviewState, sources: Sources, film: VideoFile | None, words: Words
) -> StandIn:
    """Return who paints the strip of a stroke, by the stroke's index; each once."""
    made: dict[str, NDArray[np.uint8] | None] = {}

    def paint(view: View, video_s: float, room: tuple[int, int]) -> NDArray[np.uint8] | None:
        ref = view.ref
        if ref not in made:
            made[ref] = _painted(ref, state, sources, film, words)
        return made[ref]

    return paint


def _painted(
    ref: str, state: ReviewState, sources: Sources, film: VideoFile | None, words: Words
) -> NDArray[np.uint8] | None:
    stroke = None
    if ref.isdigit():
        stroke = next((s for s in sources.submission.strokes if s.index == int(ref)), None)
    if stroke is None or (sources.from_picture and film is None):
        return None
    try:
        # With a decoder of its own: the one that plays the walkthrough stays where it is.
        own = film.another() if film is not None else None
        try:
            strip = strip_of(own, stroke, state, sources, words)
        finally:
            if own is not None:
                own.close()
    except (StripError, MediaError):
        return None
    if not sources.from_picture:
        strip = replace(strip, marks=on_curve(state.curve_marks, "time", int(ref)))
    png = np.frombuffer(paint_strip(strip, _WIDTH_PX, dark=True), np.uint8)
    image: NDArray[np.uint8] = opencv().imdecode(png, opencv().IMREAD_COLOR)
    return np.ascontiguousarray(image[..., ::-1])
