"""C3D recordings: written by a library that is not ours, and whatever a stranger makes of one."""

from __future__ import annotations

import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.force.c3d import table_of_c3d
from analysis.force.c3d_points import handle_way
from analysis.force.intake import read_trace
from analysis.force.trace import TraceError
from tests.helpers.c3d_files import whole_numbers

# Written by ezc3d 1.7.2: 500 frames of one point at 50 a second, two analog samples a frame.
DRAWN = Path(__file__).with_name("drawn.c3d")


# Written by the same: 200 frames at 25 a second of both ends of a handle, in mm, along a slanting
# line, one of them hidden in three frames, and of a seat; two analog samples a frame.
MARKERS = Path(__file__).with_name("markers.c3d")


def handle_m(time_s: np.ndarray) -> np.ndarray:
    """The way the markers were written from: 0.9 s out and 1.6 s home, 1.2 m."""
    at = time_s % 2.5
    out, home = np.cos(np.pi * at / 0.9), np.cos(np.pi * (at - 0.9) / 1.6)
    return np.where(at < 0.9, 0.6 * (1.0 - out), 0.6 * (1.0 + home))


def test_markers_on_the_handle_are_its_position() -> None:
    trace = read_trace(MARKERS)
    assert len(trace.time_s) == 400 and trace.position_m is not None
    off = trace.position_m - handle_m(trace.time_s)
    # A straight line bridges what was hidden, and half a frame at the end has no frame behind it.
    assert np.abs(off[:-1]).max() < 0.012 and np.abs(off[:100]).max() < 0.005
    said = " ".join(trace.intake.remarks if trace.intake else ())
    assert "3 followed points (“HANDLE_L”, “HANDLE_R”, “SEAT”)" in said
    assert "taken as its position" in said


def test_other_points_are_named_and_not_taken() -> None:
    trace = read_trace(DRAWN)  # its one point has no unit
    assert trace.position_m is None and trace.intake is not None
    assert any("“handle”" in s and "nothing was taken" in s for s in trace.intake.remarks)


def _seen(way_mm: np.ndarray) -> np.ndarray:
    seen = np.zeros((len(way_mm), 1, 4))
    seen[:, 0, 0] = way_mm
    return seen


def test_only_what_moves_as_a_handle_does_is_one() -> None:
    time_s = np.arange(500) / 50.0
    way = 1000.0 * handle_m(time_s)
    force = np.where(time_s % 2.5 < 0.9, 400.0, 0.0)
    for turned in (way, 3000.0 - way):  # whichever way the laboratory's axis points
        found = handle_way(_seen(turned), "mm", force, 50.0)
        assert found is not None and np.abs(found - handle_m(time_s)).max() < 0.01
    assert handle_way(_seen(way), "", force, 50.0) is None, "no unit"
    assert handle_way(_seen(0.1 * way), "mm", force, 50.0) is None, "too short a way"
    assert handle_way(_seen(way), "m", force, 50.0) is None, "too long a way"
    assert handle_way(_seen(way), "mm", np.zeros(500), 50.0) is None, "no force says which way"
    hidden = _seen(way)
    hidden[100:115, 0, 3] = -1.0
    assert handle_way(hidden, "mm", force, 50.0) is None, "hidden for 0.3 s"
    hidden[100:108, 0, 3] = 0.0
    bridged = handle_way(hidden, "mm", force, 50.0)
    assert bridged is not None and np.isfinite(bridged).all()
    circle = _seen(way)
    circle[:, 0, 1] = 600.0 * np.sin(2.0 * np.pi * time_s / 2.5)
    assert handle_way(circle, "mm", force, 50.0) is None, "no line"


def test_the_analog_channels_are_read_in_their_units() -> None:
    trace = read_trace(DRAWN)
    assert len(trace.time_s) == 1000 and trace.interval_s == pytest.approx(0.01)
    pulled = np.maximum(0.0, 600.0 * np.sin(2.0 * np.pi * trace.time_s / 2.5))
    assert np.abs(trace.force_n - pulled).max() < 0.01
    assert trace.intake is not None and any("C3D" in said for said in trace.intake.remarks)
    lines, _said = table_of_c3d(DRAWN, "drawn.c3d")
    assert next(lines) == "time (s)\tHandle force (N)\tSeat (V)\n"
    last = [float(cell) for cell in list(lines)[-1].split("\t")]
    assert last[2] == pytest.approx(0.999), "the other channel"


def test_points_alone_are_said_to_be_that(tmp_path: Path) -> None:
    data = bytearray(MARKERS.read_bytes())
    data[4:6] = b"\0\0"  # analog values in a frame
    alone = tmp_path / "points.c3d"
    alone.write_bytes(data)
    with pytest.raises(TraceError, match="points alone") as refused:
        read_trace(alone)
    assert "3 followed points (“HANDLE_L”" in str(refused.value)
    assert "ask for" in str(refused.value)


