"""A lock is held by one process and given back when that process dies."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

import pytest

from app.files import locks
from tests.helpers.lock_systems import SYSTEMS, child, kill

HOLD = "held = locks.take(Path(sys.argv[1])); assert held is not None"


@pytest.mark.parametrize("system", ["own", "one byte"])
def test_held_by_another_process_until_it_is_killed(
    system: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(locks, "lock_handle", SYSTEMS[system])
    path = tmp_path / "a.lock"
    other = child(system, HOLD, str(path))
    try:
        assert locks.take(path) is None and locks.is_held(path)
    finally:
        kill(other)
    assert path.exists()  # only the system gave it back
    assert not locks.is_held(path)
    lock = locks.take(path)
    assert lock is not None
    lock.release()
    assert not path.exists()


def test_two_in_one_process_do_not_share_it(tmp_path: Path) -> None:
    lock = locks.take(tmp_path / "a.lock")
    assert lock is not None and locks.take(tmp_path / "a.lock") is None
    lock.release()
    assert not locks.is_held(tmp_path / "a.lock")


def test_asking_leaves_nothing_behind(tmp_path: Path) -> None:
    assert not locks.is_held(tmp_path / "a.lock")
    assert list(tmp_path.iterdir()) == []


def test_a_file_taken_away_while_one_waited_is_not_mistaken_for_the_lock(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, own, tries = tmp_path / "a.lock", locks.lock_handle, []

    def late(handle: int) -> bool:
        if not tries:
            path.unlink()  # the one who held it let go between opening and locking
        tries.append(handle)
        return own(handle)

    monkeypatch.setattr(locks, "lock_handle", late)
    lock = locks.take(path)
    assert lock is not None and len(tries) == 2
    assert os.path.samestat(os.fstat(lock.handle), path.stat())
    lock.release()


def test_where_no_locks_are_known_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(_handle: int, *, blocking: bool) -> bool:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr("filelock.lock_descriptor", refuses)
    with pytest.raises(locks.NoLocksError):
        locks.take(tmp_path / "a.lock")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="needs root")
def test_links_pipes_and_folders_are_no_locks(tmp_path: Path) -> None:
    (tmp_path / "precious").write_text("x")
    (tmp_path / "link").symlink_to(tmp_path / "precious")
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    for name in ("link", "folder", "pipe"):
        with pytest.raises(OSError, match=name):
            locks.take(tmp_path / name)
    assert (tmp_path / "precious").read_text() == "x"
