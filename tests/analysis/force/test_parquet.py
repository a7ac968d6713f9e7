"""Parquet tables written by libraries that are not ours, and whatever a stranger makes of one."""

from __future__ import annotations

import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.force import parquet
from analysis.force.intake import read_trace
from analysis.force.parquet import table_of_parquet
from analysis.force.parquet_footer import DamagedError
from analysis.force.parquet_pages import runs
from analysis.force.trace import TraceError
from tests.helpers.exports import zipped

# Written by pyarrow 26.0.1, other_writer.parquet by fastparquet 2026.9.0: two strokes of 20 samples
# a second, the time in as many ways as there are.
FILES = Path(__file__).with_name("parquet_files")
TIME = np.arange(120) / 20.0
PULLED = np.round(np.maximum(0.0, 600.0 * np.sin(2.0 * np.pi * TIME / 2.5)), 2)
EACH_OF_BOTH = (
    *("none", "snappy", "gzip", "brotli", "zstd", "lz4", "second_pages", "split", "deltas"),
    *("stamps_ms", "stamps_us", "stamps_ns", "stamps_int96", "clock", "words_and_decimals"),
    "other_writer",
)


@pytest.mark.parametrize("name", EACH_OF_BOTH)
def test_time_and_force_are_read_as_they_were_written(name: str) -> None:
    trace = read_trace(FILES / f"{name}.parquet")
    assert len(trace.time_s) == 120
    assert np.abs(trace.time_s - trace.time_s[0] - TIME).max() < 1e-6
    assert np.abs(trace.force_n - PULLED).max() < 1e-6


def test_numbers_of_two_bytes_are_read() -> None:
    trace = read_trace(FILES / "halves.parquet")
    assert np.abs(trace.force_n - PULLED).max() < 0.26, "what two bytes hold of 600"


def test_lists_and_records_are_left_out_and_empty_cells_are_missing() -> None:
    trace = read_trace(FILES / "nested.parquet")
    assert trace.intake is not None and trace.intake.missing == 1
    assert len(trace.time_s) == 119 and 0.35 not in trace.time_s.round(3)
    said = " ".join(trace.intake.remarks)
    assert "“splits”, “who”, “ok” was left out" in said
    assert trace.intake.columns == ("time_s", "force_n", "seat")


def test_lists_alone_are_said_to_be_that() -> None:
    with pytest.raises(TraceError, match="lists or records"):
        read_trace(FILES / "lists_alone.parquet")


def test_one_in_an_archive_is_found(tmp_path: Path) -> None:
    packed = tmp_path / "sent.zip"
    packed.write_bytes(zipped({"a/force.parquet": (FILES / "zstd.parquet").read_bytes()}))
    assert np.abs(read_trace(packed).force_n - PULLED).max() < 1e-6


def test_one_without_its_ending_is_known_by_its_beginning(tmp_path: Path) -> None:
    bare = tmp_path / "sent"
    bare.write_bytes((FILES / "none.parquet").read_bytes())
    assert len(read_trace(bare).time_s) == 120


@pytest.mark.parametrize("kept", [4, 11, 12, 300, -1])
def test_one_cut_short_is_said_to_be_that(tmp_path: Path, kept: int) -> None:
    cut = tmp_path / "cut.parquet"
    cut.write_bytes((FILES / "snappy.parquet").read_bytes()[:kept])
    with pytest.raises(TraceError, match="cut short"):
        read_trace(cut)


def test_one_locked_with_a_key_is_said_to_be_that(tmp_path: Path) -> None:
    locked = tmp_path / "locked.parquet"
    locked.write_bytes(b"PARE" + bytes(200) + b"PARE")
    with pytest.raises(TraceError, match="locked"):
        read_trace(locked)


