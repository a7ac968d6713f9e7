"""A walkthrough as a film: every picture follows from the events, at the size it was filmed in.

The film is decoded and laid together in one thread and encoded in another. How it is painted is
described in docs/walkthrough.md.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
from av.error import FFmpegError
from av.video.frame import VideoFrame

from app.bundle.pictures.quality import Quality
from app.bundle.sources.film import open_film
from app.bundle.sources.recordings import Sources, gather
from app.bundle.walkthrough.walkthrough_curve import CurvePanel
from app.bundle.walkthrough.walkthrough_pairs import Pairs
from app.bundle.walkthrough.walkthrough_picture import Composer, StandIn, Tick, lay_out
from app.bundle.walkthrough.walkthrough_sound import evened_sound, walk_captions
from app.bundle.walkthrough.walkthrough_strip import strip_stand_in
from app.bundle.wording.errors import BundleCancelled, BundleError
from app.bundle.wording.signal_words import named_signals
from app.bundle.wording.words import ENGLISH, Words
from app.media.ahead import Ahead
from app.media.atomic import replacing
from app.media.encode import CRF, SOUND_BPS, ClipWriter
from app.media.frame_feed import FrameFeed
from app.media.planes import BT709, matrix_of
from app.media.video import VideoFile
from app.review.file.store import read_asset
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import COMPARISON, PICTURE, STRIP
from app.review.parts.walk_timing import timing_of
from app.review.parts.walkthroughs import Walkthrough
from app.review.recordings import STRANGER, RecordingAccess
from app.review.values.errors import ReviewError
from app.review.walkthrough_scene import Scenes, View

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]

MOST_FPS: Final = 60.0
# A film of fewer pictures a second is shown with more, so that marks and the cursor keep up with
# the voice.
LEAST_FPS: Final = 25.0
_FORCE_FPS: Final = 30.0  # where there is no film


@dataclass(frozen=True)
class RenderedWalk:
    """What was written.

    Attributes
    ----------
    path : the film
    captions : the captions beside it, None where there are none
    length_s : seconds
    size : width and height of its picture
    remarks : sentences about what is missing
    is_mute : whether its voice could not be read
    lost_pairs : how many comparisons it showed could not be painted
    """

    path: Path
    captions: Path | None
    length_s: float
    size: tuple[int, int]
    remarks: tuple[str, ...] = ()
    is_mute: bool = False
    lost_pairs: int = 0


@dataclass(frozen=True)
class WalkJob:
    """What a rendering needs besides the walkthrough.

    Attributes
    ----------
    state : the review, whose marks are as they are now
    review_path : recordings and sounds are found from there
    sources : read from the review where they are not given
    stand_ins : who paints what may stand in the picture's place, before those of this program
    library : the folder of reference strokes, which comparisons may refer to
    access : which recordings may be read; only those in the review's own folder without it
    quality : how large and how close; None for the footage's own size
    """

    state: ReviewState
    review_path: Path
    sources: Sources | None = None
    words: Words = field(default_factory=lambda: ENGLISH)
    stand_ins: Mapping[str, StandIn] = field(default_factory=dict)
    library: Path | None = None
    access: RecordingAccess = STRANGER
    quality: Quality | None = None


def frame_rate(film: VideoFile | None) -> float:
    """Pictures a second of the output: the film's own, within bounds."""
    if film is None:
        return _FORCE_FPS
    return min(max(film.fps, LEAST_FPS), MOST_FPS)


def plan_ticks(
    walk: Walkthrough,
    scenes: Scenes,
    fps: float,
    film: VideoFile | None,
    shown: Callable[[View], View] = lambda view: view,
) -> tuple[Tick, ...]:
    """Say what each output picture shows: what was on screen in the middle of its time.

    Parameters
    ----------
    shown : the view that can be painted in the place of the one that was
    """
    timing = timing_of(walk)
    ticks = []
    for n in range(max(1, round(timing.length_s * fps))):
        at_s = timing.to_recording((n + 0.5) / fps)
        video_s, view = scenes.video_s(at_s), shown(scenes.view(at_s))
        frame = -1
        if film is not None and view.what == PICTURE and film.index.holds(video_s):
            frame = film.index.at(video_s)
        ticks.append(Tick(frame, video_s, view))
    return tuple(ticks)


