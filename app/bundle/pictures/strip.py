"""The stroke strip: frames of one stroke standing over its force curve, each above its moment.

Made here; laid out in strip_layout.py, painted in strip_paint.py. Knows no window, so that the
bench and the bundle show the same picture.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from analysis.body.track import BodyTrack
from analysis.force.piece import PieceAnalysis
from analysis.force.target import TargetCurve, sample_target
from analysis.force.trace import FloatArray
from analysis.signals.stroke import Stroke
from app.bundle.pictures.glances import Frames
from app.bundle.pictures.mark_paint import Cut, MarkPainter
from app.bundle.pictures.strip_crop import moving_box
from app.bundle.pictures.strip_data import (
    Image,
    StripError,
    StripFrame,
    StripSignal,
    StripSpan,
    StripWords,
    StrokeStrip,
)
from app.bundle.pictures.strip_paint import paint_strip, strip_svg
from app.bundle.wording.signal_words import NamedSignal
from app.bundle.wording.text import one_line
from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock

__all__ = [
    "StripError",
    "StripFrame",
    "StripSpan",
    "StripWords",
    "StrokeStrip",
    "make_strip",
    "paint_strip",
    "picture_strip",
    "strip_svg",
]

# Odd, so that a narrow strip can leave out every other one and keep both ends.
FRAMES = 9
# The first frame stands this much of the drive before the catch, the last as much after the
# finish: the eye wants to see both happen.
LEAD_PCT = 7.0
_REACH_PCT = 30.0  # how far beyond the drive the curve is known
_BOLDER = 1.2  # marks on a frame are shrunk with it; so they stay as bold as on the bench
BOX_PX = 900  # frames are decoded no larger; a crop of one is shown some 250 pixels wide


def make_strip(
    video: Frames | None,
    piece: PieceAnalysis,
    stroke_index: int,
    clock: ReviewClock,
    turn: PictureTurn | None = None,
    target: TargetCurve | None = None,
    span: StripSpan | None = None,
    frames: int = FRAMES,
    title: str = "",
    words: StripWords | None = None,
    state: ReviewState | None = None,
    signals: Sequence[NamedSignal] = (),
    track: BodyTrack | None = None,
) -> StrokeStrip:
    """Take the frames of one stroke and its curve.

    Parameters
    ----------
    video : the open film (see `film.open_film`); None for a strip of the curve alone
    clock : how film and force stand to each other
    turn : how the coach set the picture
    target : drawn where it is by time; one by length has no place on this axis
    frames : how many frames at most; those before or after the film are left out
    state : the review whose marks are painted on the frames they stand on
    signals : further signals, drawn in a row each
    track : the followed body, where it is to be drawn on the frames

    Raises
    ------
    StripError
        There is no such stroke, or its drive has no length.
    MediaError
        The film cannot be read.
    """
    stroke = next((s for s in piece.strokes if s.index == stroke_index), None)
    if stroke is None or not stroke.finish_s > stroke.catch_s:
        raise StripError(f"There is no stroke {stroke_index + 1} with a drive to show.")
    places = _places(frames)
    shown: tuple[StripFrame, ...] = ()
    if video is not None:
        shown = _frames(video, stroke, clock, turn or PictureTurn(), places, state, track)
    curve = _curve(piece, stroke)
    measured = dict(zip((s.index for s in piece.strokes), piece.measures, strict=True))
    return StrokeStrip(
        frames=shown,
        places=places,
        curve=curve,
        mean_n=None if piece.by_time is None else piece.by_time.mean,
        target_n=sample_target(target) if target is not None and target.axis == "time" else None,
        span=span,
        title=title,
        words=words or StripWords(),
        signals=_rows(signals, stroke, curve[0]),
        peak_n=measured[stroke_index]["peak_n"],
    )


def picture_strip(
    video: Frames,
    stroke: Stroke,
    words: StripWords,
    state: ReviewState,
    signals: Sequence[NamedSignal] = (),
    track: BodyTrack | None = None,
) -> StrokeStrip:
    """Take the frames of one stroke that was cut from the picture; there is no force under them.

    Parameters
    ----------
    signals : drawn in a row each
    track : the followed body, where it is to be drawn on the frames

    Raises
    ------
    MediaError
        The film cannot be read.
    """
    places = _places(FRAMES)
    percent = np.linspace(-_REACH_PCT, 100.0 + _REACH_PCT, 321)
    return StrokeStrip(
        frames=_frames(video, stroke, ReviewClock(), state.turn, places, state, track),
        places=places,
        curve=(percent, np.empty(0)),
        words=words,
        signals=_rows(signals, stroke, percent),
    )


def _rows(
    signals: Sequence[NamedSignal], stroke: Stroke, percent: FloatArray
) -> tuple[StripSignal, ...]:
    """The signals over the time of a drive and what is before and after it."""
    at_s = stroke.catch_s + percent / 100.0 * (stroke.finish_s - stroke.catch_s)
    return tuple(
        StripSignal(f"{one_line(words)}: {s.reach_words}", s.share(s.signal.at(at_s)), s.dashes)
        for s, words in signals
    )


def _curve(piece: PieceAnalysis, stroke: Stroke) -> tuple[FloatArray, FloatArray]:
    """Force from before the catch to after the finish, as far as the trace knows it."""
    percent = np.linspace(-_REACH_PCT, 100.0 + _REACH_PCT, 321)
    at_s = stroke.catch_s + percent / 100.0 * (stroke.finish_s - stroke.catch_s)
    known = (at_s >= piece.trace.time_s[0]) & (at_s <= piece.trace.time_s[-1])
    force_n = np.interp(at_s[known], piece.trace.time_s, piece.trace.force_n)
    return percent[known], force_n


def _frames(
    film: Frames,
    stroke: Stroke,
    clock: ReviewClock,
    turn: PictureTurn,
    places: tuple[float, ...],
    state: ReviewState | None,
    track: BodyTrack | None,
) -> tuple[StripFrame, ...]:
    drive_s = stroke.finish_s - stroke.catch_s
    taken: list[tuple[float, float, float, Image]] = []
    for place, i in _numbers(film, stroke, clock, places):
        shown_s = float(film.index.time_s[i])
        percent = 100.0 * (clock.trace_time(shown_s) - stroke.catch_s) / drive_s
        taken.append((shown_s, percent, place, _picture(film, i, turn)))
    if not taken:
        return ()
    pen = None
    if state is not None:
        size = (film.width, film.height)
        pen = MarkPainter(replace(state, turn=turn), size, film.index.at, track=track)
    # The cut is chosen before: what is drawn is no movement, and words keep within it.
    left, top, right, bottom = moving_box([image for *_, image in taken])
    made = []
    for shown_s, percent, place, whole in taken:
        image = np.ascontiguousarray(whole[top:bottom, left:right])
        marks: tuple[Mark, ...] = ()
        if pen is not None:
            marks = pen.at(shown_s)
            cut = Cut(left, top, whole.shape[1], whole.shape[0], _BOLDER)
            image = pen.paint(image, shown_s, red=0, cut=cut)
        made.append(StripFrame(shown_s, percent, place, image, marks))
    return tuple(made)


def second_frames(
    film: Frames, stroke: Stroke, clock: ReviewClock, places: tuple[float, ...]
) -> tuple[StripFrame, ...]:
    """Take what a second camera shows of a strip's places, as it was filmed.

    Parameters
    ----------
    film : on the clock of the first one

    Raises
    ------
    MediaError
        The film cannot be read.
    """
    return _frames(film, stroke, clock, PictureTurn(), places, None, None)


def frames_of(film: Frames, stroke: Stroke, clock: ReviewClock) -> tuple[int, ...]:
    """Numbers of the frames that a strip of a stroke shows; nothing is decoded for it."""
    if not stroke.finish_s > stroke.catch_s:
        return ()
    return tuple(i for _, i in _numbers(film, stroke, clock, _places(FRAMES)))


def _places(frames: int) -> tuple[float, ...]:
    return tuple(float(p) for p in np.linspace(-LEAD_PCT, 100.0 + LEAD_PCT, max(frames, 2)))


def _numbers(
    film: Frames, stroke: Stroke, clock: ReviewClock, places: tuple[float, ...]
) -> Iterator[tuple[float, int]]:
    """Each place that was filmed with the number of its frame."""
    drive_s = stroke.finish_s - stroke.catch_s
    last = -1
    for place in places:
        at_s = clock.film_time(stroke.catch_s + place / 100.0 * drive_s)
        if at_s is None or not film.index.holds(at_s):
            continue
        i = _nearest(film, at_s)
        if i != last:  # fewer frames may have been filmed than asked for
            last = i
            yield place, i


def _nearest(film: Frames, at_s: float) -> int:
    """Number of the frame that came on screen nearest to a moment."""
    i = film.index.at(at_s)
    times = film.index.time_s
    if i + 1 < len(times) and times[i + 1] - at_s < at_s - times[i]:
        return i + 1
    return i


def _picture(film: Frames, i: int, turn: PictureTurn) -> Image:
    from app.media.light import lifted
    from app.media.orientation import Turn

    image = film.frame_bgra(i, BOX_PX, BOX_PX)
    image = lifted(Turn(turn.quarter_turns % 4, turn.mirrored).apply(image), turn.lift)
    return np.ascontiguousarray(image[..., 2::-1])
