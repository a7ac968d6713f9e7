"""An archive from anybody may be hostile: one sentence, and nothing is left of it."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import stat
import sys
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.review.file.store import read_review
from app.review.values.errors import ReviewError
from app.submission import archive_reading
from app.submission.archive import RECORD, ArchiveError
from app.submission.archive_reading import is_archive, open_archive


def rewrite(path: Path, change: Callable[[dict[str, bytes], dict[str, Any]], None]) -> Path:
    """Write the archive again with other members, or another record."""
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    record = json.loads(members.pop(RECORD))
    change(members, record)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
        archive.writestr(RECORD, json.dumps(record))
    return path


def told(name: str, data: bytes) -> dict[str, Any]:
    return {"name": name, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}


def _with(name: str, data: bytes = b"x") -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    def change(members: dict[str, bytes], record: dict[str, Any]) -> None:
        members[name] = data
        record["files"].append(told(name, data))

    return change


def _unsaid(members: dict[str, bytes], record: dict[str, Any]) -> None:
    members["review/recordings/more.mp4"] = b"x"


def _lacking(members: dict[str, bytes], record: dict[str, Any]) -> None:
    del members["review/recordings/force.csv"]


def _changed(members: dict[str, bytes], record: dict[str, Any]) -> None:
    members["review/recordings/force.csv"] = b"time_s,force_N\n0,9\n"


def _shorter(members: dict[str, bytes], record: dict[str, Any]) -> None:
    members["review/recordings/force.csv"] = b"t"


def _newer(members: dict[str, bytes], record: dict[str, Any]) -> None:
    record["strokeside_archive"] = 2


def _no_list(members: dict[str, bytes], record: dict[str, Any]) -> None:
    record["files"] = "all"


def _odd_sizes(members: dict[str, bytes], record: dict[str, Any]) -> None:
    record["files"][1]["size"] = True


def _no_review(members: dict[str, bytes], record: dict[str, Any]) -> None:
    del members["review/Maren May.review"]
    record["files"] = record["files"][1:]


def _broken_review(members: dict[str, bytes], record: dict[str, Any]) -> None:
    members["review/Maren May.review"] = b"SQLite format 3\0" + b"\xff" * 5000
    record["files"][0] = told("review/Maren May.review", members["review/Maren May.review"])


def _other_recording(members: dict[str, bytes], record: dict[str, Any]) -> None:
    name = "review/recordings/force.csv"
    members[name] = b"another force"
    record["files"][3] = told(name, members[name])


def _bomb(members: dict[str, bytes], record: dict[str, Any]) -> None:
    name = "review/recordings/Side.mp4"
    members[name] = bytes(20 << 20)
    record["files"][1] = told(name, members[name])


HOSTILE = [
    (_unsaid, "more.mp4 without saying so"),
    (_lacking, "lacks force.csv"),
    (_changed, "force.csv in Maren.zip is not what was packed"),
    (_shorter, "not as long as it should be"),
    (_newer, "newer Strokeside"),
    (_no_list, "does not say what it holds"),
    (_odd_sizes, "does not say what it holds"),
    (_no_review, "one review with its recordings"),
    (_broken_review, "The review in Maren.zip cannot be opened"),
    (_other_recording, "not the recording that was reviewed"),
    (_bomb, "swells"),
    (_with("review/recordings/other.mp4"), "which its review does not name"),
    (_with("review/second.review"), "one review with its recordings"),
    (_with("review/recordings/SIDE.mp4"), "one review with its recordings"),
    (_with("../../out.csv"), "holds out.csv, which no such archive does"),
    (_with("/etc/out.csv"), "holds out.csv, which no such archive does"),
    (_with("review/recordings/..\\out.csv"), "which no such archive does"),
    (_with("review/recordings/.hidden.csv"), "which no such archive does"),
    (_with("review/recordings/run.desktop"), "which no such archive does"),
    (_with("review/Maren May.review-journal"), "which no such archive does"),
    (_with("review/recordings/Maren.review"), "which no such archive does"),
]


@pytest.mark.parametrize(("change", "said"), HOSTILE)
def test_one_sentence_and_nothing_left(
    packed: Path,
    elsewhere: Path,
    change: Callable[[dict[str, bytes], dict[str, Any]], None],
    said: str,
) -> None:
    rewrite(packed, change)
    with pytest.raises(ReviewError) as refused:
        open_archive(packed, elsewhere)
    assert said in str(refused.value)
    assert "\n" not in str(refused.value)
    assert list(elsewhere.iterdir()) == []


def test_links_are_refused(packed: Path, elsewhere: Path) -> None:
    with zipfile.ZipFile(packed) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(packed, "w") as archive:
        for name, data in members.items():
            entry = zipfile.ZipInfo(name)
            if name.endswith("force.csv"):
                entry.external_attr = (stat.S_IFLNK | 0o777) << 16
            archive.writestr(entry, data)
    with pytest.raises(ArchiveError, match=r"holds force\.csv, which no such archive does"):
        open_archive(packed, elsewhere)
    assert list(elsewhere.iterdir()) == []


def test_a_full_disk_is_said_before_anything_is_written(
    packed: Path, elsewhere: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archive_reading, "FREE_LEFT", 2**62)
    with pytest.raises(ArchiveError, match="more than there is room for"):
        open_archive(packed, elsewhere)
    assert list(elsewhere.iterdir()) == []


def test_a_place_that_is_none_is_said(packed: Path, here: Path) -> None:
    before = here.read_bytes()
    with pytest.raises(ArchiveError, match="cannot be unpacked there"):
        open_archive(packed, here)
    assert here.read_bytes() == before


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_damage_is_refused_or_harmless(data: st.DataObject, packed: Path, elsewhere: Path) -> None:
    whole = packed.read_bytes()
    at = data.draw(st.integers(0, len(whole) - 1))
    cut = data.draw(st.booleans())
    spoilt = packed.with_name("spoilt.zip")
    other = bytes([whole[at] ^ data.draw(st.integers(1, 255))])
    spoilt.write_bytes(whole[:at] if cut else whole[:at] + other + whole[at + 1 :])
    is_archive(spoilt)
    try:
        came = open_archive(spoilt, elsewhere)
    except ReviewError:
        assert list(elsewhere.iterdir()) == []
    else:  # a byte nobody reads: what came out is what went in
        assert read_review(came.review).athlete == "Maren"
        shutil.rmtree(came.review.parent)


def test_other_files_are_no_archives(tmp_path: Path) -> None:
    def files() -> Iterator[Path]:
        empty = tmp_path / "empty.zip"
        empty.write_bytes(b"")
        yield empty
        other = tmp_path / "other.zip"
        with zipfile.ZipFile(other, "w") as archive:
            archive.writestr("film.mp4", b"x")
        yield other
        deep = tmp_path / "deep.zip"
        with zipfile.ZipFile(deep, "w") as archive:
            archive.writestr(RECORD, "[" * 100_000)
        yield deep
        yield tmp_path
        yield tmp_path / "none.zip"

    for path in files():
        assert not is_archive(path)
        with pytest.raises(ReviewError):
            open_archive(path)


@pytest.mark.skipif(sys.platform == "win32", reason="pipes are otherwise there")
def test_nobody_waits_for_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "film.zip")
    assert not is_archive(tmp_path / "film.zip")
    with pytest.raises(ArchiveError, match="it is no file"):
        open_archive(tmp_path / "film.zip")