def render_walk(
    walk: Walkthrough,
    job: WalkJob,
    out_mp4: Path,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> RenderedWalk:
    """Write a walkthrough as MP4 (H.264, AAC, index at the front) and its captions beside it.

    What lay there before stays until the new file is whole.

    Raises
    ------
    BundleCancelled
        As asked; nothing was changed.
    BundleError, MediaError, ReviewError
        Nothing was written; the message says why.
    """
    remarks: list[str] = []
    with ExitStack() as stack:
        sources = job.sources or _sources(job, cancelled)
        film = None
        if sources.video is not None:
            if out_mp4.resolve() == sources.video.resolve():
                raise BundleError(f"{out_mp4.name} is the footage itself; choose another name.")
            film = stack.enter_context(open_film(sources.reel, job.state))
        scenes = Scenes(walk, job.state.marks)
        pairs = stack.enter_context(_pairs(job, sources, scenes, cancelled))
        fps = frame_rate(film)
        ticks = plan_ticks(walk, scenes, fps, film, partial(_paintable, pairs, job))
        composer, size, matrix = _composer(job, sources, film, scenes, pairs)
        sound = _sound(walk, job, remarks)
        hz = walk.sample_hz if sound is not None else None
        with (
            _guarded(out_mp4),
            ClipWriter(out_mp4, *size, hz, matrix, *_closeness(job.quality), fps) as clip,
        ):
            if sound is not None:
                clip.add_sound(sound.astype(np.float32))
            with Ahead(lambda: _pictures(ticks, composer, film), "walkthrough") as pictures:
                for n, picture in enumerate(pictures):
                    if cancelled is not None and cancelled():
                        raise BundleCancelled("Stopped; nothing was changed.")
                    clip.add_frame(picture, n / fps)
                    if progress is not None and n % 15 == 0:
                        progress(n / len(ticks), "Painting the walkthrough")
            clip.finish(len(ticks) / fps)
    captions = write_captions(walk, job, out_mp4)
    if progress is not None:
        progress(1.0, "Painting the walkthrough")
    return RenderedWalk(
        out_mp4, captions, len(ticks) / fps, size, (*remarks, *pairs.remarks), bool(remarks),
        len(pairs.remarks),
    )  # fmt: skip


def _sources(job: WalkJob, cancelled: Cancelled | None) -> Sources:
    try:
        return gather(job.state, job.review_path, job.access, cancelled)
    except ReviewError:
        if cancelled is not None and cancelled():
            raise BundleCancelled("Stopped; nothing was changed.") from None
        raise


def _pairs(job: WalkJob, sources: Sources, scenes: Scenes, cancelled: Cancelled | None) -> Pairs:
    """The comparisons that are shown, found and open."""
    pairs = Pairs(job.state, job.review_path, job.library, job.words, cancelled, job.access)
    if COMPARISON not in job.stand_ins:
        pairs.find(scenes.views)
    return pairs


def _paintable(pairs: Pairs, job: WalkJob, view: View) -> View:
    """A view, with the picture alone in place of a comparison that cannot be shown."""
    if view.what != COMPARISON or view.ref in pairs or COMPARISON in job.stand_ins:
        return view
    return replace(view, what=PICTURE, ref="")


def _closeness(quality: Quality | None) -> tuple[int, int]:
    """Rate factor of the picture, and bits a second of the voice."""
    return (CRF, SOUND_BPS) if quality is None else (quality.crf, quality.sound_bps)


def _composer(
    job: WalkJob, sources: Sources, film: VideoFile | None, scenes: Scenes, pairs: Pairs
) -> tuple[Composer, tuple[int, int], int]:
    """Who lays the pictures together, how large they are and the matrix of their colours."""
    state, words = job.state, job.words
    matrix = BT709 if film is None else matrix_of(film.decoded(0))
    piece = sources.submission.rowed
    with_curve = piece is not None and any(view.curve for view in scenes.views)
    size = None if film is None else (film.width, film.height)
    most = None if job.quality is None else job.quality.height_px
    layout = lay_out(size, scenes.views[0].turn, with_curve, most)
    panel = None
    if piece is not None and with_curve:
        panel = CurvePanel(
            layout.width, layout.panel_height, piece, sources.target, words, matrix,
            state.curve_marks, named_signals(sources.submission, words),
        )  # fmt: skip
    stand_ins = {
        STRIP: strip_stand_in(state, sources, film, words),
        COMPARISON: pairs.picture,
        **job.stand_ins,
    }
    composer = Composer(
        layout, film, panel, state, sources.submission.stroke_clock.trace_time, words, matrix,
        stand_ins,
        lambda view: pairs.panel(view, layout.width, layout.panel_height, matrix),
        sources.shown_track,
    )  # fmt: skip
    return composer, (layout.width, layout.height), matrix


def _sound(
    walk: Walkthrough, job: WalkJob, remarks: list[str]
) -> np.ndarray[tuple[int], np.dtype[np.float64]] | None:
    if not walk.sound_id:
        return None
    try:
        return evened_sound(read_asset(job.review_path, walk.sound_id), walk, timing_of(walk))
    except ReviewError as error:
        remarks.append(str(error))
        return None


def write_captions(walk: Walkthrough, job: WalkJob, out_mp4: Path) -> Path | None:
    """Write the captions beside a film; give their file, None where there are none.

    Raises
    ------
    BundleError
        The disk refused it.
    """
    text, path = walk_captions(walk, job.state, job.words), out_mp4.with_suffix(".vtt")
    if not text and not path.exists():
        return None
    try:
        with replacing(path) as temporary:  # captions of an earlier rendering would be wrong
            Path(temporary).write_text(text or "WEBVTT\n", "utf-8", newline="")
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BundleError(f"The captions {path.name} were not written: {reason}.") from error
    return path if text else None


@contextlib.contextmanager
def _guarded(out: Path):  # type: ignore[no-untyped-def]
    """Turn what the encoder or the disk throws into a sentence."""
    try:
        yield
    except (FFmpegError, OSError) as error:
        why = (error.strerror or "the encoder failed").lower()
        raise BundleError(
            f"{out.name} was not written: {why}; make room, then try again."
        ) from error


def _pictures(
    ticks: tuple[Tick, ...], composer: Composer, film: VideoFile | None
) -> Iterator[VideoFrame]:
    """Lay the pictures together, one after the other."""
    order: list[int] = []
    for tick in ticks:
        if tick.frame >= 0 and (not order or order[-1] != tick.frame):
            order.append(tick.frame)
    feed = FrameFeed(film, order) if film is not None else None
    last, decoded = -1, None
    for tick in ticks:
        if feed is not None and tick.frame >= 0 and tick.frame != last:
            last, decoded = tick.frame, feed.next()
        yield composer.compose(tick, decoded if tick.frame >= 0 else None)
