"""Scales, gaps, corners and the drive of a curve, on pictures small enough to reckon by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.reading_pictures.drive import drive_of
from analysis.reading_pictures.flattening import PictureError, flat_of, whole_picture
from analysis.reading_pictures.line import FollowedLine
from analysis.reading_pictures.picking import lay_flat, pick_line
from analysis.reading_pictures.reading import HandErrors, Reading, read_line
from analysis.reading_pictures.scales import Ticks
from app.media.opencv import opencv

SHOT = flat_of(whole_picture(401, 301))
ALONG = Ticks(((50.0, 280.0), (350.0, 280.0)), (0.0, 1.5))
FORCE = Ticks(((50.0, 250.0), (50.0, 50.0)), (0.0, 800.0))


def canvas(*lines: list[tuple[int, int]], ink: tuple[int, int, int] = (20, 40, 200)) -> np.ndarray:
    """A white picture with broken lines of a colour, three pixels thick."""
    cv2 = opencv()
    picture = np.full((301, 401, 3), 255, np.uint8)
    for line in lines:
        cv2.polylines(picture, [np.array(line)], False, ink, 3, cv2.LINE_AA)
    return picture


def line(x: list[float], y: list[float], sd: float = 0.2) -> FollowedLine:
    return FollowedLine(np.array(x), np.array(y), np.full(len(x), sd), 3.0)


def test_ticks_give_seconds_and_newtons() -> None:
    read = read_line(line([50, 200, 350], [250, 50, 150]), SHOT, ALONG, FORCE)
    assert read.along == pytest.approx([0.0, 0.75, 1.5], abs=1e-9)
    assert read.values == pytest.approx([0.0, 800.0, 400.0], abs=1e-6)
    # A pixel is 4 N; at a tick the click's own pixel counts, and what the line adds.
    assert 4.0 < read.sd[0] < 12.0


def test_a_worse_hand_gives_a_wider_band() -> None:
    taken = [
        read_line(line([50, 200, 350], [250, 50, 150]), SHOT, ALONG, FORCE, HandErrors(px, 0.0)).sd
        for px in (0.0, 1.0, 4.0)
    ]
    assert np.all(taken[0] < taken[1]) and np.all(taken[1] < taken[2])
    assert taken[0] == pytest.approx([0.8, 0.8, 0.8]), "the line's own 0.2 px are left"


@pytest.mark.parametrize(
    ("along", "force", "words"),
    [
        (Ticks(ALONG.places, (1.0, 1.0)), FORCE, "same value"),
        (Ticks(((50.0, 0.0), (54.0, 0.0)), (0.0, 1.0)), FORCE, "too close"),
        (Ticks(ALONG.places, (1.0,)), FORCE, "each of its two ticks"),
        (ALONG, Ticks(FORCE.places, (0.0, float("nan"))), "no number"),
        (Ticks(ALONG.places, (1.5, 0.0)), FORCE, "right to left"),
    ],
)
def test_ticks_that_give_no_scale_are_refused(along: Ticks, force: Ticks, words: str) -> None:
    with pytest.raises(PictureError, match=words):
        read_line(line([50, 350], [250, 150]), SHOT, along, force)


def test_gaps_stay_gaps() -> None:
    picture = canvas([(40, 250), (150, 80)], [(158, 70), (300, 250)])
    picked = pick_line(lay_flat(picture, None), np.array([[100.0, 158.0]]))
    at = {int(x): y for x, y in zip(picked.line.x, picked.line.y, strict=True)}
    assert np.isnan(at[154]), "between the two pieces there is no ink"
    assert at[100] == pytest.approx(250 - 170 * 60 / 110, abs=0.5)
    assert at[250] == pytest.approx(70 + 180 * 92 / 142, abs=0.5)


def test_a_grid_is_not_the_line_even_in_its_colour() -> None:
    picture = canvas(
        [(20, 200), (380, 200)],
        [(20, 100), (380, 100)],
        [(120, 10), (120, 290)],
        [(40, 260), (200, 60), (370, 260)],
        ink=(0, 0, 0),
    )
    picked = pick_line(lay_flat(picture, None), np.array([[160.0, 110.0]]))
    x, y = picked.line.x, picked.line.y
    truth = np.interp(x, [40, 200, 370], [260, 60, 260])
    known = np.isfinite(y)
    assert known.mean() > 0.8
    off = np.abs(y - truth)[known]
    assert np.median(off) < 0.3
    assert np.percentile(off, 95) < 3.0, "where line and grid cross, a part of it is taken off"


def test_the_pen_says_which_of_two_lines_of_one_colour() -> None:
    up, down = [(40, 260), (360, 60)], [(40, 60), (360, 260)]
    laid = lay_flat(canvas(up, down), None)
    for way, truth in ((up, (260, 60)), (down, (60, 260))):
        pen = np.array(way, dtype=float) + np.array([0.0, 4.0])
        picked = pick_line(laid, np.linspace(pen[0], pen[1], 30))
        off = picked.line.y - np.interp(picked.line.x, [40, 360], truth)
        away = np.abs(picked.line.x - 200) > 10  # where they cross, both are ink
        assert np.nanmax(np.abs(off[away])) < 1.0


def test_colour_tells_lines_apart() -> None:
    red = canvas([(40, 60), (360, 260)], ink=(200, 30, 30))
    both = np.minimum(red, canvas([(40, 260), (360, 60)]))
    laid = lay_flat(both, None)
    for x, y, ends in ((100, 97.5, (60, 260)), (100, 222.5, (260, 60))):
        picked = pick_line(laid, np.array([[x, y]], dtype=float))
        off = picked.line.y - np.interp(picked.line.x, [40, 360], ends)
        assert np.nanmedian(np.abs(off)) < 0.3
    assert picked.colour[2] > picked.colour[0], "the second one is blue"


@pytest.mark.parametrize(
    ("places", "words"),
    [
        ([[10.0, 10.0]], "no line"),
        ([[-500.0, 10.0]], "outside the picture"),
        ([[100.0, 160.0], [104.0, 160.0]], "too short"),
    ],
)
def test_where_there_is_no_line_one_sentence_says_so(places: list[list[float]], words: str) -> None:
    laid = lay_flat(canvas([(40, 250), (150, 80)]), None)
    with pytest.raises(PictureError, match=words):
        pick_line(laid, np.array(places))


@pytest.mark.parametrize(
    "corners",
    [
        [[0, 0], [100, 100], [100, 0], [0, 100]],  # crossed
        [[0, 0], [9, 0], [9, 9], [0, 9]],  # too small
        [[0, 0], [100, 0], [200, 0], [0, 0]],  # flat
        [[0, 0], [100, 0], [np.nan, 100], [0, 100]],
    ],
)
def test_corners_that_enclose_nothing_are_refused(corners: list[list[float]]) -> None:
    with pytest.raises(PictureError, match=r"corners"):
        flat_of(np.array(corners, dtype=float))


@given(st.lists(st.floats(-25.0, 25.0), min_size=8, max_size=8))
def test_there_and_back_is_the_same_place(shifts: list[float]) -> None:
    corners = whole_picture(400, 300) + np.array(shifts).reshape(4, 2)
    flat = flat_of(corners)
    assert flat.to_flat(corners) == pytest.approx(whole_picture(flat.width, flat.height), abs=1e-6)
    spots = np.array([[120.0, 80.0], [200.0, 220.0]])
    assert flat.to_picture(flat.to_flat(spots)) == pytest.approx(spots, abs=1e-6)


def half_sine(from_n: float = 0.0) -> Reading:
    x = np.linspace(0.0, 2.0, 401)
    y = np.where((x > 0.5) & (x < 1.5), 600.0 * np.sin(np.pi * (x - 0.5)), 0.0)
    return Reading(x, np.maximum(y, from_n), np.full(len(x), 3.0))


def test_a_drive_is_cut_at_five_percent_of_its_peak() -> None:
    drive = drive_of(half_sine(), "s", "N")
    # sin(pi t) = 0.05 at t = 0.0159: of the half second before and behind, so much is left.
    assert drive.extent == pytest.approx(1.0 - 2 * 0.01592, abs=0.002)
    assert drive.axis == "time" and drive.has_scale
    assert drive.values[50] == pytest.approx(600.0, abs=0.5)
    assert drive.values[[0, 100]] == pytest.approx([30.0, 30.0], abs=4.0)
    assert drive.remarks == ()


def test_units_axes_and_shapes() -> None:
    assert drive_of(half_sine(), "m", "kgf").values[50] == pytest.approx(600 * 9.80665, rel=1e-3)
    assert drive_of(half_sine(), "m", "lbf").axis == "length"
    assert drive_of(half_sine(), "ms", "N").extent == pytest.approx(0.000968, rel=0.01)
    shape = drive_of(half_sine(), "", "")
    assert shape.axis is None and shape.extent is None and not shape.has_scale
    assert np.nanmax(shape.values) == pytest.approx(1.0)
    assert shape.sd[50] == pytest.approx(3.0 / 600.0, rel=0.01)


def test_percent_of_the_drive_are_taken_from_the_axis() -> None:
    read = half_sine()
    drive = drive_of(Reading(50.0 * read.along, read.values, read.sd), "% of drive", "N")
    assert drive.values[50] == pytest.approx(600.0, abs=0.5)
    assert drive.values[10] == 0.0 and drive.extent is None


def test_what_is_missing_is_said_and_left_open() -> None:
    read = half_sine()
    read.values[180:200] = np.nan
    drive = drive_of(read, "s", "N")
    assert np.isnan(drive.values[45])
    assert "cannot be seen" in drive.remarks[-1]
    part = Reading(read.along[150:], half_sine().values[150:], read.sd[150:])
    assert "begins at 71 % of its peak" in drive_of(part, "s", "N").remarks[0]
    with pytest.raises(PictureError, match="above zero"):
        drive_of(Reading(read.along, -np.abs(half_sine().values), read.sd), "s", "N")