@settings(deadline=None, max_examples=150)
@given(
    st.sampled_from(sorted(path.name for path in FILES.iterdir())),
    st.lists(st.tuples(st.integers(1, 2400), st.integers(0, 255)), min_size=1, max_size=4),
    st.integers(0, 400),
)
def test_a_damaged_one_is_one_sentence_or_a_table(
    tmp_path_factory: pytest.TempPathFactory, name: str, by: list[tuple[int, int]], cut: int
) -> None:
    data = bytearray((FILES / name).read_bytes())
    for back, byte in by:
        data[-min(back, len(data))] = byte
    bad = tmp_path_factory.getbasetemp() / "bad.parquet"
    bad.write_bytes(data[: len(data) - max(0, cut - 390)])
    try:
        lines, _said = table_of_parquet(bad, "bad.parquet")
        assert sum(1 for _line in lines) <= 1 + parquet.MOST_ROWS
    except TraceError as error:
        assert "bad.parquet" in str(error) and "\n" not in str(error)


def _zigzag(value: int) -> bytes:
    value, out = value << 1, b""
    while value > 127:
        out, value = out + bytes([value & 127 | 128]), value >> 7
    return out + bytes([value])


def _number(step: int, value: int) -> bytes:
    return bytes([step << 4 | 6]) + _zigzag(value)


def _file(rows: int, page: bytes, page_head: bytes, codec: int) -> bytes:
    """A table of one column of decimals without a gap, laid out by the public format."""
    root = b"\x48\x01a\x15\x02\0"
    leaf = b"\x15\x0a\x25\0\x18\x01b\0"
    chunk = page_head + page
    meta = (
        _number(1, 5) + b"\x19\x05" + b"\x19\x18\x01b" + _number(1, codec) + _number(1, rows)
        + _number(1, 1) + _number(1, len(chunk)) + _number(2, 4) + b"\0"
    )  # fmt: skip
    group = b"\x19\x1c" + _number(2, 4) + b"\x1c" + meta + b"\0" + _number(1, 1)
    group += _number(1, rows) + b"\0"
    footer = _number(1, 1) + b"\x19\x2c" + root + leaf + _number(1, rows) + b"\x19\x1c" + group
    footer += b"\0"
    return b"PAR1" + chunk + footer + struct.pack("<I", len(footer)) + b"PAR1"


def _page_head(rows: int, unpacked: int, packed: int) -> bytes:
    of_data = _number(1, rows) + _number(1, 0) + _number(1, 3) + _number(1, 3) + b"\0"
    head = _number(1, 0) + _number(1, unpacked) + _number(1, packed)
    return head + b"\x2c" + of_data + b"\0"


def test_the_files_laid_out_here_are_read(tmp_path: Path) -> None:
    made = tmp_path / "made.parquet"
    values = np.arange(50, dtype="<f8")
    made.write_bytes(_file(50, values.tobytes(), _page_head(50, 400, 400), 0))
    lines, said = table_of_parquet(made, "made.parquet")
    assert list(lines) == ["b\n", *(f"{i}\n" for i in range(50))] and said == ()


@pytest.mark.parametrize("claimed", [2**31 - 1, 60 * 2**20])
def test_a_page_that_unpacks_to_all_memory_is_no_page(tmp_path: Path, claimed: int) -> None:
    import cramjam

    packed = bytes(cramjam.zstd.compress(bytes(200 * 2**20)))
    bomb = tmp_path / "bomb.parquet"
    bomb.write_bytes(_file(1000, packed, _page_head(1000, claimed, len(packed)), 6))
    tracemalloc.start()
    with pytest.raises(TraceError, match="damaged"):
        list(table_of_parquet(bomb, "bomb.parquet")[0])
    assert tracemalloc.get_traced_memory()[1] < 80 * 2**20
    tracemalloc.stop()


@pytest.mark.parametrize("rows", [2**31 - 1, 7_999_999])
def test_rows_that_are_not_there_are_not_made_room_for(tmp_path: Path, rows: int) -> None:
    many = tmp_path / "many.parquet"
    many.write_bytes(_file(rows, bytes(800), _page_head(rows, 800, 800), 0))
    tracemalloc.start()
    with pytest.raises(TraceError, match=r"damaged|too long"):
        list(table_of_parquet(many, "many.parquet")[0])
    assert tracemalloc.get_traced_memory()[1] < 80 * 2**20
    tracemalloc.stop()


