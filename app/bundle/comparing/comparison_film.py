"""Both recordings of a comparison, open: frames in pairs, put together, and cut as one clip."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import copy
from pathlib import Path

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from analysis.body.track import BodyTrack
from analysis.comparing.frames import PairClip, pair_frames
from analysis.comparing.phase import nearest_frame, other_time
from app.bundle.comparing.comparison_curves import CurveStrip
from app.bundle.comparing.comparison_marks import Drawn, pen_of, turn_of_right
from app.bundle.comparing.comparison_paint import DARK, Stage, clip_size, paint_pair
from app.bundle.sources.film import open_film
from app.bundle.wording.mark_words import marks_named
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.media.ahead import Ahead
from app.media.clip_frames import to_yuv
from app.media.encode import CRF, ClipWriter
from app.media.errors import MediaError
from app.media.h264.level import rate_of
from app.media.video import VideoFile
from app.review.mark_shapes import shown_marks
from app.review.parts.comparisons import Comparison, PairLook, laid, shows_marks
from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.submission.resolving import Resolved

Cancelled = Callable[[], bool]


def labels_of(comparison: Comparison, words: Words) -> tuple[str, str]:
    """What the two strokes are called; the sides' own names where the coach gave none."""
    return (
        one_line(comparison.left.label) or words["compare_left"],
        one_line(comparison.right.label) or words["compare_right"],
    )


class PairFilm:
    """Both recordings of a comparison open, frames asked for in pairs; use it in a `with` block.

    Parameters
    ----------
    skeleton : draw the followed body on each picture whose own review keeps one

    Raises
    ------
    MediaError
        There is no footage of one of the two, or it cannot be read.
    """

    def __init__(
        self, comparison: Comparison, left: Resolved, right: Resolved, skeleton: bool = False
    ) -> None:
        if left.video is None or right.video is None:
            raise MediaError("One of the two strokes has no footage.")
        self.comparison, self._sides = comparison, (left, right)
        self._bodies = tuple(body_of(side) if skeleton else None for side in self._sides)
        self._left = open_film(left.reel, left.state)
        try:
            self._right = open_film(right.reel, right.state)
        except BaseException:
            self._left.close()
            raise

    def __enter__(self) -> PairFilm:
        return self

    def __exit__(self, *_: object) -> None:
        self._left.close()
        self._right.close()

    def laid(self, look: PairLook | None) -> PairFilm:
        """The same open films, laid together otherwise; only this one closes them."""
        other = copy(self)
        other.comparison = laid(self.comparison, look)
        return other

    def clip(self) -> PairClip:
        """Which frames belong together, see `pair_frames`."""
        c = self.comparison
        return pair_frames(
            self._left.index.time_s,
            self._right.index.time_s,
            c.left.times,
            c.right.times,
            c.timing,
            c.shift_s,
        )

    def at(self, left_s: float) -> tuple[int, int]:
        """The frames nearest a moment of the left clock and the one that belongs to it."""
        c = self.comparison
        there_s = other_time(c.left.times, c.right.times, left_s, c.timing, c.shift_s).t_s
        return (
            nearest_frame(self._left.index.time_s, left_s),
            nearest_frame(self._right.index.time_s, there_s),
        )

    def on_screen(self, left_s: float) -> tuple[int | None, int | None]:
        """The frames the bench shows at a moment of the left clock; None where a film has none.

        The left one is that on screen then; the right one the nearest to the instant that belongs
        to the left frame's own, so that neither lags.
        """
        c, left, right = self.comparison, self._left.index, self._right.index
        here: int | None = None
        if left.holds(left_s):
            here = left.at(left_s)
            left_s = float(left.time_s[here])
        there_s = other_time(c.left.times, c.right.times, left_s, c.timing, c.shift_s).t_s
        half_s = (right.end_s - float(right.time_s[-1])) / 2
        if not -half_s <= there_s < right.end_s:
            return here, None
        return here, nearest_frame(right.time_s, there_s)

    def on_stage(
        self,
        frames: tuple[int | None, int | None],
        labels: tuple[str, str],
        stage: Stage,
        turn: PictureTurn,
        marks: tuple[Mark, ...] = (),
    ) -> NDArray[np.uint8]:
        """Two frames by their numbers as they stood on the bench; (h, w, 3) RGB.

        Parameters
        ----------
        frames : dark for None
        turn : how the pictures were turned then
        marks : those that stood on screen; each is drawn on its own frames only, on the right
            picture as well where that is of the same recording
        """
        every = (marks, marks if self._is_own(1) else self._marks(1))
        return paint_pair(
            _picture(self._left, frames[0]),
            _picture(self._right, frames[1]),
            self.comparison,
            turn=turn,
            right_lift=self._sides[1].turn.lift,
            labels=labels,
            stage=stage,
            drawn=self._pens(frames, turn, every, spans_only=False),
        )

    def size(self, width: int | None = None, strip: CurveStrip | None = None) -> tuple[int, int]:
        """Width and height of what `paint` gives."""
        source = (self._left.width, self._left.height)
        return clip_size(self.comparison, source, self._sides[0].turn, width, strip)

    def rgb(self, frames: tuple[int, int]) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
        """Two frames by their numbers, upright at source size."""
        return self._left.frame_rgb(frames[0]), self._right.frame_rgb(frames[1])

    def paint(
        self,
        frames: tuple[int, int],
        labels: tuple[str, str],
        width: int | None = None,
        strip: CurveStrip | None = None,
        left_s: float | None = None,
        spans_only: bool = False,
    ) -> NDArray[np.uint8]:
        """Two frames by their numbers with their marks, put together; (h, w, 3) RGB.

        Parameters
        ----------
        spans_only : leave out marks of a single frame, which would only flash in a clip
        """
        left_rgb, right_rgb = self.rgb(frames)
        turn, every = self._sides[0].turn, (self._marks(0), self._marks(1))
        return paint_pair(
            left_rgb,
            right_rgb,
            self.comparison,
            turn=turn,
            right_lift=self._sides[1].turn.lift,
            width=width,
            labels=labels,
            strip=strip,
            left_s=left_s,
            drawn=self._pens(frames, turn, every, spans_only),
        )

    def marks_on(
        self, frames: tuple[int | None, int | None], spans_only: bool = False
    ) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
        """The marks `paint` draws on the left and on the right one of two frames."""

        def on(side: int, film: VideoFile) -> tuple[Mark, ...]:
            frame = frames[side]
            if frame is None:
                return ()
            shown = shown_marks(self._marks(side), frame, film.index.at)
            return tuple(m for m in shown if m.end_s is not None or not spans_only)

        return on(0, self._left), on(1, self._right)

    def own_marks(
        self, frames: tuple[int | None, int | None], spans_only: bool = False
    ) -> frozenset[str]:
        """Ids of those that are the review's own."""
        both = enumerate(self.marks_on(frames, spans_only))
        return frozenset(m.id for side, marks in both if self._is_own(side) for m in marks)

    def named_marks(self, frames: tuple[int | None, int | None], words: Words) -> str:
        """What is drawn on two frames, for those who cannot see it; "" for nothing."""
        both = zip(self.marks_on(frames), self._sides, strict=True)
        names = (marks_named(marks, side.state.metres_per_px, words) for marks, side in both)
        return ", ".join(one_line(name) for each in names for name in each)

    def _is_own(self, side: int) -> bool:
        """Whether a side is of the review's own recording."""
        return self._sides[side].stroke.source == ""

    def _marks(self, side: int) -> tuple[Mark, ...]:
        """The marks that may stand on a side."""
        found = self._sides[side]
        return found.state.marks if shows_marks(self.comparison, found.stroke) else ()

    def _pens(
        self,
        frames: tuple[int | None, int | None],
        turn: PictureTurn,
        marks: tuple[tuple[Mark, ...], tuple[Mark, ...]],
        spans_only: bool,
    ) -> tuple[Drawn | None, Drawn | None]:
        left, right = (side.state for side in self._sides)
        turned = turn_of_right(turn, self.comparison.fit)
        return (
            pen_of(self._left, frames[0], left, marks[0], turn, spans_only, self._bodies[0]),
            pen_of(self._right, frames[1], right, marks[1], turned, spans_only, self._bodies[1]),
        )


