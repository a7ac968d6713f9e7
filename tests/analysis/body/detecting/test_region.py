import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.body.detecting.region import (
    Region,
    checked,
    clicked_regions,
    cut_out,
    region_around,
    whole,
)
from analysis.body.track import Click

sizes = st.floats(1.0, 3000.0)
places = st.floats(-500.0, 2500.0)


@given(places, places, sizes, st.floats(-7.0, 7.0), st.floats(-1.0, 2.0), st.floats(-1.0, 2.0))
def test_a_point_lies_as_far_from_the_middle_and_as_far_round(x, y, side, turn, across, down):
    ((px, py),) = Region(x, y, side, turn).to_picture(np.array([[across, down]]))
    turned = side * complex(across - 0.5, down - 0.5) * np.exp(1j * turn)
    np.testing.assert_allclose((px, py), (x + turned.real, y + turned.imag), atol=1e-6)


@pytest.mark.parametrize("top", [(100.0, 20.0), (180.0, 100.0), (30.0, 140.0)])
def test_the_top_is_above_the_hips(top):
    region = region_around((100.0, 100.0), top)
    (point,) = region.to_picture(np.array([[0.5, 0.1]]))  # 0.5 - 0.5 / 1.25
    assert point == pytest.approx(top)


@pytest.mark.parametrize("top", [(100.0, 100.0), (np.nan, 3.0)])
def test_no_region_without_a_size(top):
    assert region_around((100.0, 100.0), top) is None


def test_clicks_of_one_frame_make_a_region():
    clicks = [
        Click(2.0, "hip", 100.0, 100.0),
        Click(1.0, "hip", 50.0, 90.0),
        Click(2.0, "head", 100.0, 40.0),
        Click(1.5, "head", 60.0, 30.0),
        Click(2.0, "knee", 10.0, 10.0),
    ]
    assert clicked_regions(clicks) == [(2.0, Region(100.0, 100.0, 150.0, 0.0))]


@pytest.mark.parametrize(
    "region",
    [Region(60.0, 40.0, 50.0), Region(63.3, 41.2, 44.0, 0.7), Region(20.0, 70.0, 90.0, -2.0)],
)
@pytest.mark.parametrize("beyond", [None, 0])
def test_as_another_library_cuts(region, beyond):
    picture = np.random.default_rng(5).integers(0, 256, (80, 120, 3), np.uint8)
    picture = cv2.GaussianBlur(picture, (0, 0), 2.0)
    corners = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    matrix = cv2.getAffineTransform(
        (corners * 32).astype(np.float32), region.to_picture(corners).astype(np.float32)
    )
    border = cv2.BORDER_REPLICATE if beyond is None else cv2.BORDER_CONSTANT
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    expected = cv2.warpAffine(picture, matrix, (32, 32), flags=flags, borderMode=border)
    apart = np.abs(cut_out(picture, region, 32, beyond) - expected)
    # At the edge itself the other one fades into what lies beyond.
    assert np.percentile(apart, 90 if beyond is not None else 100) < 3.0


def test_the_whole_picture_in_a_square():
    assert whole(np.zeros((40, 100, 3), np.uint8)) == Region(50.0, 20.0, 100.0)


@pytest.mark.parametrize(
    "image", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3)), np.zeros((0, 4, 3), np.uint8)]
)
def test_only_pictures_are_looked_at(image):
    with pytest.raises(ValueError, match="bytes"):
        checked(image)
