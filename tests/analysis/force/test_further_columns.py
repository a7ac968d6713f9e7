"""Columns nobody knows the name of. Their shapes are not those of the simulated athlete."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.force.further_columns import MOST_SIGNALS
from analysis.force.intake import mapping_from_options, preview, read_trace
from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.trace import ForceTrace

TIME_S = np.arange(1500) / 100.0
SINCE = np.mod(TIME_S - 0.8, 2.4)
# A force that leans forward, over a handle that moves in a parabola out and in a line home.
FORCE_N = np.where(SINCE < 0.9, 900.0 * (SINCE / 0.9) ** 0.7 * np.clip(1 - SINCE / 0.9, 0, 1), 0.0)
HANDLE_M = np.where(
    SINCE < 0.9, 1.3 * (1 - (1 - SINCE / 0.9) ** 2), 1.3 * (1 - (SINCE - 0.9) / 1.5)
)
OWN = {"time_s": TIME_S, "force_n": FORCE_N, "handle position (m)": HANDLE_M}

folders_of_their_own = settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def write(
    folder: Path, columns: dict[str, np.ndarray], digits: int = 3, delimiter: str = ";"
) -> Path:
    path = folder / "force.csv"
    cells = [["" if np.isnan(v) else f"{v:.{digits}f}" for v in c] for c in columns.values()]
    lines = [delimiter.join(columns), *(delimiter.join(row) for row in zip(*cells, strict=True))]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def same_force(one: PieceAnalysis, other: PieceAnalysis) -> None:
    assert one.strokes == other.strokes and one.measures == other.measures
    assert np.array_equal(one.trace.force_n, other.trace.force_n)
    assert one.by_time is not None and other.by_time is not None
    assert np.array_equal(one.by_time.rows, other.by_time.rows)


def remarks(trace: ForceTrace) -> str:
    assert trace.intake is not None
    return " ".join(trace.intake.remarks)


def test_seat_heart_rate_power_and_a_second_sensor(tmp_path: Path) -> None:
    seat_mm = 650.0 * np.sin(SINCE)
    hr = np.where(np.arange(1500) % 100 == 0, np.round(150.0 + 9.0 * np.sin(TIME_S)), np.nan)
    columns = {
        **OWN,
        "Seat (mm)": seat_mm,
        "HR [bpm]": hr,
        "Power_W": FORCE_N * 1.7,
        "Rower 2 force (N)": FORCE_N[::-1],
    }
    trace = read_trace(write(tmp_path, columns, digits=2))
    found = [(s.name, s.title, s.unit) for s in trace.signals]
    assert found == [
        ("force", "Handle force", "N"),
        ("handle", "Handle position", "m"),
        ("seat", "Seat", "m"),
        ("hr", "HR", "bpm"),
        ("power", "Power", "W"),
        ("rower-2-force", "Rower 2 force", "N"),
    ]
    assert trace.signals["seat"].values == pytest.approx(seat_mm / 1000.0, abs=1e-5)
    assert np.array_equal(trace.signals["hr"].values, hr, equal_nan=True)
    assert [s.digits for s in trace.further] == [3, 1, 0, 0]
    piece = analyse(trace)
    for axis, part in (("time", "drive"), ("length", "recovery"), ("phase", "stroke")):
        for signal in trace.signals:
            curves = piece.curves(signal, axis, part)
            assert curves is not None and np.isfinite(curves.mean).all(), (signal.name, axis)


def test_units_in_a_row_of_their_own(tmp_path: Path) -> None:
    rows = [f"{t:.2f}\t{f:.1f}\t{f / 9:.1f}\t{f:.0f}" for t, f in zip(TIME_S, FORCE_N, strict=True)]
    path = tmp_path / "force.txt"
    path.write_text("Time\tForce\tAngle\tV\ns\tN\t°\tmV\n" + "\n".join(rows) + "\n", "utf-8")
    found = [(s.title, s.unit) for s in read_trace(path).signals]
    assert found == [("Handle force", "N"), ("Angle", "°"), ("V", "V")]


@folders_of_their_own
@given(
    names=st.lists(
        st.text("abcdeπß ()[]_%", min_size=1, max_size=12).filter(lambda t: t.strip("() []_%")),
        min_size=1,
        max_size=5,
        unique_by=lambda name: name.strip().lower(),
    ),
    seed=st.integers(0, 99),
    holes=st.floats(0.0, 0.4),
)
def test_a_further_column_changes_no_measure_of_force(
    tmp_path: Path, names: list[str], seed: int, holes: float
) -> None:
    rng = np.random.default_rng(seed)
    alone = read_trace(write(tmp_path, OWN))
    more = {f"x{name}": rng.normal(0.0, 50.0, 1500).cumsum() for name in names}
    for values in more.values():
        values[rng.random(1500) < holes] = np.nan
    with_more = read_trace(write(tmp_path, {**OWN, **more}))
    same_force(analyse(alone), analyse(with_more))
    assert len(with_more.further) == len(names)
    for signal, values in zip(with_more.further, more.values(), strict=True):
        assert np.array_equal(np.isnan(signal.values), np.isnan(values)), "holes stay holes"


@folders_of_their_own
@given(st.permutations(range(6)))
def test_the_order_of_columns_is_only_an_order(tmp_path: Path, order: Sequence[int]) -> None:
    rng = np.random.default_rng(4)
    more = {name: rng.normal(0.0, 9.0, 1500) for name in ("Oar (°)", "Lid", "Pedal [kN]")}
    columns = {**OWN, **more}
    usual = read_trace(write(tmp_path, columns))
    names = [list(columns)[i] for i in order]
    turned = read_trace(write(tmp_path, {name: columns[name] for name in names}))
    same_force(analyse(usual), analyse(turned))
    assert sorted(turned.signals.names) == sorted(usual.signals.names)
    expected = [n for n in names if n in more]
    assert [s.title for s in turned.further] == [n.split(" (")[0].split(" [")[0] for n in expected]
    for signal in usual.further:
        assert np.array_equal(signal.values, turned.signals[signal.name].values)


def test_repairs_take_all_columns_along(tmp_path: Path) -> None:
    force_n, drum = FORCE_N.copy(), np.sin(TIME_S * 7.0)
    force_n[[100, 333]] = np.nan
    trace = read_trace(write(tmp_path, {**OWN, "force_n": force_n, "Drum": drum}))
    kept = np.delete(np.arange(1500), [100, 333])
    assert trace.signals["drum"].time_s is trace.time_s
    assert trace.signals["drum"].values == pytest.approx(drum[kept], abs=1e-3)


def test_what_says_nothing_is_left_out_and_said(tmp_path: Path) -> None:
    columns = {
        **OWN,
        "No": np.arange(1500.0),
        "Stamp": 5e6 + TIME_S * 1000.0,
        "Drag": np.full(1500, 110.0),
        "Spare": np.full(1500, np.nan),
        "Distance": np.cumsum(HANDLE_M),
    }
    trace = read_trace(write(tmp_path, columns))
    assert [s.name for s in trace.further] == ["distance"]
    said = remarks(trace)
    assert "“No”, “Stamp” hold a count of rows or time" in said
    assert "“Drag” holds one number throughout" in said and "“Spare” holds no numbers" in said


def test_names_are_clean_and_each_only_once(tmp_path: Path) -> None:
    wave = 100.0 * np.sin(TIME_S)
    names = ["HR", "hr ", "Force_2 (W)", "Force", "A\u202eB\x07C" + "D" * 60, "?!"]
    columns = {name: wave + i for i, name in enumerate(names)}
    path = write(tmp_path, {**OWN, **columns})
    mapping = mapping_from_options(preview(path), force_column="force_n")
    found = read_trace(path, mapping).further
    assert [s.name for s in found[:4]] == ["hr", "hr-2", "force-2", "force-3"]
    assert len({s.title for s in found}) == len(found) == 6
    assert found[4].title.startswith("A B C") and len(found[4].title) == 40
    assert found[5].name.startswith("column-")


def test_no_more_than_can_be_looked_at(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    many = {f"Strain {i}": rng.normal(0.0, 1.0, 1500) for i in range(MOST_SIGNALS + 8)}
    trace = read_trace(write(tmp_path, {**OWN, **many}))
    assert len(trace.signals) == MOST_SIGNALS
    assert f"10 further columns were left out: {MOST_SIGNALS} signals are read." in remarks(trace)


def test_words_are_no_signal(tmp_path: Path) -> None:
    path = write(tmp_path, OWN)
    lines = path.read_text("utf-8").splitlines()
    path.write_text(
        "\n".join([f"{lines[0]};Phase", *(f"{line};drive" for line in lines[1:])]), "utf-8"
    )
    assert read_trace(path).further == ()


def test_a_seat_is_no_handle(tmp_path: Path) -> None:
    columns = {"time_s": TIME_S, "force_n": FORCE_N, "Seat position (mm)": 500.0 * HANDLE_M}
    trace = read_trace(write(tmp_path, columns))
    assert trace.position_m is None
    assert [(s.name, s.unit) for s in trace.further] == [("seat-position", "m")]


def test_the_plain_force_among_forces_is_the_handles(tmp_path: Path) -> None:
    columns = {"time_s": TIME_S, "Rower 2 force (N)": 2.0 * FORCE_N, "Force (N)": FORCE_N}
    trace = read_trace(write(tmp_path, columns))
    assert trace.force_n == pytest.approx(FORCE_N, abs=1e-3)
    assert [s.title for s in trace.further] == ["Rower 2 force"]
