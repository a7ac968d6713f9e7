"""Handle, seat and the fixed points of the machine, followed in a film whose body was followed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.body.errors import BodyError
from app.body.joining import STOPPED, FilmFrames

if TYPE_CHECKING:
    from analysis.body.following.observed import Observed
    from analysis.body.track import Click


def machine_followed(
    path: Path,
    observed: Observed,
    clicks: Sequence[Click],
    cancelled: Callable[[], bool],
    progress: Callable[[float], None],
) -> Observed:
    """Follow what was clicked of the machine; all else stays as it was read.

    Parameters
    ----------
    observed : what was read of this film before
    clicks : on points of the machine, seconds of the file
    cancelled : asked now and then; True stops the work with an error
    progress : called with a share from 0 to 1

    Raises
    ------
    BodyError
        The film shows other frames than those read before, or the work was stopped.
    MediaError
        The film cannot be read.
    """
    from analysis.body.following.follow_machine import follow_machine
    from analysis.body.following.observed import FollowingCancelledError, FollowingError
    from app.media.video import VideoFile

    with VideoFile.open(path, cancelled=cancelled) as video:
        try:
            return follow_machine(
                FilmFrames(video), observed, clicks, cancelled=cancelled, progress=progress
            )
        except FollowingCancelledError:
            raise BodyError(STOPPED) from None
        except FollowingError as error:
            raise BodyError(str(error)) from None
