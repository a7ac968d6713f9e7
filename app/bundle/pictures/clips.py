"""The one place where a bundle asks for a clip of the film."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.body.track import BodyTrack
from analysis.signals.stroke import Stroke
from app.bundle.pictures.clip_store import key_of
from app.bundle.pictures.content import of_film, of_track
from app.bundle.pictures.quality import Quality
from app.bundle.sources.film import cut_from
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState

if TYPE_CHECKING:
    from app.media.encode import ClipLook
    from app.media.video import VideoFile

AROUND_S = 1.0  # before and after a note that belongs to no stroke
LEAD_S = 0.25  # before the catch, so that the eye is there when it comes
LONGEST_S = 12.0  # a pause after a stroke does not make its clip long
_DISK_ERRORS = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EIO})


@dataclass(frozen=True)
class Span:
    """A stretch of the film in seconds, and whether it is a whole stroke."""

    from_s: float
    to_s: float
    is_stroke: bool = False

    @property
    def seconds(self) -> float:
        """How long it is."""
        return self.to_s - self.from_s


def span_of(
    note: Note,
    stroke: Stroke | None,
    to_film: Callable[[float], float],
    film_s: float,
    begin_s: float = 0.0,
) -> Span:
    """Say which stretch of the film shows a note: its own span, its stroke, or ± 1 s around it.

    Parameters
    ----------
    to_film : trace seconds to film seconds
    film_s : when the film ends
    begin_s : when it begins, which of a cut one may be before zero
    """
    if note.end_s is not None and note.end_s > note.video_s:
        first, last, whole = note.video_s, note.end_s, stroke is not None
    elif stroke is not None:
        after = stroke.finish_s if stroke.next_catch_s is None else stroke.next_catch_s
        first, last, whole = to_film(stroke.catch_s) - LEAD_S, to_film(after), True
    else:
        first, last, whole = note.video_s - AROUND_S, note.video_s + AROUND_S, False
    if not first <= note.video_s <= last:  # a stroke named for a moment outside it
        first, last, whole = note.video_s - AROUND_S, note.video_s + AROUND_S, False
    first = max(begin_s, first)
    return Span(first, min(last, first + LONGEST_S, film_s), whole)


def write_clip(
    film: VideoFile,
    state: ReviewState,
    span: Span,
    out: Path,
    look: ClipLook,
    cancelled: Callable[[], bool] | None = None,
    passing: Callable[[int], None] | None = None,
) -> None:
    """Write a stretch of the film as a clip without metadata.

    Parameters
    ----------
    film : opened by `open_film`
    look, passing : see `app.bundle.sources.film.cut_from`

    Raises
    ------
    MediaError
        The film cannot be used there, or the writing was cancelled.
    OSError
        The disk refused the file.
    """
    from app.media.errors import MediaError

    try:
        cut_from(film, state, span.from_s, span.to_s, out, look, cancelled, passing)
    except MediaError as error:
        refused = disk_refusal(error)
        if refused is not None:
            raise OSError(refused, os.strerror(refused)) from error
        raise


def clip_key(
    film: VideoFile,
    state: ReviewState,
    span: Span,
    quality: Quality,
    track: BodyTrack | None = None,
) -> str:
    """Name a clip by all that decides how it looks."""
    return key_of(
        {
            **of_film(film.laid, state),
            "span": (span.from_s, span.to_s),
            "marks": [asdict(m) for m in state.marks if m.end_s is not None],
            "scale": state.metres_per_px,
            "quality": (quality.height_px, quality.crf, quality.sound_bps, quality.as_stored),
            **of_track(track),
        }
    )


def disk_refusal(error: BaseException) -> int | None:
    """Say whether the disk was behind an error: then it is no fault of the film."""
    seen: BaseException | None = error
    while seen is not None:
        number = getattr(seen, "errno", None)
        if number in _DISK_ERRORS:
            return int(number)
        seen = seen.__cause__ or seen.__context__
    return None
