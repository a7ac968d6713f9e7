"""Staying with one person, with networks that say what the test wants."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.detecting.landmarks import Landmarks
from analysis.body.detecting.models import BodyModels
from analysis.body.detecting.person import Person
from analysis.body.detecting.points import PointFinder, best_every, detect_points, due
from analysis.body.detecting.region import Region
from analysis.body.detecting.tracking import PersonTracker
from analysis.body.track import Click

IMAGE = np.zeros((400, 800, 3), np.uint8)


def at(x, side=100.0):
    return Region(x, 200.0, side)


class Stage:
    """People by their x; a network looking near one of them finds that one."""

    def __init__(self, *people):
        self.now, self.asked, self.looked = list(people), 0, []

    def people(self, image):
        self.asked += 1
        return [
            Person(at(x), (x, 150.0), (x, 200.0), 0.9 - 0.1 * k) for k, x in enumerate(self.now)
        ]

    def find_in(self, cut, region):
        self.looked.append(region)
        near = min(self.now, key=lambda x: abs(x - region.x_px), default=None)
        there = near is not None and abs(near - region.x_px) < 60.0
        xy_px = np.full((33, 2), 200.0)
        xy_px[:, 0] = near if there else 0.0
        zero = np.zeros(33)
        return Landmarks(xy_px, zero, zero, 0.99 if there else 0.1, at(near) if there else None)

    def models(self, second=True):
        return BodyModels(self, self, self if second else None)


def clicked(x, time_s=0.0):
    return [Click(time_s, "hip", x, 200.0), Click(time_s, "head", x, 160.0)]


def where(tracker, time_s):
    seen = tracker.look(time_s, IMAGE)
    return None if seen is None else seen.points.xy_px[0, 0]


def test_the_surest_is_followed_without_looking_for_people_again():
    stage = Stage(300.0, 600.0)
    tracker = PersonTracker(stage.models())
    for k in range(5):
        stage.now[0] = 300.0 + 20.0 * k
        assert where(tracker, 0.1 * k) == stage.now[0]
    assert stage.asked == 1


def test_a_click_says_who_it_is():
    stage = Stage(300.0, 600.0)
    tracker = PersonTracker(stage.models(), clicked(600.0))
    assert where(tracker, 0.0) == 600.0 and stage.asked == 0
    assert stage.looked[0].side_px == pytest.approx(100.0)


def test_a_later_click_corrects():
    stage = Stage(300.0, 600.0)
    tracker = PersonTracker(stage.models(), clicked(300.0) + clicked(600.0, 0.5))
    assert [where(tracker, t) for t in (0.0, 0.4, 0.5, 0.6)] == [300.0, 300.0, 600.0, 600.0]


def test_nobody_jumps_to_a_neighbour():
    stage = Stage(300.0, 350.0)
    tracker = PersonTracker(stage.models(), clicked(300.0))
    assert where(tracker, 0.0) == 300.0
    stage.now = [350.0, 700.0]
    assert where(tracker, 0.1) is None
    stage.now = [310.0, 350.0]
    assert where(tracker, 0.2) == 310.0


def test_one_who_comes_back_elsewhere_is_found_after_a_while():
    stage = Stage(300.0)
    tracker = PersonTracker(stage.models())
    assert where(tracker, 0.0) == 300.0
    stage.now = [600.0]
    assert where(tracker, 0.1) is None
    assert where(tracker, 1.5) == 600.0


def test_nobody_there_is_no_error():
    stage = Stage()
    assert where(PersonTracker(stage.models()), 0.0) is None
    assert where(PersonTracker(stage.models(), clicked(300.0)), 0.0) is None


def test_a_click_outside_of_the_picture_finds_nobody():
    stage = Stage(300.0)
    assert where(PersonTracker(stage.models(), clicked(-5000.0)), 0.0) is None


def test_no_second_opinion_no_doubt():
    (found,) = detect_points([(0.0, IMAGE)], Stage(300.0).models(second=False))
    assert np.isnan(found.doubt).all() and np.isfinite(found.sd_px[:7]).all()
    (found,) = detect_points([(0.0, IMAGE)], Stage(300.0).models())
    assert (found.doubt[:7] == 0.0).all()


@pytest.mark.parametrize("fps", [25.0, 29.97, 30.0, 60.0, 240.0])
def test_fifteen_frames_a_second(fps):
    time_s = np.arange(round(fps * 3)) / fps
    chosen = time_s[due(time_s)]
    assert len(chosen) == 45
    found = [f.time_s for f in detect_points([(t, IMAGE) for t in time_s], Stage(300.0).models())]
    assert found == list(chosen)


def test_slow_footage_keeps_every_frame():
    assert due(np.arange(10) / 8.0).all()


class Unsure(Stage):
    """The second network is off by what the test says, and knows how often it was asked."""

    def __init__(self, *people):
        super().__init__(*people)
        self.off_px, self.second_asked = 0.0, 0

    def models(self, second=True):
        stage = self

        class Second:
            def find_in(self, cut, region):
                stage.second_asked += 1
                first = stage.find_in(cut, region)
                return replace(first, xy_px=first.xy_px + np.array((stage.off_px, 0.0)))

        return BodyModels(self, self, Second())


STEP_S = 1.0 / 15.0


def played(stage, offs):
    for k, off in enumerate(offs):
        stage.off_px = off
        yield STEP_S * k, IMAGE


def test_the_best_network_is_asked_now_and_then_and_the_doubt_runs_between():
    stage = Unsure(300.0)
    offs = np.array([0.0, 0.0, 0.0, 3.0, 3.0, 3.0, 6.0, 6.0])
    found = list(detect_points(played(stage, offs), stage.models()))
    best = len(stage.looked) - stage.second_asked  # the second one asks the first
    assert (best, stage.second_asked) == (3, 8) and len(found) == len(offs)
    assert [f.time_s for f in found] == pytest.approx(STEP_S * np.arange(8))
    doubt = np.array([f.doubt[0] for f in found])
    assert doubt / doubt[3] == pytest.approx([0.0, 1 / 3, 2 / 3, 1.0, 4 / 3, 5 / 3, 2.0, 2.0])
    best_sd, quick_sd = ([found[k].sd_px[0] for k in rows] for rows in ((0, 3, 6), (1, 4)))
    assert best_sd == sorted(best_sd) and best_sd[1] > best_sd[0]
    assert quick_sd[0] > best_sd[0] and quick_sd[1] > best_sd[1], "a quick reading counts for less"


@pytest.mark.parametrize(("film_s", "asked"), [(10.0, 6), (26.0, 2)])
def test_both_networks_see_every_frame_that_is_due_in_a_short_film(film_s, asked):
    stage = Unsure(300.0)
    finder = PointFinder(stage.models(), every=best_every(film_s))
    for time_s, image in played(stage, np.zeros(6)):
        finder.look(time_s, image)
    finder.end()
    best = len(stage.looked) - stage.second_asked
    assert (best, len(finder.taken())) == (asked, 6)


def test_a_quick_reading_is_put_right_by_the_usual_difference():
    """One frame in which the networks are far apart is no bias, and moves no other frame."""
    stage = Unsure(300.0)
    offs = np.full(31, 8.0)
    offs[15] = 55.0
    found = list(detect_points(played(stage, offs), stage.models()))
    assert len(found) == len(offs)
    assert [f.xy_px[0, 0] for f in found] == pytest.approx([300.0] * len(offs))


def test_who_is_lost_for_a_moment_leaves_no_frame_without_doubt():
    stage = Unsure(300.0)

    def frames():
        for k in range(6):
            stage.now = [] if k == 1 else [300.0]
            yield STEP_S * k, IMAGE

    found = list(detect_points(frames(), stage.models()))
    assert found[1].region is None and all(np.isfinite(found[k].doubt[0]) for k in (0, 2, 5))
