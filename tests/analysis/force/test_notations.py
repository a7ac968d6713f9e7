"""Numbers and clocks as people's programs write them, and clocks that go wrong."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.recordings_apart import parts_of
from analysis.clocks.trace_signal import trace_signal
from analysis.force.intake import preview, read_trace
from analysis.force.piece import analyse
from analysis.force.trace import ForceTrace
from tests.helpers.drawn_pieces import beta, drawn, row_of

PIECE = drawn(row_of(8, peak_n=1450.0), beta, hz=50.0)
TIME_S, FORCE_N = PIECE.time_s, PIECE.force_n


def written(path: Path, rows: list[tuple[str, str]], header: str, between: str = ";") -> Path:
    lines = [header, *(between.join(row) for row in rows)]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def _grouped(value: float, mark: str, decimal: str, digits: int) -> str:
    return f"{value:,.{digits}f}".replace(",", "\0").replace(".", decimal).replace("\0", mark)


@pytest.mark.parametrize(
    ("mark", "decimal", "digits", "between"),
    [
        (",", ".", 1, ";"),
        (",", ".", 1, "\t"),
        (",", ".", 0, ";"),
        (".", ",", 1, ";"),
        (".", ",", 2, "\t"),
        ("'", ".", 1, ","),
        ("’", ".", 2, ";"),
        ("\u202f", ",", 1, ";"),
        ("\u00a0", ",", 1, "\t"),
        (" ", ".", 1, ";"),
    ],
)
def test_parted_thousands_are_read(
    mark: str, decimal: str, digits: int, between: str, tmp_path: Path
) -> None:
    rows = [
        (f"{t:.2f}".replace(".", decimal), _grouped(f, mark, decimal, digits))
        for t, f in zip(TIME_S, FORCE_N, strict=True)
    ]
    trace = read_trace(written(tmp_path / "f.csv", rows, f"time_s{between}force_n", between))
    np.testing.assert_allclose(trace.force_n, FORCE_N, rtol=0, atol=0.51 * 10.0**-digits)
    assert trace.intake is not None and trace.intake.missing == 0


@pytest.mark.parametrize("mark", [",", "."])
def test_whole_numbers_with_parted_thousands_are_read(mark: str, tmp_path: Path) -> None:
    rows = [
        (f"{1000.0 * t:.0f}", _grouped(f, mark, "", 0))
        for t, f in zip(TIME_S, FORCE_N, strict=True)
    ]
    trace = read_trace(written(tmp_path / "f.csv", rows, "time_ms;force_n"))
    np.testing.assert_allclose(trace.force_n, FORCE_N, rtol=0, atol=0.51)


def test_three_decimals_with_a_comma_stay_decimals(tmp_path: Path) -> None:
    rows = [
        (f"{t:.3f}".replace(".", ","), f"{f / 9.80665:.3f}".replace(".", ","))
        for t, f in zip(TIME_S, FORCE_N, strict=True)
    ]
    trace = read_trace(written(tmp_path / "f.csv", rows, "time_s;force_kgf"))
    np.testing.assert_allclose(trace.force_n, FORCE_N, rtol=0, atol=0.01)


def test_thousands_parted_by_the_delimiter_are_said(tmp_path: Path) -> None:
    rows = [(f"{t:.2f}", f"{f:,.1f}") for t, f in zip(TIME_S, FORCE_N, strict=True)]
    trace = read_trace(written(tmp_path / "f.csv", rows, "time_s,force_n", ","))
    assert trace.intake is not None
    assert any("more cells than the table has columns" in r for r in trace.intake.remarks)
    assert trace.intake.missing == (FORCE_N >= 999.95).sum()
    assert trace.force_n.max() > 900.0


def _h_mm_ss(t: float) -> str:
    return f"{int(t // 3600)}:{int(t // 60) % 60:02d}:{t % 60.0:05.2f}"


START = datetime(2024, 3, 1, 23, 59, 50)
CLOCKS: dict[str, Callable[[float], str]] = {
    "m:ss": lambda t: f"{int((t + 50.0) // 60)}:{(t + 50.0) % 60.0:05.2f}",
    "m:ss,": lambda t: f"{int((t + 50.0) // 60)}:{(t + 50.0) % 60.0:05.2f}".replace(".", ","),
    "h:mm:ss": lambda t: _h_mm_ss(t + 36_000.0),
    "over midnight": lambda t: _h_mm_ss((t + 86_390.0) % 86_400.0),
    "iso T": lambda t: (START + timedelta(seconds=t)).isoformat(timespec="milliseconds"),
    "iso Z": lambda t: (START + timedelta(seconds=t)).isoformat(timespec="microseconds") + "Z",
    "iso +": lambda t: (START + timedelta(seconds=t)).isoformat(" ", "milliseconds") + "+02:00",
}


@pytest.mark.parametrize("header", ["time;force_n", "timestamp;Force (N)", "Uhrzeit;Kraft [N]"])
@pytest.mark.parametrize("kind", CLOCKS)
def test_clocks_are_read(kind: str, header: str, tmp_path: Path) -> None:
    decimal = "," if kind == "m:ss," else "."
    rows = [
        (CLOCKS[kind](float(t)), f"{f:.1f}".replace(".", decimal))
        for t, f in zip(TIME_S, FORCE_N, strict=True)
    ]
    path = written(tmp_path / "f.csv", rows, header)
    assert preview(path).missing == ()
    trace = read_trace(path)
    np.testing.assert_allclose(
        trace.time_s - trace.time_s[0], TIME_S - TIME_S[0], rtol=0, atol=1e-4
    )
    np.testing.assert_allclose(trace.force_n, FORCE_N, rtol=0, atol=0.051)


def test_clocks_between_blanks_and_commas(tmp_path: Path) -> None:
    for between in (" ", ",", "\t"):
        rows = [(_h_mm_ss(t), f"{f:.1f}") for t, f in zip(TIME_S, FORCE_N, strict=True)]
        path = written(tmp_path / "f.txt", rows, f"time{between}force_n", between)
        assert read_trace(path).duration_s == pytest.approx(TIME_S[-1], abs=1e-4)


@pytest.mark.parametrize("offset_n", [-600.0, -2000.0, 300.0])
@pytest.mark.parametrize("turned", [False, True])
def test_a_zero_that_is_off_turns_nothing(offset_n: float, turned: bool, tmp_path: Path) -> None:
    force_n = (-FORCE_N if turned else FORCE_N) + offset_n
    rows = [(f"{t:.2f}", f"{f:.1f}") for t, f in zip(TIME_S, force_n, strict=True)]
    trace = read_trace(written(tmp_path / "f.csv", rows, "time_s;force_n"))
    assert trace.intake is not None
    assert any("sign was turned" in r for r in trace.intake.remarks) is turned
    piece = analyse(trace)
    assert [m.peak_n for m in piece.measures] == pytest.approx([1450.0] * 8, rel=0.01)


@pytest.mark.parametrize(
    ("name", "unit"), [("pull kgf", "kgf"), ("Load cell (lbf)", "lbf"), ("Zug [N]", "N")]
)
def test_the_only_column_with_a_unit_of_force_is_it(name: str, unit: str, tmp_path: Path) -> None:
    rows = [(f"{t:.2f}", f"{f:.1f}") for t, f in zip(TIME_S, FORCE_N, strict=True)]
    found = preview(written(tmp_path / "f.csv", rows, f"time_s;{name}"))
    assert found.missing == ()
    assert found.mapping is not None
    assert (found.mapping.force_column, found.mapping.force_unit) == (1, unit)


@pytest.mark.parametrize("row", [0, 1, 117, 250, len(TIME_S) - 2, len(TIME_S) - 1])
@pytest.mark.parametrize("factor", [100.0, 1e5])
def test_one_bad_time_is_dropped_with_a_remark(row: int, factor: float, tmp_path: Path) -> None:
    time_s = TIME_S + 5.0
    time_s[row] *= factor
    rows = [(f"{t:.2f}", f"{f:.1f}") for t, f in zip(time_s, FORCE_N, strict=True)]
    trace = read_trace(written(tmp_path / "f.csv", rows, "time_s;force_n"))
    assert trace.duration_s <= TIME_S[-1] + 0.001
    assert trace.intake is not None and trace.intake.missing == 1
    assert any("far from" in remark for remark in trace.intake.remarks)


@pytest.mark.parametrize("gap_s", [86_400.0, 3.2e7])
def test_a_day_or_a_year_of_silence_costs_no_memory(gap_s: float) -> None:
    late = np.where(TIME_S[-1] / 2.0 < TIME_S, TIME_S + gap_s, TIME_S)
    trace = ForceTrace(late, FORCE_N)
    piece = analyse(trace)
    signals = [trace_signal(*part) for part in parts_of(piece.trace, piece.strokes)]
    assert len(signals) == 2
    assert sum(len(signal.time_s) for signal in signals) < 100 * TIME_S[-1] + 20
    assert len(piece.strokes) >= 7
