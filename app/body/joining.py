"""The one place where what finds points in single frames meets what follows them through a film."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from analysis.body.track import POINTS, Click
from app.body.errors import BodyError, NotSetUpError, SeveralPeopleError

if TYPE_CHECKING:
    from analysis.body.detecting.models import BodyModels
    from analysis.body.detecting.points import DetectedFrame
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
# So long the athlete is looked at before anything else: where they move is no scenery.
AHEAD_S: Final = 4.0
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
    """Find the athlete in the frames that are due and follow them in all, in one passage."""
    from analysis.body.following.follow import follow
    from analysis.body.following.observed import FollowingCancelledError, FollowingError
    from app.media.video import VideoFile

    with VideoFile.open(path, cancelled=cancelled) as video:
        if not pointed:
            _one_person(video, models)
        looking = _Looking(video, models, pointed)
        ahead = looking.ahead(cancelled, progress)
        try:
            return follow(
                FilmFrames(video, looking.passing),
                (0.0, video.duration_s),
                (),
                looking.found(),
                all_found=looking.all_found,
                cancelled=cancelled,
                progress=lambda s: progress(ahead + (1.0 - ahead) * s),
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


class _Looking:
    """Looks at the frames of a film that are due, each once, while it is read for other ends."""

    def __init__(self, video: VideoFile, models: BodyModels, pointed: Sequence[Click]) -> None:
        from analysis.body.detecting.points import PointFinder, best_every, due

        self._video = video
        self._due = due(video.index.time_s)
        self._finder = PointFinder(models, pointed, every=best_every(video.duration_s))
        self._seen: list[DetectedFrame] = []
        self._first_s = np.inf  # when the athlete was first there
        self._next = 0  # the first frame that was not looked at

    def ahead(self, cancelled: Cancelled, progress: Progress) -> float:
        """Look until the athlete was seen for `AHEAD_S`; give the share of all work that was."""
        whole_s = self._video.duration_s + AHEAD_S
        time_s = self._video.index.time_s
        for i in range(len(time_s)):
            if cancelled():
                raise BodyError(STOPPED)
            self.passing(i)
            if time_s[i] - self._first_s >= AHEAD_S:
                break
            progress(float(time_s[i]) / whole_s)
        return float(time_s[self._next - 1]) / whole_s

    def passing(self, i: int) -> None:
        """Look at a frame that is being read, if it is due and was not looked at."""
        if i < self._next:
            return
        self._next = i + 1
        if self._due[i]:
            self._finder.look(float(self._video.index.time_s[i]), self._video.frame_rgb(i))
            self._take()

    def all_found(self) -> Detections:
        """Give all points, once the last frame was looked at.

        Raises
        ------
        BodyError
            The athlete was hardly ever there.
        """
        self._finder.end()
        self._take()
        there = sum(one.region is not None for one in self._seen)
        if there < max(_LEAST_FOUND * len(self._seen), 1.0):
            raise BodyError(NOBODY)
        return self.found()

    def _take(self) -> None:
        taken = self._finder.taken()
        self._seen += taken
        there = [one.time_s for one in taken if one.region is not None]
        self._first_s = min([self._first_s, *there])

    def found(self) -> Detections:
        """Give the points that were found so far."""
        from analysis.body.following.observed import Detections

        return Detections(
            np.array([one.time_s for one in self._seen]),
            np.array([one.xy_px for one in self._seen]).reshape(-1, len(POINTS), 2),
            np.array([one.sd_px for one in self._seen]).reshape(-1, len(POINTS)),
        )


class FilmFrames:
    """Grey frames of stretches of a film; time goes on, or starts anew.

    Parameters
    ----------
    passing : told the number of each frame while it is at hand
    """

    def __init__(self, video: VideoFile, passing: Callable[[int], None] | None = None) -> None:
        self._video = video
        self._passing = passing

    def __call__(self, start_s: float, end_s: float) -> Iterator[tuple[float, Image]]:
        """Give the frames of a stretch, one by one."""
        time_s = self._video.index.time_s
        first, last = np.searchsorted(time_s, (start_s - 1e-9, end_s - 1e-9))
        for i in range(int(first), int(last)):
            grey = self._video.frame_grey(i)
            if self._passing is not None:
                self._passing(i)
            yield float(time_s[i]), grey