@settings(deadline=None)
@given(
    st.sampled_from((DRAWN, MARKERS)),
    st.integers(0, 8000),
    st.binary(min_size=1, max_size=40),
    st.integers(100, 17_920),
)
def test_a_damaged_one_is_one_sentence_or_a_table(
    tmp_path_factory: pytest.TempPathFactory, of: Path, at: int, by: bytes, kept: int
) -> None:
    data = bytearray(of.read_bytes())
    data[at : at + len(by)] = by
    bad = tmp_path_factory.getbasetemp() / "bad.c3d"
    bad.write_bytes(data[:kept])
    try:
        lines, _said = table_of_c3d(bad, "bad.c3d")
        assert sum(1 for _line in lines) <= 1 + 17_920
    except TraceError as error:
        assert "bad.c3d" in str(error)


@pytest.mark.parametrize(
    ("frames", "counted", "with_trial"),
    [
        (4_000, 4_000, False),
        (70_000, 0xFFFF, True),
        (70_000, 0xFFFF, False),
        (80_000, 80_000 & 0xFFFF, True),
        (80_000, 80_000 & 0xFFFF, False),
        (140_000, 140_000 & 0xFFFF, False),
    ],
)
def test_a_long_one_is_read_to_its_last_sample_and_no_further(
    tmp_path: Path, frames: int, counted: int, with_trial: bool
) -> None:
    # The head counts frames in 16 bits: writers stop at 65 535 or begin anew, and fill up a block.
    pulled = 100.0 + 0.02 * (np.arange(frames) % 25_000)
    long = tmp_path / "long.c3d"
    long.write_bytes(whole_numbers(pulled, 100.0, counted, with_trial))
    lines, _said = table_of_c3d(long, "long.c3d")
    assert next(lines) == "time (s)\tHandle force (N)\n"
    read = [float(line.split("\t")[1]) for line in lines]
    assert len(read) == frames
    assert np.abs(np.array(read) - pulled).max() < 0.011


def _of_one_channel(frames: int, said: bytes = b"") -> bytes:
    """A recording of whole numbers in one channel, with other parameters."""
    head = bytearray(DRAWN.read_bytes()[:512])
    blocks = -(-(len(said) + 4) // 512)
    head[0] = 2
    struct.pack_into("<HHHH", head, 2, 0, 1, 1, 0xFFFF)
    struct.pack_into("<fHHf", head, 12, 1.0, 2 + blocks, 1, 1000.0)
    section = (bytes([1, 80, blocks, 84]) + said).ljust(blocks * 512, b"\0")
    return bytes(head) + section + b"\1\0" * frames


def test_one_that_is_too_long_is_said_before_it_is_written_out(tmp_path: Path) -> None:
    long = tmp_path / "long.c3d"
    long.write_bytes(_of_one_channel(4_000_001))
    with pytest.raises(TraceError, match="too long"):
        table_of_c3d(long, "long.c3d")


def test_a_parameter_that_says_it_is_huge_is_not_believed(tmp_path: Path) -> None:
    """Each would be read up to the end of the file, and a section has room for thousands."""
    huge = b"".join(
        struct.pack("<bbsHbB3B", 1, 1, b"A", 7, 1, 3, 255, 255, 255) for _ in range(1000)
    )
    bad = tmp_path / "huge.c3d"
    bad.write_bytes(_of_one_channel(1_000_000, huge))
    tracemalloc.start()
    with pytest.raises(TraceError, match="damaged"):
        table_of_c3d(bad, "huge.c3d")
    assert tracemalloc.get_traced_memory()[1] < 10_000_000
    tracemalloc.stop()


def test_a_long_one_is_not_held_in_numbers_of_python(tmp_path: Path) -> None:
    long = tmp_path / "long.c3d"
    long.write_bytes(_of_one_channel(200_000))
    tracemalloc.start()
    lines, _said = table_of_c3d(long, "long.c3d")
    assert sum(1 for _line in lines) == 200_001
    assert tracemalloc.get_traced_memory()[1] < 4_000_000
    tracemalloc.stop()


@pytest.mark.parametrize("offset", [0, 200, 32_768])
def test_unsigned_numbers_are_not_taken_for_signed_ones(tmp_path: Path, offset: int) -> None:
    # A converter of 16 bits uses all of them: above the middle, a signed number would be negative.
    least = 0.0 if offset == 0 else -3.0
    pulled = np.linspace(least, 640.0 if offset > 200 else 1200.0, 500)
    made = tmp_path / "unsigned.c3d"
    made.write_bytes(whole_numbers(pulled, 100.0, 500, unsigned_offset=offset))
    lines, _said = table_of_c3d(made, "unsigned.c3d")
    next(lines)
    read = np.array([float(line.split("\t")[1]) for line in lines])
    assert np.abs(read - pulled).max() < 0.011
