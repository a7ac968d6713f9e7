"""The body of a film without a detector: its frames read, then points placed by hand carried on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.body.errors import BodyError
from app.body.joining import STOPPED, FilmFrames

if TYPE_CHECKING:
    from analysis.body.following.observed import Observed
    from analysis.body.track import Click

Cancelled = Callable[[], bool]
Progress = Callable[[float], None]


def frames_read(path: Path, cancelled: Cancelled, progress: Progress) -> Observed:
    """Read how the camera moved and where strokes are, and of the body nothing.

    Raises
    ------
    BodyError
        The film has no frames, or the work was stopped.
    MediaError
        The film cannot be read.
    """
    from analysis.body.following.follow import observe
    from analysis.body.following.observed import FollowingCancelledError, FollowingError
    from app.media.video import VideoFile

    with VideoFile.open(path, cancelled=cancelled) as video:
        try:
            return observe(
                FilmFrames(video), (0.0, video.duration_s), (),
                cancelled=cancelled, progress=progress,
            )  # fmt: skip
        except FollowingCancelledError:
            raise BodyError(STOPPED) from None
        except FollowingError as error:
            raise BodyError(str(error)) from None


def carried_on(
    path: Path,
    observed: Observed,
    clicks: Sequence[Click],
    cancelled: Cancelled,
    progress: Progress,
) -> Observed:
    """Carry points placed in one stroke through the film.

    Parameters
    ----------
    observed : what was read of this film before
    clicks : on points of the body, seconds of the file

    Raises
    ------
    BodyError
        The work was stopped.
    MediaError
        The film cannot be read.
    """
    from analysis.body.following.by_hand import carried
    from analysis.body.following.observed import FollowingCancelledError
    from app.media.video import VideoFile

    with VideoFile.open(path, cancelled=cancelled) as video:
        try:
            return carried(FilmFrames(video), observed, clicks, cancelled, progress)
        except FollowingCancelledError:
            raise BodyError(STOPPED) from None
