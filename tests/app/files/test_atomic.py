"""One writer for all files: whole or not there, synced, with the rights they should have."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from app.files import atomic
from app.files.alive import Owner, owner_of


@pytest.fixture
def usual_rights() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return 0o666 & ~mask


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_document_has_the_rights_of_any_new_file_and_a_private_one_those_of_its_owner(
    tmp_path: Path, usual_rights: int
) -> None:
    atomic.write(tmp_path / "a.png", b"1")
    atomic.write(tmp_path / "b.json", b"2", atomic.PRIVATE)
    assert (rights(tmp_path / "a.png"), rights(tmp_path / "b.json")) == (usual_rights, 0o600)
    (tmp_path / "a.png").chmod(0o640)
    atomic.write(tmp_path / "a.png", b"3")  # who made it so meant it
    assert rights(tmp_path / "a.png") == 0o640 and (tmp_path / "a.png").read_bytes() == b"3"


def test_a_failure_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "a.mp4"
    target.write_bytes(b"old")
    with pytest.raises(KeyError), atomic.replacing(target) as part:
        assert part.parent == tmp_path and part.suffix == ".mp4" and part.name.startswith(".")
        part.write_bytes(b"half")
        raise KeyError
    assert target.read_bytes() == b"old" and list(tmp_path.iterdir()) == [target]


@pytest.mark.usefixtures("durable")
def test_content_is_on_the_disk_before_the_name_and_the_name_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    sync, replace = os.fsync, Path.replace

    def synced(handle: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        sync(handle)

    def replaced(path: Path, target: Path) -> Path:
        done.append("name")
        return replace(path, target)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(Path, "replace", replaced)
    atomic.write(tmp_path / "a", b"1")
    assert done == ["file", "name", "folder"]
    atomic.write(tmp_path / "a", b"1", sync=False)
    assert done[3:] == ["name"]


def test_a_disk_that_refuses_to_sync_keeps_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_bytes(b"old")

    def refused(_handle: int) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "fsync", refused)
    with pytest.raises(OSError, match="Input/output"):
        atomic.write(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_bytes() == b"old" and len(list(tmp_path.iterdir())) == 1


def test_a_link_in_its_place_is_replaced_and_not_followed(tmp_path: Path) -> None:
    (tmp_path / "precious").write_bytes(b"x")
    (tmp_path / "a").symlink_to(tmp_path / "precious")
    atomic.write(tmp_path / "a", b"new")
    assert (tmp_path / "precious").read_bytes() == b"x" and not (tmp_path / "a").is_symlink()


def test_a_name_as_long_as_names_may_be(tmp_path: Path) -> None:
    name = "ä" * 120 + ".json"
    atomic.write(tmp_path / name, b"1")
    assert (tmp_path / name).read_bytes() == b"1"


def test_a_temporary_file_says_whose_it_is(tmp_path: Path) -> None:
    with atomic.replacing(tmp_path / "a.review") as part:
        mark = "-".join(part.name.split("-")[1:3])
        assert owner_of(mark) is Owner.LIVING
    assert owner_of(mark[:9] + "0" * 12) is Owner.GONE
    assert owner_of("0" * 8 + mark[8:]) is Owner.UNKNOWN
