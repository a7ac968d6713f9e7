"""Force files that cannot be read are told in a sentence; no file makes the reader fail."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.force.intake import (
    preview,
    read_trace,
)
from analysis.force.trace import ColumnMapping, TraceError
from tests.helpers.force_tables import TIME_S, sentence, table, write

USELESS: dict[str, tuple[str | bytes, str]] = {
    "empty": (b"", "is empty"),
    "blank": (b"  \n \r\n\t\n", "is empty"),
    "marked but empty": (b"\xff\xfe", "is empty"),
    "zeros": (bytes(5000), "is empty"),
    "binary": (bytes(range(256)) * 40, "a binary file"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(200), "a picture"),
    "video": (b"\x00\x00\x00\x20ftypisom" + bytes(200), "a video"),
    "archive": (b"PK\x03\x04" + bytes(200), "a compressed file that is damaged"),
    "prose": ("A letter.\nIt has lines,\nbut no table.\n", "no rows of numbers"),
    "header only": ("time_s,force_n\n", "no rows of numbers"),
    "one row": ("time_s,force_n\n0.0,100\n", "a single usable row"),
    "no force": (table(header="time_s,heart_rate"), "--force-column"),
    "all zero": (table(scale=0.0), "zero throughout"),
    "steady": ("time_s,force_n\n" + "".join(f"{t:.2f},5\n" for t in TIME_S), "never changes"),
    "all missing": ("time_s,force_n\n0.1,1\n" + "0.1,nan\n" * 50, "a single usable row"),
}


@pytest.mark.parametrize("what", USELESS)
def test_useless_files_are_told_in_one_sentence(tmp_path: Path, what: str) -> None:
    content, expected = USELESS[what]
    with pytest.raises(TraceError) as error:
        read_trace(write(tmp_path, content))
    assert expected in sentence(error)


def test_folders_and_missing_files(tmp_path: Path) -> None:
    with pytest.raises(TraceError) as error:
        read_trace(tmp_path)
    assert "is a folder" in sentence(error)
    with pytest.raises(TraceError) as error:
        preview(tmp_path / "nowhere.csv")
    assert "There is no file" in sentence(error)


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, table())
    if os.geteuid() == 0:  # root may read anything: refuse in the system's place

        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "open", refuse)
    else:
        path.chmod(0)
    with pytest.raises(TraceError) as error:
        read_trace(path)
    assert "may not be read" in sentence(error)


def test_a_remembered_mapping_that_does_not_fit(tmp_path: Path) -> None:
    path = write(tmp_path, table())
    good = ColumnMapping(1, "N", 0, "s")
    for bad in (
        replace(good, force_column=7),
        replace(good, force_column=-1),
        replace(good, force_unit="kPa"),
        replace(good, time_unit="h"),
        replace(good, position_column=1, position_unit="ft"),
        replace(good, time_column=None),
        replace(good, time_column=None, interval_s=0.0),
    ):
        with pytest.raises(TraceError) as error:
            read_trace(path, bad)
        sentence(error)


def _try(path: Path, mapping: ColumnMapping | None) -> None:
    try:
        trace = read_trace(path, mapping)
    except TraceError as error:
        assert "\n" not in str(error)
        return
    assert len(trace.time_s) == len(trace.force_n) >= 2
    assert np.isfinite(trace.time_s).all() and np.isfinite(trace.force_n).all()
    assert np.all(np.diff(trace.time_s) > 0.0)


MAPPINGS = st.sampled_from(
    [None, ColumnMapping(0, "N", interval_s=0.01), ColumnMapping(1, "lbf", 0, "ms")]
)


SLACK = settings(
    max_examples=250,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@SLACK
@given(st.binary(max_size=400), MAPPINGS)
def test_any_bytes_give_a_trace_or_a_sentence(
    tmp_path: Path, raw: bytes, mapping: ColumnMapping | None
) -> None:
    _try(write(tmp_path, raw), mapping)


@SLACK
@given(
    st.text(alphabet="0123456789.,;\t|-+eE \n\r\"'#nNaf_time_sforce\x00é", max_size=500), MAPPINGS
)
def test_any_text_gives_a_trace_or_a_sentence(
    tmp_path: Path, text: str, mapping: ColumnMapping | None
) -> None:
    _try(write(tmp_path, text), mapping)


@SLACK
@given(st.data(), MAPPINGS)
def test_a_damaged_file_gives_a_trace_or_a_sentence(
    tmp_path: Path, data: st.DataObject, mapping: ColumnMapping | None
) -> None:
    raw = bytearray(table().encode()[:2500])
    for _ in range(data.draw(st.integers(1, 12))):
        at = data.draw(st.integers(0, len(raw) - 1))
        raw[at : at + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=10))
        if not raw:
            break
    _try(write(tmp_path, bytes(raw)), mapping)
