"""Our reading of the networks against the solution their makers publish, run elsewhere."""

import json

import numpy as np
import pytest

from analysis.body.detecting.models import BodyModels
from analysis.body.detecting.tracking import PersonTracker

CLIPS = {"small": "rower", "pose": "raised"}
# Shares of body size. Following differs more: the other one calms the region it looks in.
STILL_P50, STILL_P95, FOLLOWED_P50 = 0.003, 0.015, 0.009


@pytest.mark.parametrize("network", ["full", "heavy"])
@pytest.mark.parametrize("clip", CLIPS)
def test_stills(models, reference, clip, network, request):
    frames = request.getfixturevalue(CLIPS[clip])
    landmarker = models.points if network == "heavy" else models.second
    apart = []
    for number, expected in reference["stills"][clip][network].items():
        image = frames[int(number)]
        region = models.people.people(image)[0].region
        found = landmarker.find(image, region)
        assert found.presence > 0.9
        apart.append(np.linalg.norm(found.xy_px - expected, axis=1) / region.body_px)
    assert np.median(apart) < STILL_P50
    assert np.percentile(apart, 95) < STILL_P95


@pytest.mark.parametrize("clip", CLIPS)
def test_following(models, reference, clip, request):
    frames = request.getfixturevalue(CLIPS[clip])
    tracker = PersonTracker(BodyModels(models.people, models.points, None))
    apart = []
    for k, expected in enumerate(reference["followed"][clip]):
        seen = tracker.look(k / 10.0, frames[3 * k])
        apart.append(np.linalg.norm(seen.points.xy_px - expected, axis=1) / seen.region.body_px)
    assert np.median(apart) < FOLLOWED_P50


def test_published_labels(models, raised, shared_media):
    """They were made by a network of the family: this holds names and order, not anatomy."""
    path = shared_media / "people" / "pose_1.mp4__pose_1.json"
    labels = json.loads(path.read_text("utf-8"))
    rows = {
        "left_ear": 7, "right_ear": 8, "left_shoulder": 11, "right_shoulder": 12,
        "left_elbow": 13, "right_elbow": 14, "left_wrist": 15, "right_wrist": 16,
        "left_hip": 23, "right_hip": 24, "left_knee": 25, "right_knee": 26,
        "left_ankle": 27, "right_ankle": 28,
    }  # fmt: skip
    apart = []
    for number in range(0, 101, 20):
        region = models.people.people(raised[number])[0].region
        found = models.points.find(raised[number], region)
        said = np.array([[labels[number][name][axis] for axis in "xy"] for name in rows])
        gap = np.linalg.norm(found.xy_px[list(rows.values())] - said, axis=1)
        apart.append(gap / region.body_px)
    assert np.median(apart) < 0.03
    assert np.max(np.median(apart, axis=0)) < 0.08, "a name stands for another point"
