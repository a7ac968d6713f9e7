"""What is drawn of marks and curves, before any painter has seen it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.comparing.curves import CurvePair
from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import MARK_KINDS, POINTS_OF, Mark
from app.scene import curve_marks, raster
from app.scene.curve_marks import CurveMarkLook
from app.scene.figure import Figure, Tick, lay_out
from app.scene.force_curve import Band, Curve, band_shapes, curve_shapes, pair_of
from app.scene.picture_marks import MarkLook, MarkView, mark_shapes_of
from app.scene.plot import Entry, Letters, Pen, Plot, Scale, key, levels, runs_of
from app.scene.shapes import Area, Line, Rect, Text

PLOT = Plot(
    50.0,
    20.0,
    350.0,
    220.0,
    Scale(((0.0, 50.0), (100.0, 350.0))),
    Scale(((0.0, 220.0), (500.0, 20.0))),
)
LOOK = CurveMarkLook(2.0, 4.0, 12.0)
MARK_LOOK = MarkLook(3.0, 6.0, 18.0, 17.0, 10.0, 6.0, 24.0, 1.5)


def test_a_stretch_is_shaded_from_end_to_end_and_hatched_within() -> None:
    mark = CurveMark("a", "span", "time", ((80.0, 0.0), (60.0, 0.0)), "blue", None, "hold this")
    look = CurveMarkLook(2.0, 4.0, 12.0, hatch=9.0)
    area, *lines = curve_marks.stretches([mark], PLOT, look)
    assert isinstance(area, Area) and area.ink == "blue shade"
    assert {x for x, _y in area.points} == {230.0, 290.0}
    assert {y for _x, y in area.points} == {20.0, 220.0}
    slanting = [s for s in lines if isinstance(s, Line) and s.opacity < 1.0]
    assert len(slanting) > 10
    for hatch in slanting:
        for x, y in hatch.points:
            assert 230.0 <= x <= 290.0 and 20.0 <= y <= 220.0
    assert not curve_marks.lines([mark], PLOT, look)


def test_a_line_lies_on_its_casing_at_its_percents_and_newtons() -> None:
    mark = CurveMark("a", "line", "time", ((0.0, 0.0), (50.0, 250.0)), "red")
    casing, line = curve_marks.lines([mark], PLOT, LOOK)
    assert isinstance(casing, Line) and isinstance(line, Line)
    assert (casing.ink, line.ink) == ("casing", "red") and casing.width > line.width
    assert casing.points == line.points == ((50.0, 220.0), (200.0, 120.0))
    assert not curve_marks.stretches([mark], PLOT, LOOK)


@settings(deadline=None)
@given(
    st.sampled_from(["line", "span"]),
    st.lists(st.tuples(st.floats(0, 100), st.floats(0, 500)), min_size=2, max_size=2),
    st.text("abc déf", min_size=1, max_size=30).filter(str.strip),
)
def test_words_stay_within_the_plot(
    kind: str, points: list[tuple[float, float]], words: str
) -> None:
    mark = CurveMark("a", kind, "time", tuple(points), "red", None, words)
    plate = curve_marks.plate_of(mark, PLOT, LOOK, raster.measure)
    assert plate is not None
    assert plate.x >= PLOT.left and plate.right <= PLOT.right
    assert plate.y >= PLOT.top and plate.bottom <= PLOT.bottom


def test_words_have_a_halo_on_paper_and_a_plate_on_the_bench() -> None:
    mark = CurveMark("a", "span", "time", ((20.0, 0.0), (60.0, 0.0)), "blue", None, "hold")
    paper = curve_marks.words([mark], PLOT, CurveMarkLook(2.0, 4.0, 12.0, halo=3.0), raster.measure)
    bench = curve_marks.words([mark], PLOT, LOOK, raster.measure)
    assert [type(s) for s in paper] == [Text] and [type(s) for s in bench] == [Rect, Text]
    assert curve_marks.words([CurveMark("b", "span", "time", mark.points)], PLOT, LOOK,
                             raster.measure) == []  # fmt: skip


@pytest.mark.parametrize("kind", MARK_KINDS)
def test_a_mark_on_the_picture_scales_and_moves_with_it(kind: str) -> None:
    points = ((40.0, 100.0), (90.0, 60.0), (150.0, 90.0))[: POINTS_OF[kind] or 3]
    mark = Mark("a", kind, points, "yellow", "words" if kind == "text" else "")

    def lines(scale: float, left: float) -> list[Line]:
        view = MarkView(lambda p: (p[0] * scale + left, p[1] * scale), scale)
        shapes = mark_shapes_of(mark, None, view, MARK_LOOK, raster.measure)
        return [s for s in shapes if isinstance(s, Line)]

    for small, large in zip(lines(1.0, 0.0), lines(3.0, 7.0), strict=True):
        assert small.width == large.width, "lines keep their width at every zoom"
        if small.points == points:
            assert large.points == tuple((3.0 * x + 7.0, 3.0 * y) for x, y in points)


def test_a_plate_leans_away_and_stays_in_the_room() -> None:
    mark = Mark("a", "text", ((300.0, 5.0),), "red", "far out here")
    free = MarkView(lambda p: p, 1.0)
    kept = MarkView(lambda p: p, 1.0, room=(320.0, 180.0))
    mirrored = MarkView(lambda p: p, 1.0, mirrored=True)
    plates = [
        shape
        for view in (free, kept, mirrored)
        for shape in mark_shapes_of(mark, None, view, MARK_LOOK, raster.measure)
        if isinstance(shape, Rect)
    ]  # fmt: skip
    assert plates[0].x == 310.0 and plates[0].right > 320.0
    assert plates[1].right <= 320.0 and plates[1].y >= 0.0
    assert plates[2].right == 290.0


def test_holes_of_a_curve_stay_open() -> None:
    along = np.arange(6.0)
    values = np.array([1.0, 2.0, np.nan, 4.0, 5.0, np.nan])
    drawn = curve_shapes([Curve("own", along, values)], PLOT)
    assert [len(s.points) for s in drawn if isinstance(s, Line)] == [2, 2]
    band = Band(along, values, values + 1.0)
    assert len(band_shapes(band, PLOT)) == 2
    assert runs_of(np.array([np.nan, np.nan])) == [] and runs_of(np.array([])) == []


def test_a_pair_is_shaded_only_where_both_are_known() -> None:
    along = np.linspace(0.0, 1.0, 5)
    left, right = np.array([1.0, 2.0, 3.0, 2.0, 1.0]), np.array([2.0, 1.0, 4.0, np.nan, np.nan])
    band, curves = pair_of(CurvePair("time", along, left, right), ("one", "two"))
    assert [c.words for c in curves] == ["two", "one"], "the left one is drawn over the right one"
    assert np.isnan(band.low[3:]).all() and band.low[:3].tolist() == [1.0, 1.0, 3.0]
    assert band.high[:3].tolist() == [2.0, 2.0, 4.0]


@settings(deadline=None)
@given(st.floats(-1000, 1000), st.floats(0.01, 3000), st.integers(3, 8))
def test_levels_are_round_and_within(low: float, span: float, most: int) -> None:
    values = levels(low, low + span, most)
    assert 1 <= len(values) <= most + 1
    slack = 1e-6 * (abs(low) + span)
    assert all(low - slack <= v <= low + span + slack for v in values)
    steps = np.diff(values)
    assert steps == pytest.approx(np.full(len(steps), steps[0] if len(steps) else 0.0))


def test_a_scale_goes_on_or_stops_at_its_ends() -> None:
    knots = ((0.0, 0.0), (10.0, 100.0), (20.0, 120.0))
    assert [Scale(knots).at(v) for v in (-1.0, 5.0, 15.0, 30.0)] == [-10.0, 50.0, 110.0, 140.0]
    assert [Scale(knots, clamps=True).at(v) for v in (-1.0, 15.0, 30.0)] == [0.0, 110.0, 120.0]


def test_a_key_breaks_its_rows_and_cuts_what_is_too_long() -> None:
    letters = Letters(11.0, raster.measure)
    entries = [Entry("own", "x" * 20, Pen(2.0)), Entry("mean", "y" * 20, Pen(2.0)),
               Entry("target", "z" * 400, Pen(2.0))]  # fmt: skip
    shapes, end = key(entries, 10.0, 260.0, 20.0, letters)
    words = [s for s in shapes if isinstance(s, Text)]
    assert [w.y for w in words] == sorted(w.y for w in words) and end == words[-1].y > 20.0
    for word in words:
        assert word.x + letters.wide(word.text) <= 260.0 + 1e-6
    assert words[-1].text.endswith("…")


@pytest.mark.parametrize("key_above", [False, True])
def test_nothing_of_a_figure_lies_outside_it(key_above: bool) -> None:
    curve = Curve("own", np.array([0.0, 50.0, 100.0]), np.array([0.0, 9000.0, 12.0]), "this stroke")
    mark = CurveMark("a", "line", "time", ((90.0, 100.0), (100.0, 8999.0)), "red", None, "up here")
    figure = Figure(
        (331.0, 310.0), 11.0, [curve], (0.0, 100.0), (0.0, 9500.0),
        (Tick(0.0, "0", "catch"), Tick(100.0, "100", "a long word for finish")),
        x_words="Drive, % of its time", y_words="Handle force, N", marks=[mark],
        key_above=key_above,
    )  # fmt: skip
    laid = lay_out(figure, raster.measure)
    for shape in laid.drawing.shapes:
        if isinstance(shape, Text):
            wide = raster.measure(shape.text, shape.size, shape.bold)
            left = shape.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor] * wide
            assert left >= -0.5 and left + wide <= 331.5, shape.text
            assert 0.0 < shape.y < 310.0
        elif isinstance(shape, Line):
            assert all(-1.0 <= x <= 332.0 and -1.0 <= y <= 311.0 for x, y in shape.points)
    said = {s.text for s in laid.drawing.shapes if isinstance(s, Text)}
    assert {"catch", "this stroke", "up here", "Handle force, N"} <= said
    assert laid.plot.top < laid.plot.bottom - 100.0


@given(
    st.lists(st.integers(-10_000, 10_000), min_size=2, max_size=5, unique=True),
    st.lists(st.floats(-2e4, 2e4), min_size=1, max_size=20),
    st.booleans(),
)
def test_many_places_are_those_of_each(ends: list[int], values: list[float], held: bool) -> None:
    scale = Scale(tuple((float(v), 3.0 * i - v) for i, v in enumerate(sorted(ends))), held)
    assert scale.places(np.array(values)).tolist() == [scale.at(value) for value in values]
