"""The whole way on the sample's rower, whose joints are known. It flatters: a drawn person."""

import numpy as np
import pytest

from analysis.body.detecting.models import propose_person
from analysis.body.detecting.points import detect_points
from analysis.body.detecting.side import DOUBTFUL
from analysis.body.track import POINTS, Click

BODY = POINTS[:7]
STATURE_PX = 524.0  # of the simulated athlete in this film


def played(frames, count=31):
    return [(k / 30.0, frames[k]) for k in range(count)]


def expected(truth, found):
    rows = [round(frame.time_s * 30.0) for frame in found]
    return np.array([[truth[name][row] for name in BODY] for row in rows])


@pytest.mark.parametrize("mirrored", [False, True])
def test_points_and_side(models, rower, truth, mirrored):
    frames = [np.ascontiguousarray(f[:, ::-1]) for f in rower] if mirrored else rower
    done = []
    found = list(detect_points(played(frames), models, progress=done.append))
    assert [round(f.time_s, 3) for f in found] == [round(k / 15.0, 3) for k in range(16)]
    assert done == [f.time_s for f in found]
    true = expected(truth, found)
    if mirrored:
        true[..., 0] = frames[0].shape[1] - 1 - true[..., 0]
    xy = np.array([f.xy_px[:7] for f in found])
    off = np.linalg.norm(xy - true, axis=-1) / STATURE_PX
    assert np.median(off) < 0.02 and np.percentile(off, 95) < 0.06
    sd = np.array([f.sd_px[:7] for f in found]) / STATURE_PX
    assert 0.01 < np.median(sd) < 0.03
    assert np.mean(np.array([f.doubt[:7] for f in found]) > DOUBTFUL) < 0.4
    assert all(np.isnan(f.xy_px[7:]).all() and np.isnan(f.sd_px[7:]).all() for f in found)


def test_a_click_chooses_among_people(models, rower, truth):
    """The rower and the mirror image side by side: the click says which of them rows."""
    frames = [(t, np.hstack((image, image[:, ::-1]))) for t, image in played(rower, 7)]
    people = propose_person([frames[0][1]], models)
    assert len(people) == 2
    width = rower[0].shape[1]
    for mirrored in (False, True):
        clicks = []
        for name in ("hip", "head"):
            x, y = truth[name][0]
            clicks.append(Click(0.0, name, 2 * width - 1 - x if mirrored else x, y))
        found = list(detect_points(frames, models, clicks))
        assert all((f.xy_px[2, 0] > width) == mirrored for f in found)


def test_one_person_can_be_proposed(models, rower, truth):
    (person,) = propose_person([rower[0]], models)
    assert np.linalg.norm(person.hip_px - truth["hip"][0]) < 0.1 * STATURE_PX
    assert np.linalg.norm(person.head_px - truth["head"][0]) < 0.1 * STATURE_PX


def test_nobody_there(models):
    empty = np.full((240, 320, 3), 90, np.uint8)
    assert propose_person([empty], models) == []
    (found,) = detect_points([(0.0, empty)], models)
    assert found.region is None and np.isnan(found.xy_px).all()


def test_stopped(models, rower):
    asked = iter((False, True))
    assert list(detect_points(played(rower), models, cancelled=lambda: next(asked))) == []