def body_of(side: Resolved) -> BodyTrack | None:
    """The body followed in a side's film, as its own review keeps it."""
    body = side.submission.body
    return None if body is None else body.track


def _picture(film: VideoFile, frame: int | None) -> NDArray[np.uint8]:
    if frame is None:
        return np.full((film.height, film.width, 3), DARK, np.uint8)
    return film.frame_rgb(frame)


def write_pair_clip(
    film: PairFilm,
    out: Path,
    labels: tuple[str, str],
    strip: CurveStrip | None,
    cancelled: Cancelled | None = None,
    width: int | None = None,
    crf: int = CRF,
) -> float:
    """Write both pictures with their curves beneath as one silent clip; give its length, s.

    Parameters
    ----------
    strip : as wide as the clip
    width : see `paint_pair`
    crf : constant rate factor of x264

    Raises
    ------
    MediaError
        No frame lies in the span, the footage is damaged, or it was cancelled.
    """
    clip = film.clip()
    if not clip.pairs:
        raise MediaError("The footage does not reach the strokes.")

    fps = rate_of(np.array([pair.out_s for pair in clip.pairs]))

    def pictures() -> Iterator[tuple[VideoFrame, float]]:
        for pair in clip.pairs:
            image = film.paint((pair.left, pair.right), labels, width, strip, pair.left_s, True)
            yield to_yuv(image), pair.out_s

    with (
        ClipWriter(out, *film.size(width, strip), crf=crf, fps=fps) as writer,
        Ahead(pictures, "comparison") as ahead,
    ):
        for frame, out_s in ahead:
            if cancelled is not None and cancelled():
                raise MediaError("The clip was stopped; nothing was written.")
            writer.add_frame(frame, out_s)
        writer.finish(clip.end_s)
    return clip.end_s
