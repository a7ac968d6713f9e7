"""The points of the body all through a film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.body.track import BodyTrack, Click
from app.body import joining

if TYPE_CHECKING:
    from analysis.body.following.follow import Followed


def track_of_film(
    path: Path,
    clicks: Sequence[Click] = (),
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> BodyTrack:
    """Follow the points of the athlete in a film.

    Parameters
    ----------
    path : the film
    clicks : points placed by hand, none are needed
    cancelled : asked now and then; True stops the work with an error
    progress : called with a share from 0 to 1

    Raises
    ------
    BodyError
        What follows points is not set up here, or the film shows nobody it could follow.
    MediaError
        The film cannot be read.
    """
    return followed_film(path, clicks, cancelled, progress).track


def followed_film(
    path: Path,
    clicks: Sequence[Click] = (),
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Followed:
    """As `track_of_film`, with what was read of the pictures: later clicks need no more.

    Raises
    ------
    NotSetUpError
        What follows points is not set up here.
    SeveralPeopleError
        There are several people, and nobody said who the athlete is.
    BodyError
        The film shows nobody it could follow.
    MediaError
        The film cannot be read.
    """
    follow = joining.follower()
    return follow(path, clicks, cancelled or _never, progress or _silent)


def _never() -> bool:
    return False


def _silent(share: float) -> None:
    del share
