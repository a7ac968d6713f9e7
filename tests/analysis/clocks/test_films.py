"""Films on one clock: by what is heard, seen, rowed and written down; and what is not sure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.clocks.films import (
    FilmFacts,
    FilmPlace,
    joined,
    line_up_of_films,
    place_film,
    sound_offset,
)
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal, measure_sound
from tests.helpers.line_ups import laid

RATE_HZ = 16_000
STROKE_S = 2.4


def room(seconds: float, seed: int) -> NDArray[np.float32]:
    """A flywheel that rises and falls evenly, over which somebody talks in bursts."""
    random = np.random.default_rng(seed)
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    wheel = (1.2 + np.sin(2.0 * np.pi * time_s / STROKE_S)) * random.normal(0.0, 0.1, len(time_s))
    loud = np.repeat(random.random(round(seconds * 8) + 1) < 0.3, RATE_HZ // 8)[: len(time_s)]
    talk = loud * random.normal(0.0, 0.25, len(time_s))
    return (wheel + talk).astype(np.float32)


def heard(sound: NDArray[np.float32], from_s: float, until_s: float, noise: float) -> SoundSignal:
    """What one microphone makes of a stretch of it: its own noise, its own echo."""
    part = sound[round(from_s * RATE_HZ) : round(until_s * RATE_HZ)].astype(float)
    echo = np.concatenate((np.zeros(300), part[:-300]))
    own = np.random.default_rng(round(1000 * from_s)).normal(0.0, noise, len(part))
    return measure_sound([(0.4 * (part + 0.4 * echo) + own).astype(np.float32)], RATE_HZ)


def rowed(from_s: float, until_s: float, fps: float, sense: float = 1.0) -> MotionSignal:
    """To and fro as a camera sees it, no two strokes quite alike."""
    time_s = np.arange(from_s, until_s, 1.0 / fps)
    way = 0.1 * np.sin(2.0 * np.pi * time_s / STROKE_S + 0.5 * np.sin(0.31 * time_s))
    travel = sense * np.diff(way, prepend=way[0])
    return MotionSignal(time_s - from_s, travel, 0.9, np.ones((1, 1), np.float32))


@pytest.mark.parametrize("starts_s", [-9.37, 0.0, 3.213, 18.5])
def test_what_two_microphones_heard_tells_where_a_film_begins(starts_s: float) -> None:
    sound = room(50.0, 1)
    first = heard(sound, 12.0, 40.0, 0.02)
    other = heard(sound, 12.0 + starts_s, min(48.0, 32.0 + starts_s), 0.05)
    assert sound_offset(first, other) == pytest.approx(starts_s, abs=0.005)


def test_the_same_rhythm_at_another_time_is_not_the_same_sound() -> None:
    """Films one after the other, and films of another day: even strokes sound alike."""
    sound = room(60.0, 2)
    first = heard(sound, 0.0, 30.0, 0.02)
    assert sound_offset(first, heard(sound, 30.0, 60.0, 0.02)) is None
    assert sound_offset(first, heard(sound, 27.0, 57.0, 0.02)) is None, "three seconds in common"
    assert sound_offset(first, heard(room(30.0, 3), 0.0, 30.0, 0.02)) is None
    assert sound_offset(first, None) is None


@pytest.mark.parametrize(("fps", "sense"), [(30.0, 1.0), (25.0, -1.0), (59.94, -1.0)])
def test_the_picture_tells_how_far_each_sound_is_from_its_own(fps: float, sense: float) -> None:
    sound = room(40.0, 4)
    late_s = 0.08  # the other's sound, behind its picture
    first = FilmFacts(30.0, None, rowed(0.0, 30.0, 30.0), heard(sound, 0.0, 30.0, 0.02))
    other = FilmFacts(
        25.0, None, rowed(6.0, 31.0, fps, sense), heard(sound, 6.0 - late_s, 31.0 - late_s, 0.02)
    )
    place = place_film(first, other)
    assert (place.how, place.sure) == ("picture", True)
    assert place.offset_s == pytest.approx(6.0, abs=0.005)
    blind = place_film(first, replace(other, motion=None))
    assert (blind.how, blind.sure) == ("sound", True)
    assert blind.uncertainty_s is not None
    assert abs(blind.offset_s - 6.0) <= blind.uncertainty_s, "a sound's own delay is allowed for"


def test_films_that_do_not_overlap_meet_on_the_force() -> None:
    """Force zero is at 4 s of the first film, and 26 s before the other begins."""
    first, other = FilmFacts(20.0, line_up=laid({4.0: 1.0})), FilmFacts(20.0)
    place = place_film(first, replace(other, line_up=laid({-26.0: 1.0})))
    assert place.offset_s == pytest.approx(30.0)
    assert (place.how, place.sure) == ("force", True)


def test_one_of_several_strokes_is_not_sure_unless_the_times_of_recording_tell() -> None:
    first = FilmFacts(20.0, 1000.0, line_up=laid({4.0: 1.0}))
    unsure = laid({-26.0: 0.5, -28.4: 0.4, -23.6: 0.1}, "one of several")
    without = place_film(replace(first, began_at=None), FilmFacts(20.0, line_up=unsure))
    assert (without.how, without.sure) == ("force", False)
    told = place_film(first, FilmFacts(20.0, 1032.0, line_up=unsure))
    assert told.offset_s == pytest.approx(32.4)
    assert not told.sure, "a neighbouring stroke is within what cameras' clocks are off by"
    slow = laid({-26.0: 0.5, -34.0: 0.5}, "one of several")
    assert place_film(first, FilmFacts(20.0, 1038.0, line_up=slow)).sure


def test_another_piece_is_laid_by_nothing_but_its_time() -> None:
    first = FilmFacts(20.0, 1000.0, line_up=laid({4.0: 1.0}))
    other = FilmFacts(20.0, 1090.0, line_up=laid({-26.0: 1.0}, "not together"))
    place = place_film(first, other)
    assert (place.how, place.sure, place.offset_s) == ("recorded", False, 90.0)


def test_some_cameras_write_down_when_a_film_ended() -> None:
    place = place_film(FilmFacts(60.0, 1060.0), FilmFacts(40.0, 1105.0))
    assert place.offset_s == pytest.approx(65.0)


def test_where_nothing_is_known_it_comes_behind_and_says_so() -> None:
    place = place_film(FilmFacts(60.0), FilmFacts(40.0), after_s=75.0)
    assert (place.offset_s, place.uncertainty_s, place.how) == (75.0, None, "order")
    assert not place.sure


def test_a_film_that_may_go_on_without_a_gap_does() -> None:
    first, other = FilmFacts(20.0, line_up=laid({4.0: 1.0})), FilmFacts(20.0)
    near = place_film(first, replace(other, line_up=laid({-16.02: 1.0})))
    assert joined(near, 20.0, 1 / 30).offset_s == 20.0
    apart = place_film(first, replace(other, line_up=laid({-16.2: 1.0})))
    assert joined(apart, 20.0, 1 / 30) == apart


VIEW = FilmPlace(6.0, 0.03, "picture", True)


def test_a_film_that_shows_the_force_better_speaks_for_the_first() -> None:
    """The first was begun late: three strokes. The second camera saw all of them."""
    short = laid({4.1: 0.6, 6.5: 0.4}, "one of several")
    found = line_up_of_films(short, [(VIEW, laid({-2.0: 1.0}))])
    assert found is not None and found.verdict == "lined up"
    assert found.alignment.offset_s == pytest.approx(4.0)
    assert found.candidates[0].offset_s == pytest.approx(4.0)
    assert found.candidates[0].uncertainty_s == pytest.approx(np.hypot(0.01, 0.03))


def test_films_that_contradict_each_other_leave_it_open() -> None:
    one_stroke_on = line_up_of_films(laid({4.0: 1.0}), [(VIEW, laid({0.4: 1.0}))])
    assert one_stroke_on is not None and one_stroke_on.alignment.ambiguous
    assert one_stroke_on.verdict == "one of several"
    another = line_up_of_films(laid({4.0: 1.0}), [(VIEW, laid({-2.0: 1.0}, "not together"))])
    assert another is not None and another.verdict == "one of several"
    agreed = line_up_of_films(laid({4.0: 1.0}), [(VIEW, laid({-2.01: 1.0}))])
    assert agreed is not None and agreed.verdict == "lined up"


def test_a_film_whose_place_is_not_known_says_nothing_of_the_first() -> None:
    by_name = FilmPlace(6.0, None, "order", False)
    assert line_up_of_films(None, [(by_name, laid({-2.0: 1.0}))]) is None
    through_the_force = FilmPlace(6.0, 0.03, "force", True)
    first = laid({4.0: 1.0})
    assert line_up_of_films(first, [(through_the_force, laid({-9.0: 1.0}))]) is first
