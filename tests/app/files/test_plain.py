"""Only plain files are read, and no more of them than asked."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from app.files.plain import NotPlainError, TooLargeError, is_plain_folder, read_plain


def test_a_plain_file_up_to_its_bound(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"12345")
    assert read_plain(tmp_path / "a", 5) == b"12345"
    with pytest.raises(TooLargeError):
        read_plain(tmp_path / "a", 4)


def test_a_file_that_grows_while_it_is_read(tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"1")
    seen = os.fstat

    def then_grows(handle: int) -> os.stat_result:
        found = seen(handle)
        path.write_bytes(b"12345")
        return found

    monkeypatch.setattr(os, "fstat", then_grows)
    with pytest.raises(TooLargeError):
        read_plain(path, 4)


def test_links_pipes_devices_and_folders_are_refused_at_once(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"1")
    (tmp_path / "link").symlink_to(tmp_path / "a")
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "link", tmp_path / "folder", tmp_path / "pipe", Path("/dev/zero")):
        with pytest.raises(NotPlainError):
            read_plain(path, 100)


def test_a_link_to_a_folder_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path)
    assert is_plain_folder(tmp_path)
    assert not is_plain_folder(tmp_path / "link") and not is_plain_folder(tmp_path / "none")
