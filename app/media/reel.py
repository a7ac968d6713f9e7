"""Several recordings of one piece, shown as one: each begins at its own second of one clock.

A phone or a messenger cuts a film; whoever looks at it wants to know nothing of that. A `Reel` is a
`VideoFile` whose frames come from whichever recording shows the moment. Between two recordings
nothing is shown, and the index says where (`FrameIndex.gaps`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from app.media.decoder import Interrupted, Passing
from app.media.index import FrameIndex
from app.media.laid import Laid
from app.media.opencv import opencv
from app.media.picture import Painter, SmallFrame
from app.media.sound import read_sound
from app.media.veil import Veil
from app.media.video import VideoFile

# Two recordings follow each other without a gap where less than this is missing: half a frame of
# slow film, and what clocks round to.
JOIN_S = 0.05
_SAME_SHAPE = 0.01  # of its width a picture may be wider before it is given bars


@dataclass(frozen=True)
class Stretch:
    """Which frames of a reel come from one of its recordings.

    Attributes
    ----------
    film : which of the recordings, in the order they were given
    first, count : numbers of its frames in the reel
    own : its own number of the first of them
    """

    film: int
    first: int
    count: int
    own: int


def laid_out(indices: Sequence[FrameIndex]) -> tuple[FrameIndex, tuple[Stretch, ...]]:
    """One index of several recordings on one clock, and what comes from where.

    Where two show the same moment the one that began earlier does, to its end.
    """
    order = sorted(range(len(indices)), key=lambda k: (indices[k].start_s, k))
    times: list[NDArray[np.float64]] = []
    keys: list[NDArray[np.bool_]] = []
    stretches: list[Stretch] = []
    gaps: list[tuple[float, float]] = []
    end_s, held = -np.inf, 0
    for film in order:
        index = indices[film]
        own = int(np.searchsorted(index.time_s, end_s - 1e-9))
        if own >= len(index):
            continue  # nothing but what is shown already
        begin_s = float(index.time_s[own])
        if times and begin_s - end_s > JOIN_S:
            gaps.append((float(end_s), begin_s))
        stretches.append(Stretch(film, held, len(index) - own, own))
        times.append(index.time_s[own:])
        keys.append(index.key[own:])
        held += len(index) - own
        end_s = index.end_s
    key = np.concatenate(keys)
    key[[s.first for s in stretches]] = True
    whole = FrameIndex(
        time_s=np.concatenate(times),
        pts=np.arange(held, dtype=np.int64),
        key=key,
        time_base=Fraction(1),
        end_s=float(end_s),
        seek_pts=np.flatnonzero(key).astype(np.int64),
        gaps=tuple(gaps),
    )
    return whole, tuple(stretches)


class Reel(VideoFile):
    """Open recordings as one; what a `VideoFile` gives, this gives, and it is closed as one.

    Pictures have the size of the first recording; those of another shape get bars.

    Parameters
    ----------
    films : opened on one clock (`starts_s`) and without a veil of their own; closed with this
    veil : what to hide at a time of that clock
    """

    def __init__(self, films: Sequence[VideoFile], veil: Veil | None = None) -> None:
        first = films[0]
        self._films = tuple(films)
        self.index, self.stretches = laid_out([film.index for film in films])
        self.path, self.codec = first.path, first.codec
        self.has_sound = any(film.has_sound for film in films)
        self.capture_fps = first.capture_fps
        self.turn = first.turn
        self.width, self.height = first.width, first.height
        self._veil = veil
        self._begins = np.array([s.first for s in self.stretches])

    @property
    def films(self) -> tuple[VideoFile, ...]:
        """The recordings, in the order they were given."""
        return self._films

    @property
    def laid(self) -> tuple[Laid, ...]:
        """The recordings frames come from, and where each stands."""
        return tuple(laid for film in self._films for laid in film.laid)

    def another(self) -> Reel:
        """The same recordings opened once more, with decoders of their own."""
        with ExitStack() as stack:
            films = [stack.enter_context(film.another()) for film in self._films]
            made = Reel(films, self._veil)
            stack.pop_all()
        return made

    def another_painter(self) -> Painter:
        """What makes pictures of kept frames in another thread."""
        return _ReelPainter(self)

    @property
    def fps(self) -> float:
        """Median frame rate of the first recording."""
        return self._films[0].fps

    def film_of(self, i: int) -> tuple[VideoFile, int]:
        """The recording frame `i` comes from, and the frame's number there."""
        film, own = self._place(i)
        return self._films[film], own

    def is_as_first(self, i: int) -> bool:
        """Whether frame `i` is stored as the frames of the first recording are."""
        film, first = self.film_of(i)[0], self._films[0]
        return film.turn == first.turn and (film.width, film.height) == (first.width, first.height)

    def frame_rgb(self, i: int) -> NDArray[np.uint8]:
        """Frame `i` as (height, width, 3) RGB, upright, at the size of the first recording."""
        film, own = self.film_of(i)
        return self.hidden(self._fitted(film.frame_rgb(own)), float(self.index.time_s[i]))

    def frame_grey(self, i: int) -> NDArray[np.uint8]:
        """Brightness of frame `i` as (height, width), at the size of the first recording."""
        film, own = self.film_of(i)
        return self._fitted(film.frame_grey(own)[..., np.newaxis])[..., 0]

    def frame_bgra(self, i: int, max_width: int, max_height: int) -> NDArray[np.uint8]:
        """Frame `i` as contiguous (h, w, 4) BGRA that fits the box, for the screen."""
        film, own = self.film_of(i)
        image = _framed(film.frame_bgra(own, max_width, max_height), self.width, self.height)
        return self.hidden(image, float(self.index.time_s[i]))

    def small(
        self,
        i: int,
        max_width: int,
        max_height: int,
        passing: Callable[[int, Callable[[], SmallFrame]], bool] | None = None,
    ) -> SmallFrame:
        """Frame `i` at display size, for keeping; as that of a `VideoFile`."""
        film, own = self.film_of(i)
        away = i - own
        offer = None if passing is None else lambda j, make: passing(j + away, make)
        try:
            return film.small(own, max_width, max_height, offer)
        except Interrupted as stopped:
            raise Interrupted(stopped.at + away) from None

    def finish(self, small: SmallFrame) -> NDArray[np.uint8]:
        """Contiguous (h, w, 4) BGRA picture of what `small` gave."""
        film = self._films[self._place(self.index.at(small.time_s))[0]]
        return self.hidden(_framed(film.finish(small), self.width, self.height), small.time_s)

    def painted(self, small: SmallFrame, painters: Sequence[Painter]) -> NDArray[np.uint8]:
        """What `finish` gives, with painters of another thread, and nothing hidden."""
        film = self._place(self.index.at(small.time_s))[0]
        return _framed(painters[film].finish(small), self.width, self.height)

    def sound(self, start_s: float, end_s: float, rate_hz: int) -> NDArray[np.float32]:
        """Sound of a span, mono; silence where no recording has any."""
        heard = [f.path for f in self._films if f.has_sound]
        parts = [(f.path, f.index) for f in self._films]
        return reel_sound(parts, start_s, end_s, rate_hz, [p in heard for p, _index in parts])

    def is_damaged(self, i: int) -> bool:
        """Whether frame `i`, asked for before, was damaged or stands for one that was."""
        film, own = self.film_of(i)
        return film.is_damaged(own)

    def keep_recent(self, most_bytes: int) -> None:
        """Keep the frames asked for last, so that going back to one needs no key frame."""
        for film in self._films:
            film.keep_recent(most_bytes // len(self._films))

    def frames_to(self, i: int) -> int:
        """How many frames have to be decoded to give frame `i` next."""
        film, own = self.film_of(i)
        return film.frames_to(own)

    @property
    def seeks(self) -> int:
        """How often decoding had to start from a key frame."""
        return sum(film.seeks for film in self._films)

    @property
    def frames_decoded(self) -> int:
        """How many frames have been decoded since this was opened."""
        return sum(film.frames_decoded for film in self._films)

    @property
    def temporary(self) -> Path | None:
        """None: each recording has its own, if it needs one."""
        return None

    def close(self) -> None:
        """Close all of them; safe to call twice."""
        for film in self._films:
            film.close()

    def _fitted(self, image: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """A picture of any of them at the size of the first."""
        image = _framed(image, self.width, self.height)
        if image.shape[:2] == (self.height, self.width):
            return image
        cv2 = opencv()
        size = (self.width, self.height)
        fitted: NDArray[np.uint8] = cv2.resize(image, size, interpolation=cv2.INTER_AREA)
        return fitted.reshape(self.height, self.width, image.shape[2])

    def _frame(self, i: int, passing: Passing | None = None) -> VideoFrame:
        film, own = self.film_of(i)
        away = i - own
        offer = None if passing is None else lambda j, frame: passing(j + away, frame)
        try:
            return film.decoded(own, offer)
        except Interrupted as stopped:
            raise Interrupted(stopped.at + away) from None

    def _place(self, i: int) -> tuple[int, int]:
        if not 0 <= i < len(self.index):
            raise IndexError(f"no frame {i}: there are {len(self.index)}")
        stretch = self.stretches[int(np.searchsorted(self._begins, i, side="right")) - 1]
        return stretch.film, i - stretch.first + stretch.own


class _ReelPainter(Painter):
    """Finishes kept frames, each as its own recording is painted."""

    def __init__(self, reel: Reel) -> None:
        super().__init__(reel.turn, Fraction(1))
        self._reel = reel
        self._painters = tuple(film.another_painter() for film in reel.films)

    def finish(self, small: SmallFrame) -> NDArray[np.uint8]:
        return self._reel.painted(small, self._painters)


def open_reel(
    films: Sequence[Laid],
    veil: Veil | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> VideoFile:
    """Open recordings on one clock; a single one is opened as it is.

    Raises
    ------
    MediaError
        One of them cannot be used.
    """
    if len(films) == 1:
        return _open(films[0], progress, cancelled, veil)
    with ExitStack() as stack:
        opened = []
        for at, film in enumerate(films):
            opened.append(
                stack.enter_context(_open(film, _nth(progress, at, len(films)), cancelled))
            )
        made = Reel(opened, veil)
        stack.pop_all()
    return made


def _nth(
    progress: Callable[[float], None] | None, at: int, count: int
) -> Callable[[float], None] | None:
    return None if progress is None else lambda share: progress((at + share) / count)


def _open(
    film: Laid,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
    veil: Veil | None = None,
) -> VideoFile:
    return VideoFile.open(
        film.path, progress, cancelled, film.capture_fps, veil=veil, starts_s=film.starts_s
    )


def reel_sound(
    parts: Sequence[tuple[Path, FrameIndex]],
    start_s: float,
    end_s: float,
    rate_hz: int,
    heard: Sequence[bool] | None = None,
) -> NDArray[np.float32]:
    """Sound of recordings on one clock; as `read_sound`, of the one whose picture is shown.

    Parameters
    ----------
    heard : which of them have sound; None for all

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    out = np.zeros(max(0, round((end_s - start_s) * rate_hz)), np.float32)
    for film, from_s, to_s in _shown(parts):
        begin_s, stop_s = max(from_s, start_s), min(to_s, end_s)
        if stop_s <= begin_s or (heard is not None and not heard[film]):
            continue
        path, index = parts[film]
        own = read_sound(path, begin_s, stop_s, rate_hz, index)
        at = round((begin_s - start_s) * rate_hz)
        own = own[: len(out) - at]
        out[at : at + len(own)] = own
    return out


def _shown(parts: Sequence[tuple[Path, FrameIndex]]) -> Iterator[tuple[int, float, float]]:
    """Which recording is shown from when until when."""
    if len(parts) == 1:
        yield 0, -np.inf, np.inf  # sound may begin before the picture and end after it
        return
    whole, stretches = laid_out([index for _path, index in parts])
    begins = [float(whole.time_s[s.first]) for s in stretches]
    for stretch, (begin_s, next_s) in zip(stretches, pairwise([*begins, np.inf]), strict=True):
        yield stretch.film, begin_s, min(next_s, parts[stretch.film][1].end_s)


def _framed(image: NDArray[np.uint8], width: int, height: int) -> NDArray[np.uint8]:
    """The picture with dark bars, so that it has the shape of the first recording's."""
    high, wide = image.shape[:2]
    if abs(wide * height - high * width) <= _SAME_SHAPE * wide * height:
        return image
    more_wide = max(wide, round(high * width / height))
    more_high = max(high, round(wide * height / width))
    out = np.zeros((more_high, more_wide, image.shape[2]), np.uint8)
    if image.shape[2] == 4:
        out[..., 3] = 255
    top, left = (more_high - high) // 2, (more_wide - wide) // 2
    out[top : top + high, left : left + wide] = image
    return out
