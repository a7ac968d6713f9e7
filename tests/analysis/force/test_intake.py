"""Force files as recorders write them, and what is no force file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.force.intake import (
    NEWTONS,
    MappingNeeded,
    mapping_from_options,
    preview,
    read_trace,
)
from analysis.force.trace import ColumnMapping, ForceTrace, TraceError
from tests.helpers.force_tables import FORCE_N, TIME_S, sentence, table, write

# --- units -------------------------------------------------------------------------------------


def test_units_are_the_standards_own() -> None:
    # 1 kgf = 9.80665 N exactly (3rd CGPM 1901; ISO 80000-4);
    # 1 lbf = 4.4482216152605 N exactly (NIST SP 811, appendix B) = 0.45359237 kg x 9.80665 m/s2.
    assert NEWTONS["kgf"] == 9.80665
    assert NEWTONS["lbf"] == 4.4482216152605
    assert NEWTONS["lbf"] == pytest.approx(0.45359237 * 9.80665, rel=1e-14)


HEADERS = {
    "N": [
        "force_n",
        "Force (N)",
        "Kraft [N]",
        "handle_force_n",
        "force in newton",
        "HANDLE FORCE/N",
    ],
    "kgf": ["force_kgf", "handle force/kgf", "Kraft (kp)", "Force [kg]"],
    "lbf": ["force_lbf", "Force (lbf)", "force [lbs]"],
}


@pytest.mark.parametrize(("unit", "name"), [(u, n) for u, names in HEADERS.items() for n in names])
def test_a_header_names_its_unit(tmp_path: Path, unit: str, name: str) -> None:
    trace = read_trace(write(tmp_path, table(header=f"time_s,{name}", scale=1.0 / NEWTONS[unit])))
    assert trace.force_n == pytest.approx(FORCE_N, abs=0.001)
    assert trace.intake is not None and trace.intake.mapping.force_unit == unit


@given(
    delimiter=st.sampled_from([",", ";", "\t", "|", " "]),
    decimal=st.sampled_from([".", ","]),
    encoding=st.sampled_from(
        ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "utf-32"]
    ),
    unit=st.sampled_from(["N", "kgf", "lbf"]),
    clock=st.sampled_from(["s", "ms"]),
    header=st.booleans(),
    position=st.booleans(),
    newline=st.sampled_from(["\n", "\r\n", "\r"]),
    preamble=st.lists(st.sampled_from(["# 3 July, günstig", "Session: 12", ""]), max_size=3),
    order=st.permutations([0, 1, 2]),
    data=st.lists(st.integers(-2000, 90000), min_size=12, max_size=49),
)
@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
def test_what_is_written_is_read(
    tmp_path: Path,
    delimiter: str,
    decimal: str,
    encoding: str,
    unit: str,
    clock: str,
    header: bool,
    position: bool,
    newline: str,
    preamble: list[str],
    order: list[int],
    data: list[int],
) -> None:
    if delimiter == decimal:
        delimiter = ";"
    if not header:
        order, preamble = [0, 1, 2], []
    n = len(data)
    shown = np.column_stack(
        (np.arange(n) * (0.01 if clock == "s" else 10.0), np.array(data) / 100.0, np.arange(n) / 64)
    )
    names = [f"time_{clock}", f"force_{unit.lower()}", "handle_position_m"]
    columns = [c for c in order if position or c < 2]
    lines = [*preamble, delimiter.join(names[c] for c in columns)] if header else []
    for row in shown:
        lines.append(delimiter.join(f"{row[c]:.6f}".replace(".", decimal) for c in columns))
    path = write(tmp_path, newline.join(lines) + newline, encoding)
    if np.ptp(data) == 0:
        with pytest.raises(TraceError):
            read_trace(path)
        return
    looked = preview(path)
    at = [columns.index(c) + 1 for c in (0, 1)]
    mapping = None
    if not header:
        mapping = mapping_from_options(
            looked,
            time_column=at[0],
            time_unit=clock,
            force_column=at[1],
            force_unit=unit,
            position_column=3 if position else None,
            position_unit="m" if position else None,
        )
    trace = read_trace(path, mapping)
    force_n = shown[:, 1] * NEWTONS[unit]
    turned = trace.intake is not None and any("sign" in r for r in trace.intake.remarks)
    assert trace.force_n == pytest.approx(-force_n if turned else force_n, abs=1e-5)
    assert trace.time_s == pytest.approx(0.01 * np.arange(n), abs=1e-9)
    if position:
        assert trace.position_m == pytest.approx(shown[:, 2], abs=1e-6)
    else:
        assert trace.position_m is None


# --- what must be asked --------------------------------------------------------------------------


def test_force_without_a_unit_is_asked_and_answered(tmp_path: Path) -> None:
    path = write(tmp_path, table(header="time,force"))
    looked = preview(path)
    assert looked.missing == ("force_unit",) and looked.mapping is None
    with pytest.raises(MappingNeeded) as error:
        read_trace(path)
    assert "--force-unit N|kN|daN|kgf|lbf" in sentence(error)
    assert error.value.missing == ("force_unit",)
    mapping = mapping_from_options(looked, force_unit="kgf")
    assert mapping == ColumnMapping(1, "kgf", 0, "s")
    assert read_trace(path, mapping).force_n == pytest.approx(FORCE_N * 9.80665, abs=0.01)


def test_no_time_is_asked_and_answered(tmp_path: Path) -> None:
    text = "force_n\n" + "".join(f"{f:.2f}\n" for f in FORCE_N)
    path = write(tmp_path, text)
    with pytest.raises(MappingNeeded) as error:
        read_trace(path)
    assert "--interval SECONDS" in sentence(error)
    mapping = mapping_from_options(error.value.preview, interval_s=0.02)
    assert read_trace(path, mapping).duration_s == pytest.approx(0.02 * (len(FORCE_N) - 1))
    for bad in (0.0, -1.0, float("nan")):
        with pytest.raises(TraceError):
            mapping_from_options(error.value.preview, interval_s=bad)


def test_no_force_column_is_asked_by_name_or_number(tmp_path: Path) -> None:
    path = write(tmp_path, table(header="time_s,fx_n"))
    with pytest.raises(MappingNeeded) as error:
        read_trace(path)
    assert "--force-column" in sentence(error) and "2 “fx_n”" in sentence(error)
    for said in ("fx_n", "FX_N", "2", 2):
        # The unit stands in the name of the column that was chosen.
        assert mapping_from_options(error.value.preview, force_column=said).force_unit == "N"
    for said in ("fz", "0", "3", "-1"):
        with pytest.raises(TraceError) as unknown:
            mapping_from_options(error.value.preview, force_column=said)
        assert "time_s" in sentence(unknown)
    with pytest.raises(TraceError) as unit:
        mapping_from_options(error.value.preview, force_column=2, force_unit="stone")
    assert "kgf" in sentence(unit)


def test_two_forces_are_asked_unless_one_is_the_handles(tmp_path: Path) -> None:
    rows = "".join(f"{t:.2f},{f:.1f},{f / 2:.1f}\n" for t, f in zip(TIME_S, FORCE_N, strict=True))
    path = write(tmp_path, "time_s,force_one_n,force_two_n\n" + rows)
    assert "force_column" in preview(path).missing
    path = write(tmp_path, "time_s,force_left_n,force_right_n\n" + rows)
    assert read_trace(path).force_n.max() == pytest.approx(600.0, abs=3.0)  # both hands'
    path = write(tmp_path, "time_s,foot force (N),handle force (N)\n" + rows)
    assert read_trace(path).force_n.max() == pytest.approx(200.0, abs=1.0)


def test_time_without_a_unit_goes_by_its_spacing_and_says_so(tmp_path: Path) -> None:
    for factor, unit in ((1.0, "seconds"), (1000.0, "milliseconds")):
        rows = "".join(f"{t * factor:.2f},{f:.1f}\n" for t, f in zip(TIME_S, FORCE_N, strict=True))
        trace = read_trace(write(tmp_path, "time,force_n\n" + rows))
        assert trace.duration_s == pytest.approx(3.99)
        assert trace.intake is not None and unit in trace.intake.remarks[0]
    rows = "".join(f"{i * 7200},{f:.1f}\n" for i, f in enumerate(FORCE_N))
    assert preview(write(tmp_path, "time,force_n\n" + rows)).missing == ("time_unit",)


def test_a_row_count_is_no_clock(tmp_path: Path) -> None:
    rows = "".join(f"{i},{f:.1f}\n" for i, f in enumerate(FORCE_N))
    assert preview(write(tmp_path, "sample,force_n\n" + rows)).missing == ("interval_s",)


def test_position_without_a_unit_is_left_out_and_said(tmp_path: Path) -> None:
    rows = "".join(f"{t:.2f},{f:.1f},{t / 3:.3f}\n" for t, f in zip(TIME_S, FORCE_N, strict=True))
    path = write(tmp_path, "time_s,force_n,position\n" + rows)
    trace = read_trace(path)
    assert trace.position_m is None
    assert trace.intake is not None and "--position-unit" in trace.intake.remarks[0]
    with pytest.raises(MappingNeeded):
        mapping_from_options(preview(path), position_column="position")
    mapping = mapping_from_options(preview(path), position_column=3, position_unit="cm")
    position = read_trace(path, mapping).position_m
    assert position is not None and position[-1] == pytest.approx(0.01 * 3.99 / 3, abs=1e-4)


def test_layouts_met_in_the_wild(tmp_path: Path) -> None:
    units_line = "time;force\ns;N\n" + table(";", ",", "")
    quoted = '"time_s","force_n"\n' + "".join(
        f'"{t:.3f}","{f:.4f}"\n'.replace(".", ",") for t, f in zip(TIME_S, FORCE_N, strict=True)
    )
    rate_above = "Rate: 100 Hz\nforce_n\n" + "".join(f"{f:.4f}\n" for f in FORCE_N)
    one_comma = "sampled at 100 Hz\nforce_n\n" + "".join(
        f"{f:.4f}\n".replace(".", ",") for f in FORCE_N
    )
    trailing = table().replace("\n", ",\n")
    wide = table("   ", ".", "Time (s)   Force (N)")
    hashed = table(header="# time_s,force_n")
    for text in (units_line, quoted, rate_above, one_comma, trailing, wide, hashed):
        trace = read_trace(write(tmp_path, text))
        assert trace.force_n == pytest.approx(FORCE_N, abs=0.001), text[:60]
        assert trace.duration_s == pytest.approx(3.99)


def test_the_signature_knows_the_source(tmp_path: Path) -> None:
    one = preview(write(tmp_path, table(header="t,f"), name="one.csv"))
    two = preview(write(tmp_path, table(header="t,f", scale=0.5), name="two.csv"))
    other = preview(write(tmp_path, table(";", header="t;f"), name="other.csv"))
    assert one.signature == two.signature != other.signature


# --- repairs -------------------------------------------------------------------------------------


def rows_of(trace: ForceTrace) -> tuple[int, int, int, int]:
    report = trace.intake
    assert report is not None
    assert report.samples == len(trace.time_s)
    return report.rows, report.missing, report.repeated, report.backward


def test_every_repair_is_counted(tmp_path: Path) -> None:
    lines = table().splitlines()
    lines[20] = "0.190,NaN"
    lines[21] = "0.200,"
    lines[22] = "0.210,broken"
    lines[40] = lines[39]  # a repeated time
    lines[60], lines[61] = lines[61], lines[60]  # a step back
    del lines[200:260]  # a gap
    lines[300] += ",1,2,3,4,5,6"  # cells beyond the last column are nobody's
    trace = read_trace(write(tmp_path, "\n".join(lines) + "\n"))
    assert rows_of(trace) == (340, 3, 1, 1)
    assert trace.intake is not None
    assert np.array(trace.intake.gaps_s) == pytest.approx(np.array([(1.98, 2.59)]))
    assert np.all(np.diff(trace.time_s) > 0.0)


def test_infinite_and_wild_forces_are_missing(tmp_path: Path) -> None:
    lines = table().splitlines()
    lines[20], lines[21], lines[22] = "0.190,inf", "0.200,1e9", "0.210,1e999"
    assert rows_of(read_trace(write(tmp_path, "\n".join(lines) + "\n"))) == (400, 3, 0, 0)


def test_a_cut_last_line_is_dropped(tmp_path: Path) -> None:
    for cut in ("4.000,12.3", "4.000", "4.0"):
        trace = read_trace(write(tmp_path, table() + cut))
        assert rows_of(trace) == (401, 1, 0, 0)
        assert trace.intake is not None and "cut short" in trace.intake.remarks[0]
    whole = read_trace(write(tmp_path, table() + "4.000,12.3456"))
    assert rows_of(whole) == (401, 0, 0, 0)


def test_lost_rows_leave_their_time_when_an_interval_counts(tmp_path: Path) -> None:
    text = "force_n\n" + "\n".join(f"{f:.2f}" if i != 50 else "NaN" for i, f in enumerate(FORCE_N))
    path = write(tmp_path, text + "\n")
    trace = read_trace(path, ColumnMapping(0, "N", interval_s=0.01))
    assert trace.duration_s == pytest.approx(3.99)
    assert np.diff(trace.time_s).max() == pytest.approx(0.02)


def test_a_pull_that_reads_negative_is_turned(tmp_path: Path) -> None:
    trace = read_trace(write(tmp_path, table(scale=-1.0)))
    assert trace.force_n == pytest.approx(FORCE_N, abs=0.001)
    assert trace.intake is not None and "sign was turned" in trace.intake.remarks[0]


def test_a_coarse_clock_is_spread(tmp_path: Path) -> None:
    rows = "".join(
        f"{int(t * 20) / 20:.2f},{f:.2f}\n" for t, f in zip(TIME_S + 1e-9, FORCE_N, strict=True)
    )
    trace = read_trace(write(tmp_path, "time_s,force_n\n" + rows))
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-6)
    assert rows_of(trace) == (400, 0, 0, 0)


def test_a_second_recording_in_the_file_is_not_mixed_in(tmp_path: Path) -> None:
    text = table() + "\n".join(table(header="").splitlines()[:150]) + "\n"
    trace = read_trace(write(tmp_path, text))
    assert trace.force_n == pytest.approx(FORCE_N, abs=0.001)
    assert trace.intake is not None and "starts anew" in trace.intake.remarks[0]


def test_a_clock_that_counts_from_a_date_starts_at_zero(tmp_path: Path) -> None:
    rows = "".join(
        f"{1.7e12 + 1000 * t:.0f},{f:.2f}\n" for t, f in zip(TIME_S, FORCE_N, strict=True)
    )
    trace = read_trace(write(tmp_path, "timestamp_ms,force_n\n" + rows))
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-5)
    assert trace.intake is not None and "far-off date" in trace.intake.remarks[0]


def test_single_samples_that_jump_out_are_dropped(tmp_path: Path) -> None:
    lines = table().splitlines()
    lines[100], lines[200] = "0.990,3000", "1.990,-900"
    trace = read_trace(write(tmp_path, "\n".join(lines) + "\n"))
    assert rows_of(trace) == (400, 2, 0, 0)
    assert trace.force_n.max() < 401.0 and trace.force_n.min() >= 0.0
    assert trace.intake is not None and "single sample" in trace.intake.remarks[0]


def test_a_catch_is_no_spike(tmp_path: Path) -> None:
    # Force that is there from one sample to the next, and a drive of two samples, both stay.
    force_n = np.where(np.mod(TIME_S, 0.5) < 0.015, 400.0, 0.0)
    rows = "".join(f"{t:.2f},{f:.2f}\n" for t, f in zip(TIME_S, force_n, strict=True))
    assert rows_of(read_trace(write(tmp_path, "time_s,force_n\n" + rows))) == (400, 0, 0, 0)


def test_clipping_is_said(tmp_path: Path) -> None:
    clipped = np.minimum(FORCE_N, 300.0)
    rows = "".join(f"{t:.2f},{f:.2f}\n" for t, f in zip(TIME_S, clipped, strict=True))
    trace = read_trace(write(tmp_path, "time_s,force_n\n" + rows))
    assert trace.intake is not None and "highest value, 300 N" in trace.intake.remarks[0]


# --- what cannot be used -------------------------------------------------------------------------


def test_a_stray_quote_costs_one_row(tmp_path: Path) -> None:
    lines = table().splitlines()
    lines[350] = '3.490,"12.0'
    trace = read_trace(write(tmp_path, '# a 5" rod\n' + "\n".join(lines) + "\n"))
    assert rows_of(trace) == (400, 1, 0, 0)
