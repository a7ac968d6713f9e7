"""How the networks' numbers are read, on numbers made by hand."""

import sys

import numpy as np
import pytest

from analysis.body.detecting.landmarks import Landmarks, refined_by_maps
from analysis.body.detecting.models import load_models
from analysis.body.detecting.network import DetectionError, ModelFiles
from analysis.body.detecting.person import ANCHORS, anchors, decoded, one_each, shared
from analysis.body.detecting.side import doubt_of, near_side, sd_of, stature_px


def box(x, y, size, hip=0.0):
    return np.array([x, y, size, size, *(hip,) * 8])


def test_anchors_are_those_of_the_published_model():
    places = anchors()
    assert len(places) == ANCHORS == 2254
    np.testing.assert_allclose(places[0], 0.5 / 28)
    np.testing.assert_allclose(places[2], (1.5 / 28, 0.5 / 28))  # two looks at each, row by row
    np.testing.assert_allclose(places[-1], 6.5 / 7)


def test_numbers_become_boxes():
    raw = np.zeros((3, 12), np.float32)
    raw[1] = [22.4, 0, 44.8, 44.8, 0, 112, 0, 0, 0, 0, 0, 0]
    raw[2] = np.nan
    places = np.array([[0.1, 0.1], [0.5, 0.25], [0.5, 0.5]])
    boxes, scores = decoded(raw, np.array([-9.0, 500.0, 9.0], np.float32), places)
    np.testing.assert_allclose(boxes[0, :6], [0.6, 0.25, 0.2, 0.2, 0.5, 0.75], atol=1e-6)
    assert len(boxes) == 1 and scores[0] == pytest.approx(1.0)


def test_one_box_for_each_person():
    boxes = np.array([box(0.2, 0.2, 0.1, 0.3), box(0.21, 0.2, 0.1, 0.6), box(0.8, 0.2, 0.1, 0.9)])
    found = one_each(boxes, np.array([0.6, 0.9, 0.7]))
    assert [score for _, score in found] == [0.9, 0.7]
    assert found[0][0][4] == pytest.approx((0.3 * 0.6 + 0.6 * 0.9) / 1.5)
    assert found[1][0][0] == pytest.approx(0.8)


def test_what_boxes_share():
    others = np.array(
        [box(0.5, 0.5, 0.2), box(0.6, 0.5, 0.2), box(0.9, 0.5, 0.2), box(0.5, 0.5, 0)]
    )
    np.testing.assert_allclose(shared(others[0], others), [1.0, 1 / 3, 0.0, 0.0], atol=1e-9)
    assert np.isfinite(shared(others[3], others[3:])).all()


def test_a_point_moves_to_the_middle_of_its_map():
    maps = np.full((64, 64, 4), -20.0, np.float32)
    maps[30, 20:22, 0] = 20.0  # both as likely: half way between them
    maps[30, 50, 1] = 20.0  # too far from the point
    maps[30, 20, 2] = -0.1  # not likely enough
    maps[:, :, 3] = 20.0
    shares = np.array([[21.3, 31.9], [20.0, 30.0], [20.2, 30.2], [-0.6, 3.0]]) / 64.0
    found = refined_by_maps(shares, maps) * 64.0
    np.testing.assert_allclose(found[0], (20.5, 30.0), atol=1e-4)
    np.testing.assert_allclose(found[1:], shares[1:] * 64.0)


def test_a_map_is_read_at_the_edge_too():
    maps = np.full((64, 64, 2), -20.0, np.float32)
    maps[0, 0, 0] = maps[63, 63, 1] = 20.0
    found = refined_by_maps(np.array([[0.01, 0.02], [0.99, 0.98]]), maps) * 64.0
    np.testing.assert_allclose(found, [[0.0, 0.0], [63.0, 63.0]], atol=1e-4)
    assert np.isnan(refined_by_maps(np.full((2, 2), np.nan), maps)).all()


def seen(left_depth, left_visible):
    depth, visible = np.zeros(33), np.full(33, 0.5)
    depth[[11, 13, 23]], visible[[13, 15]] = left_depth, left_visible
    return Landmarks(np.zeros((33, 2)), depth, visible, 1.0, None)


def test_the_near_side_is_less_deep_and_less_hidden():
    assert near_side([seen(-0.3, 0.5)]) == "left" == near_side([seen(0.0, 0.9)])
    assert near_side([seen(0.3, 0.5)]) == "right" == near_side([seen(0.0, 0.1)])
    assert near_side([seen(0.1, 0.5)] + [seen(-0.3, 0.5)] * 3) == "left"


def test_doubt_is_a_share_of_stature():
    points = np.array([[0, 0], [0, -25], [25, -25], [25, -52.9], [0, 0], [0, 0], [0, 0]], float)
    assert stature_px(points) == pytest.approx(100.0)
    other = points + np.array([3.0, 4.0])
    np.testing.assert_allclose(doubt_of(points, other, 100.0), 0.05)
    assert np.isnan(doubt_of(points, None, 100.0)).all()
    sd = sd_of(np.array([0.0, 0.05, np.nan]), 100.0)
    assert sd[0] < sd[2] < sd[1]


def test_a_file_that_is_no_network(tmp_path):
    for name in ("person", "full"):
        (tmp_path / name).write_bytes(b"not a network")
    with pytest.raises(DetectionError, match="by hand"):
        load_models(ModelFiles(tmp_path / "person", tmp_path / "full"))


def test_without_the_package_that_runs_them(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "ai_edge_litert", None)
    monkeypatch.setitem(sys.modules, "ai_edge_litert.interpreter", None)
    (tmp_path / "person").write_bytes(b"anything")
    with pytest.raises(DetectionError, match="not installed; points can still be placed by hand"):
        load_models(ModelFiles(tmp_path / "person", tmp_path / "full"))
