"""The one place where what finds points in single frames meets what follows them through a film."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from analysis.body.track import Click
from app.body.errors import BodyError, NotSetUpError, SeveralPeopleError

if TYPE_CHECKING:
    from analysis.body.detecting.models import BodyModels
    from analysis.body.detecting.region import Image
    from analysis.body.following.follow import Followed
    from analysis.body.following.observed import Detections
    from app.media.video import VideoFile

Cancelled = Callable[[], bool]
Progress = Callable[[float], None]
Follower = Callable[[Path, Sequence[Click], Cancelled, Progress], "Followed"]

NOT_SET_UP: Final = (
    "What finds a body in a film is not set up on this machine: run python -m app.body_models once "
    "with a network, give points with --points POINTS.csv, or send a force recording."
)
NOBODY: Final = "Nobody was found in this film; film the whole athlete from the side."
STOPPED: Final = "Stopped; nothing was kept of it."
SEVERAL: Final = (
    "There are {count} people in this film; say who the athlete is with --hip X,Y and --head X,Y."
)
LOOKED_AT: Final = 5  # frames, for how many people there are
_FINDING: Final = 0.6  # of the work
_THREADS: Final = 2  # more do not make a network of this size quicker
_LEAST_FOUND: Final = 0.2  # of the frames that were looked at


def follower() -> Follower:
    """Give what follows a body through a film.

    Raises
    ------
    NotSetUpError
        It is not set up on this machine.
    """
    from analysis.body.detecting.network import DetectionError
    from app.body_models.weights import find_models

    files = find_models()
    if files is None:
        raise NotSetUpError(NOT_SET_UP)
    from analysis.body.detecting.models import load_models

    try:
        models = load_models(files, threads=min(_THREADS, os.cpu_count() or 1))
    except DetectionError as error:
        raise BodyError(str(error)) from None

    def follow(
        path: Path, pointed: Sequence[Click], cancelled: Cancelled, progress: Progress
    ) -> Followed:
        return _followed(path, models, pointed, cancelled, progress)

    return follow


def _followed(
    path: Path,
    models: BodyModels,
    pointed: Sequence[Click],
    cancelled: Cancelled,
    progress: Progress,
) -> Followed:
    """Find the athlete ten times a second, then follow them through every frame."""
    from analysis.body.following.follow import follow
    from analysis.body.following.observed import FollowingCancelledError, FollowingError
    from app.media.video import VideoFile

    with VideoFile.open(path, cancelled=cancelled) as video:
        if not pointed:
            _one_person(video, models)
        found = _found(video, models, pointed, cancelled, lambda s: progress(_FINDING * s))
        span_s = (0.0, video.duration_s)
        try:
            return follow(
                FilmFrames(video),
                span_s,
                (),
                found,
                cancelled=cancelled,
                progress=lambda s: progress(_FINDING + (1.0 - _FINDING) * s),
            )
        except FollowingCancelledError:
            raise BodyError(STOPPED) from None
        except FollowingError as error:
            raise BodyError(str(error)) from None


def _one_person(video: VideoFile, models: BodyModels) -> None:
    """Refuse to choose among several people."""
    from analysis.body.detecting.models import propose_person

    spread = np.linspace(0, len(video.index) - 1, LOOKED_AT + 2)[1:-1]
    people = propose_person((video.frame_rgb(int(i)) for i in spread), models)
    if not people:
        raise BodyError(NOBODY)
    if len(people) > 1:
        raise SeveralPeopleError(SEVERAL.format(count=len(people)))


def _found(
    video: VideoFile,
    models: BodyModels,
    pointed: Sequence[Click],
    cancelled: Cancelled,
    progress: Progress,
) -> Detections:
    """Points of the frames that are looked at."""
    from analysis.body.detecting.points import detect_points, due
    from analysis.body.following.observed import Detections

    time_s = video.index.time_s
    wanted = np.flatnonzero(due(time_s))
    whole_s = max(video.duration_s, 1e-6)

    def frames() -> Iterator[tuple[float, Image]]:
        for i in wanted:
            yield float(time_s[i]), video.frame_rgb(int(i))

    seen = list(
        detect_points(
            frames(),
            models,
            pointed,
            cancelled=cancelled,
            progress=lambda at_s: progress(min(at_s / whole_s, 1.0)),
        )
    )
    if cancelled():
        raise BodyError(STOPPED)
    if sum(one.region is not None for one in seen) < max(_LEAST_FOUND * len(seen), 1.0):
        raise BodyError(NOBODY)
    return Detections(
        np.array([one.time_s for one in seen]),
        np.array([one.xy_px for one in seen]),
        np.array([one.sd_px for one in seen]),
    )


class FilmFrames:
    """Grey frames of stretches of a film; time goes on, or starts anew."""

    def __init__(self, video: VideoFile) -> None:
        self._video = video

    def __call__(self, start_s: float, end_s: float) -> Iterator[tuple[float, Image]]:
        """Give the frames of a stretch, one by one."""
        time_s = self._video.index.time_s
        first, last = np.searchsorted(time_s, (start_s - 1e-9, end_s - 1e-9))
        for i in range(int(first), int(last)):
            yield float(time_s[i]), self._video.frame_grey(i)