def test_pages_that_unpack_to_too_much_together_are_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parquet, "MOST_UNPACKED", 300)
    values = np.arange(50, dtype="<f8")
    made = tmp_path / "made.parquet"
    made.write_bytes(_file(50, values.tobytes(), _page_head(50, 400, 400), 0))
    with pytest.raises(TraceError, match="too long"):
        list(table_of_parquet(made, "made.parquet")[0])


@pytest.mark.parametrize("width", [1, 3, 7, 8, 13, 20])
def test_packed_numbers_and_runs_come_as_they_were_written(width: int) -> None:
    drawn = np.random.default_rng(width).integers(0, 1 << width, 64)
    bits = (drawn[:, None] >> np.arange(width)) & 1
    packed = bytes([8 << 1 | 1]) + np.packbits(bits.ravel(), bitorder="little").tobytes()
    again = bytes([5 << 1]) + int(drawn[0]).to_bytes((width + 7) // 8, "little")
    read = runs(memoryview(packed + again), width, 69)
    assert read.tolist() == [*drawn.tolist(), *[int(drawn[0])] * 5]
    with pytest.raises((DamagedError, IndexError)):
        runs(memoryview(packed), width, 69)


def test_runs_of_nothing_are_damage() -> None:
    for empty in (b"\x01", b"\x00"):
        with pytest.raises(DamagedError):
            runs(memoryview(empty * 50 + bytes([69 << 1, 1])), 1, 69)


def test_a_page_that_its_checksum_contradicts_is_damaged(tmp_path: Path) -> None:
    import zlib

    values = np.arange(50, dtype="<f8").tobytes()
    summed = np.array(zlib.crc32(values), np.uint32).view(np.int32).item()
    counts = _number(1, 50) + _number(1, 0) + _number(1, 3) + _number(1, 3) + b"\0"
    signed = bytes([0x15]) + _signed(summed)
    head = _number(1, 0) + _number(1, 400) + _number(1, 400) + signed + b"\x1c" + counts + b"\0"
    made = tmp_path / "made.parquet"
    made.write_bytes(_file(50, values, head, 0))
    assert len(list(table_of_parquet(made, "made.parquet")[0])) == 51
    made.write_bytes(_file(50, values[:-1] + b"\0", head, 0))
    with pytest.raises(TraceError, match="damaged"):
        list(table_of_parquet(made, "made.parquet")[0])


def _signed(value: int) -> bytes:
    value, out = (value << 1) ^ (value >> 63), b""
    while value > 127:
        out, value = out + bytes([value & 127 | 128]), value >> 7
    return out + bytes([value])


def test_a_second_of_the_epoch_keeps_its_thousandths(tmp_path: Path) -> None:
    values = 1_764_422_886.0 + np.arange(50) / 200.0
    made = tmp_path / "made.parquet"
    made.write_bytes(_file(50, values.astype("<f8").tobytes(), _page_head(50, 400, 400), 0))
    read = [float(line) for line in list(table_of_parquet(made, "made.parquet")[0])[1:]]
    assert np.abs(np.array(read) - values).max() < 2e-5


def test_more_cells_than_can_be_written_out_are_not_begun(tmp_path: Path) -> None:
    # A constant column costs the file next to nothing and the disk what all of it is as text.
    made = tmp_path / "made.parquet"
    made.write_bytes(_file(50, bytes(400), _page_head(50, 400, 400), 0))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(parquet, "MOST_CELLS", 49)
        with pytest.raises(TraceError, match="too long"):
            table_of_parquet(made, "made.parquet")


@pytest.mark.parametrize("codec", [0, 1])
def test_levels_are_not_taken_for_values(tmp_path: Path, codec: int) -> None:
    # Whether there are any is told at the end of the file: by one bit.
    import cramjam

    levels = struct.pack("<I", 2) + bytes([50 << 1, 1])
    values = levels + np.arange(50, dtype="<f8").tobytes()
    page = bytes(cramjam.snappy.compress_raw(values)) if codec else values
    made = tmp_path / "made.parquet"
    made.write_bytes(_file(50, page, _page_head(50, 406, len(page)), codec))
    with pytest.raises(TraceError, match="damaged"):
        list(table_of_parquet(made, "made.parquet")[0])
