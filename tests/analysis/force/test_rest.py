"""What the recorder reads while nobody pulls counts nowhere, whatever it is and does."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import Akima1DInterpolator

from analysis.comparing.variation import compare_measures
from analysis.findings.find import find
from analysis.force.intake import mapping_from_options, preview, read_trace
from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.rest import _between
from analysis.force.strokes import find_strokes
from analysis.force.trace import FloatArray, ForceTrace
from tests.helpers.drawn_pieces import CURVES, Curve, bent, beta, drawn, lopsided, row_of, trapezoid

PULLED = ("peak_n", "mean_n", "impulse_ns", "mean_to_peak", "plateau_pct", "rfd_n_per_s", "work_j")


def lifted(trace: ForceTrace, by_n: float | FloatArray) -> ForceTrace:
    return replace(trace, force_n=trace.force_n + by_n)


def like(piece: PieceAnalysis, other: PieceAnalysis, rel: float = 1e-6) -> None:
    assert len(piece.strokes) == len(other.strokes)
    for one, two in zip(piece.measures, other.measures, strict=True):
        assert one.keys() == two.keys()
        for key, value in one.items():
            assert value == (None if two[key] is None else pytest.approx(two[key], rel=rel)), key


@settings(max_examples=10, deadline=None)
@given(
    by_n=st.floats(-700.0, 700.0),
    curve=st.sampled_from(CURVES),
    noise_n=st.sampled_from([0.0, 3.0, 9.0]),
    seed=st.integers(0, 1000),
)
def test_a_constant_changes_nothing(by_n: float, curve: Curve, noise_n: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    pulls = [
        replace(p, peak_n=p.peak_n * rng.normal(1.0, 0.05), length_s=rng.normal(0.9, 0.02))
        for p in row_of(14, rate_spm=24.0)
    ]
    trace = drawn(pulls, curve, noise_n=noise_n, seed=seed)
    plain, other = analyse(trace), analyse(lifted(trace, by_n))
    like(other, plain)
    assert [s.remark for s in other.strokes] == [s.remark for s in plain.strokes]
    assert other.by_time is not None and plain.by_time is not None
    assert other.by_time.mean == pytest.approx(plain.by_time.mean, abs=1e-6)
    assert (other.by_time.outlying == plain.by_time.outlying).all()
    assert other.by_time.typical == plain.by_time.typical
    findings, plainly = find(other), find(plain)
    assert [f.code for f in findings] == [f.code for f in plainly]
    assert [f.strokes for f in findings] == [f.strokes for f in plainly]
    assert [f.evidence.value for f in findings] == pytest.approx(
        [f.evidence.value for f in plainly], rel=1e-6
    )
    assert _verdicts(other) == _verdicts(plain)


@cache
def _another() -> PieceAnalysis:
    return analyse(drawn(row_of(12, peak_n=640.0, rate_spm=24.0), bent, noise_n=3.0, seed=5))


def _verdicts(piece: PieceAnalysis) -> list[tuple[str, str, str]]:
    """How its measures stand against those of another piece, rowed a little harder."""
    against = _another()
    assert piece.typical is not None and against.typical is not None
    rows = compare_measures((against, against.typical), (piece, piece.typical), same_piece=False)
    return [(row.name, row.verdict, row.doubt) for row in rows]


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize(("peak_n", "rest_n"), [(600.0, 40.0), (80.0, 12.0), (600.0, -600.0)])
def test_measures_are_those_of_the_drawn_pull(curve: Curve, peak_n: float, rest_n: float) -> None:
    piece = analyse(lifted(drawn(row_of(10, peak_n=peak_n), curve, hz=200.0), rest_n))
    x = np.linspace(0.0, 1.0, 20001)
    inside = curve(x) >= 0.05
    exact = peak_n * float(np.trapezoid(curve(x)[inside], 0.9 * x[inside]))
    assert len(piece.strokes) == 10
    for found in piece.measures:
        assert found.impulse_ns == pytest.approx(exact, rel=2e-3)
        assert found.peak_n == pytest.approx(peak_n * curve(x).max(), rel=4e-3)


def test_the_zero_of_a_sensor_makes_no_difference_between_identical_strokes() -> None:
    rng = np.random.default_rng(8)
    pulls = [replace(p, peak_n=p.peak_n * rng.normal(1.0, 0.005)) for p in row_of(30)]
    one = drawn(pulls, lopsided, noise_n=2.0, seed=1)
    two = lifted(drawn(pulls, lopsided, noise_n=2.0, seed=2), 5.0)
    sides = [(piece, piece.strokes[11]) for piece in map(analyse, (one, two))]
    compared = compare_measures(sides[0], sides[1], same_piece=False)
    pulled = [row for row in compared if row.name in PULLED]
    assert len(pulled) == len(PULLED)
    assert not [row.name for row in pulled if row.verdict == "more"]


def _course(kind: str, time_s: FloatArray) -> FloatArray:
    if kind == "steps":
        return 25.0 * np.floor(time_s / 20.0)
    period = {"slow": 120.0, "quick": 10.0}[kind]
    return 40.0 * np.sin(2.0 * np.pi * time_s / period + 0.4)


@pytest.mark.parametrize(("amplitude_n", "within_ms"), [(20.0, 3.0), (40.0, 5.0)])
@pytest.mark.parametrize("curve", CURVES)
def test_drift_of_ten_seconds_hardly_moves_catches(
    curve: Curve, amplitude_n: float, within_ms: float
) -> None:
    trace = drawn(row_of(60), curve)
    drift = amplitude_n * np.sin(2.0 * np.pi * trace.time_s / 10.0 + 0.4)
    plain, found = find_strokes(trace), find_strokes(lifted(trace, drift))
    assert len(found) == 60
    off = [abs(a.catch_s - b.catch_s) for a, b in zip(found, plain, strict=True)]
    assert 1e3 * float(np.percentile(off[1:], 95)) < within_ms


@pytest.mark.parametrize("noise_n", [3.0, 12.0])
def test_drift_under_noise_moves_catches_little_more_than_noise(noise_n: float) -> None:
    trace = drawn(row_of(80), bent, noise_n=noise_n)
    still = find_strokes(drawn(row_of(80), bent))
    drift = 40.0 * np.sin(2.0 * np.pi * trace.time_s / 10.0)
    p95 = [
        float(
            np.percentile([abs(a.catch_s - b.catch_s) for a, b in zip(f, still, strict=True)], 95)
        )
        for f in (find_strokes(trace), find_strokes(lifted(trace, drift)))
    ]
    assert p95[1] < p95[0] + 0.006


@pytest.mark.parametrize("kind", ["slow", "quick"])
def test_drift_changes_measures_by_less_than_two_percent(kind: str) -> None:
    trace = drawn(row_of(50), beta)
    plain, other = analyse(trace), analyse(lifted(trace, _course(kind, trace.time_s)))
    for one, two in zip(plain.measures[1:-1], other.measures[1:-1], strict=True):
        for key in ("impulse_ns", "peak_n", "mean_to_peak", "work_j"):
            assert two[key] == pytest.approx(one[key], rel=0.02), key


def test_tugs_in_the_recovery_are_no_rest() -> None:
    trace = drawn(row_of(20), trapezoid)
    lift = np.zeros(len(trace.time_s))
    for pull in row_of(20):
        lift[np.abs(trace.time_s - pull.start_s - 1.7) < 0.1] = 25.0
    like(analyse(lifted(trace, lift)), analyse(trace), rel=5e-3)


def _file(tmp_path: Path, trace: ForceTrace, rest_n: float | FloatArray) -> Path:
    path = tmp_path / "force.csv"
    rows = zip(trace.time_s, trace.force_n + rest_n, strict=True)
    path.write_text("time_s,force_n\n" + "".join(f"{t:.2f},{f:.3f}\n" for t, f in rows))
    return path


def test_it_is_said_and_can_be_kept(tmp_path: Path) -> None:
    path = _file(tmp_path, drawn(row_of(12)), 40.0)
    piece = analyse(read_trace(path))
    assert piece.trace.intake is not None
    assert piece.trace.intake.remarks == (
        "The force reads 40 N while nobody pulls; that was taken off.",
    )
    kept = analyse(read_trace(path, mapping_from_options(preview(path), keep_rest=True)))
    assert kept.trace.intake is not None
    assert kept.trace.intake.remarks == (
        "The force reads 40 N while nobody pulls; it was kept as recorded.",
    )
    for one, two in zip(kept.measures, piece.measures, strict=True):
        assert one.peak_n == pytest.approx((two.peak_n or 0.0) + 40.0, abs=0.1)
        assert one.drive_s == pytest.approx(two.drive_s)


def test_drift_is_said_and_little_is_not(tmp_path: Path) -> None:
    trace = drawn(row_of(40))
    remarks = analyse(read_trace(_file(tmp_path, trace, _course("slow", trace.time_s)))).trace
    assert remarks.intake is not None and len(remarks.intake.remarks) == 1
    assert "drifts; that was taken off." in remarks.intake.remarks[0]
    quiet = analyse(read_trace(_file(tmp_path, trace, 5.0))).trace.intake
    assert quiet is not None and quiet.remarks == ()


def test_a_trace_without_strokes_stays_as_it_is() -> None:
    trace = ForceTrace(np.arange(500) / 100.0, np.full(500, 30.0))
    assert (analyse(trace).trace.force_n == 30.0).all()


@given(
    st.lists(st.tuples(st.floats(0.3, 3.0), st.floats(-50.0, 900.0)), min_size=3, max_size=30),
    st.booleans(),
)
def test_the_course_between_levels_is_that_of_the_large_library(
    points: list[tuple[float, float]], is_level: bool
) -> None:
    at = np.cumsum([gap for gap, _ in points])
    level = np.array([round(value, 3) for _, value in points])
    if is_level:
        level[:] = level[0]
    part = np.arange(8) / 8
    fine = at[:-1, None] + np.diff(at)[:, None] * part
    told = Akima1DInterpolator(at, level, method="makima")(fine)
    assert _between(at, level, part) == pytest.approx(told, abs=1e-6)
