"""A .zip of a submission: what is in it lies in one folder, and nothing anywhere else."""

from __future__ import annotations

import stat
import zipfile
from pathlib import Path

import pytest

from app.submission import unpacking
from app.submission.unpacking import UnpackingError, recordings_of_zip, unpack

FORCE = b"time_s,force_N\n0,1\n"


def packed(folder: Path, **members: bytes) -> Path:
    path = folder / "from Maren.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def everything(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and p.suffix != ".zip"
    }


def test_recordings_come_out_with_their_names(tmp_path: Path) -> None:
    path = packed(tmp_path, **{"a/film.MP4": b"film", "a/b/force.csv": FORCE, "read me.pdf": b"x"})
    assert sorted(recordings_of_zip(path)) == ["film.mp4", "force.csv"]
    folder = unpack(path)
    assert folder == tmp_path / "from Maren"
    assert everything(tmp_path) == {"from Maren/film.mp4": b"film", "from Maren/force.csv": FORCE}
    assert unpack(path) == tmp_path / "from Maren 2", "what lies there is left alone"


def test_no_name_leads_out_and_none_takes_the_place_of_another(tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    names = (
        "../../out.csv", "/etc/out.csv", "C:\\windows\\out.csv", "..\\OUT.csv", "x/\x07out.csv",
        ".hidden.csv", "__MACOSX/film.mov", "...csv", "folder.csv/",
    )  # fmt: skip
    folder = unpack(packed(inner, **dict.fromkeys(names, FORCE)))
    assert {p.parent for p in tmp_path.rglob("*") if p.is_file()} == {folder, inner}
    assert sorted(p.name for p in folder.iterdir()) == [
        "OUT 4.csv",
        "out 2.csv",
        "out 3.csv",
        "out 5.csv",
        "out.csv",
    ]


def test_links_are_not_taken(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as archive:
        link = zipfile.ZipInfo("film.mp4")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
    assert recordings_of_zip(path) == ()
    with pytest.raises(UnpackingError, match="no film and no force"):
        unpack(path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.zip"]


def test_what_swells_is_stopped_and_nothing_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bomb = packed(tmp_path, **{"film.mp4": bytes(200 * 2**20)})
    with pytest.raises(UnpackingError, match="swells"):
        unpack(bomb)
    assert everything(tmp_path) == {}
    monkeypatch.setattr(unpacking, "MOST_BYTES", 10)
    with pytest.raises(UnpackingError, match="swells"):
        unpack(packed(tmp_path, **{"a.csv": b"12345678", "b.csv": b"12345678"}))
    assert [p.name for p in tmp_path.iterdir()] == ["from Maren.zip"]


def test_too_many_files_and_damage_are_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = packed(tmp_path, **{"force.csv": FORCE * 100})
    data = bytearray(path.read_bytes())
    data[45:60] = b"\xff" * 15
    path.write_bytes(data)
    with pytest.raises(UnpackingError, match="damaged"):
        unpack(path)
    monkeypatch.setattr(unpacking, "MOST_MEMBERS", 2)
    with pytest.raises(UnpackingError, match="too many files"):
        unpack(packed(tmp_path, **{f"{k}.csv": FORCE for k in range(3)}))
    path.write_bytes(b"no archive")
    assert recordings_of_zip(path) == ()
    assert [p.name for p in tmp_path.iterdir()] == ["from Maren.zip"]
