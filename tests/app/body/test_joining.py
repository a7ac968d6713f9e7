"""A film is read once: what is due is looked at while its frames are at hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from analysis.body.detecting.points import BEST_EVERY, DetectedFrame, due
from analysis.body.detecting.region import Region
from analysis.body.track import POINTS
from app.body import joining
from app.body.errors import BodyError
from app.body.joining import AHEAD_S, FilmFrames, _Looking

FPS = 30.0


class Film:
    """Frames by number, of which it is noted which were asked for."""

    def __init__(self, duration_s: float) -> None:
        self.index = SimpleNamespace(time_s=np.arange(round(duration_s * FPS)) / FPS)
        self.duration_s = duration_s
        self.colour: list[int] = []
        self.grey: list[int] = []

    def frame_rgb(self, i: int) -> np.ndarray:
        self.colour.append(i)
        return np.zeros((4, 6, 3), np.uint8)

    def frame_grey(self, i: int) -> np.ndarray:
        self.grey.append(i)
        return np.zeros((4, 6), np.uint8)


class Finder:
    """Finds the athlete from some second on."""

    there_from_s = 0.0

    def __init__(self, models: object, pointed: object, every: int) -> None:
        self.every = every
        self.found: list[DetectedFrame] = []

    def look(self, time_s: float, image: np.ndarray) -> None:
        region = Region(3.0, 2.0, 4.0) if time_s >= self.there_from_s else None
        nothing = np.full(len(POINTS), np.nan)
        self.found.append(
            DetectedFrame(time_s, np.full((len(POINTS), 2), np.nan), nothing, nothing, region)
        )

    def end(self) -> None:
        pass

    def taken(self) -> list[DetectedFrame]:
        taken, self.found = self.found, []
        return taken


@pytest.fixture
def looking(monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.setattr("analysis.body.detecting.points.PointFinder", Finder)

    def make(film: Film, there_from_s: float) -> _Looking:
        monkeypatch.setattr(Finder, "there_from_s", there_from_s)
        stand_in: Any = film
        return _Looking(stand_in, stand_in, ())

    return make


@pytest.mark.parametrize("there_from_s", [0.0, 3.0])
def test_each_frame_is_looked_at_once(looking: Any, there_from_s: float) -> None:
    film = Film(12.0)
    one = looking(film, there_from_s)
    share = one.ahead(lambda: False, lambda share: None)
    assert film.colour[-1] / FPS == pytest.approx(there_from_s + AHEAD_S, abs=0.1)
    assert 0.0 < share < 1.0 and len(one.found().time_s) == len(film.colour)
    video: Any = film
    frames = FilmFrames(video, one.passing)
    assert [round(t * FPS) for t, _ in frames(0.0, 12.0)] == list(range(360))
    assert film.colour == list(np.flatnonzero(due(film.index.time_s)))
    assert film.grey == list(range(360))
    assert len(one.all_found().time_s) == len(film.colour)


@pytest.mark.parametrize(("film_s", "every"), [(10.0, 1), (26.0, BEST_EVERY)])
def test_a_film_of_a_few_strokes_is_looked_at_by_both_networks_each_time(
    looking: Any, film_s: float, every: int
) -> None:
    assert looking(Film(film_s), 0.0)._finder.every == every


def test_a_film_in_which_hardly_anybody_is_says_so(looking: Any) -> None:
    one = looking(Film(6.0), 5.5)
    one.ahead(lambda: False, lambda share: None)
    with pytest.raises(BodyError, match=joining.NOBODY):
        one.all_found()
