"""The one place where what finds points in single frames meets what follows them through a film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from analysis.body.track import BodyTrack, Click
from app.body.errors import BodyError

Cancelled = Callable[[], bool]
Progress = Callable[[float], None]
Follower = Callable[[Path, Sequence[Click], Cancelled, Progress], BodyTrack]

NOT_SET_UP = (
    "The picture alone cannot be judged yet: what finds the points of a body in a film is not set "
    "up on this machine. Give points with --points POINTS.csv, or send a force recording."
)


def follower() -> Follower:
    """Give what follows a body through a film.

    Raises
    ------
    BodyError
        It is not set up on this machine.
    """
    raise BodyError(NOT_SET_UP)
