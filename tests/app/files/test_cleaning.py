"""What a killed process left goes at the next start; what a living one writes stays."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

import pytest

from app.files import alive, atomic, cleaning
from app.files.private import private_folder
from tests.helpers.lock_systems import child, kill

WRITE = """
from app.files import atomic
writing = atomic.replacing(Path(sys.argv[1]))
part = writing.__enter__()
part.write_bytes(b"half")
"""


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setattr(tempfile, "tempdir", None)
    monkeypatch.setattr(alive, "_life", None)
    return folder


def age(path: Path, by_s: float) -> None:
    at = time.time() - by_s
    os.utime(path, (at, at))


def test_a_saving_that_was_killed_goes_and_a_living_one_stays(tmp_path: Path) -> None:
    review = tmp_path / "piece.review"
    other = child("own", WRITE, str(review))
    try:
        (part,) = tmp_path.glob(".piece-*.part.review")
        age(part, 30 * 24 * 3600.0)
        cleaning.beside(review)
        assert part.read_bytes() == b"half"
    finally:
        kill(other)
    cleaning.at_start()  # takes the mark of the dead away first
    age(part, 1.0)
    cleaning.beside(review)
    assert part.exists()  # a moment must have passed
    age(part, 60.0)
    cleaning.beside(review)
    assert not part.exists()


def test_my_own_is_left_alone_however_old_it_looks(tmp_path: Path) -> None:
    with atomic.replacing(tmp_path / "a.review") as part:
        age(part, 30 * 24 * 3600.0)
        cleaning.beside(tmp_path / "a.review")
        cleaning.at_start([tmp_path])
        part.write_bytes(b"new")
    assert (tmp_path / "a.review").read_bytes() == b"new"


def test_names_of_earlier_versions_go_when_nobody_touched_them_for_a_day(
    tmp_path: Path, temporary: Path
) -> None:
    names = (
        tmp_path / ".piece-abcdefg1.part",
        tmp_path / ".piece.schema-2.review.part",
        tmp_path / ".settingsabcdefg1",
        temporary / "strokeside-abcdefg1.mp4",
    )
    for path in names:
        path.write_text("x")
        age(path, 3600.0)
    cleaning.beside(tmp_path / "piece.review")
    cleaning.at_start([tmp_path])
    assert all(path.exists() for path in names)
    for path in names:
        age(path, 25 * 3600.0)
    cleaning.beside(tmp_path / "piece.review")
    cleaning.at_start([tmp_path])
    assert not any(path.exists() for path in names)


def test_strangers_links_and_folders_are_never_touched(tmp_path: Path) -> None:
    other = child("own", WRITE, str(tmp_path / "piece.review"))
    (part,) = tmp_path.glob(".piece-*.part.review")
    kill(other)
    mark = part.name.split("-", 1)[1]
    part.unlink()
    (tmp_path / "precious").write_text("x")
    (tmp_path / f".link-{mark}").symlink_to(tmp_path / "precious")
    (tmp_path / f".folder-{mark}").mkdir()
    strangers = [tmp_path / name for name in (".thesis-abcdefg1.part", "piece.part", ".a.part")]
    for path in (*strangers, tmp_path / f".folder-{mark}"):
        path.touch()
        age(path, 1e8)
    cleaning.beside(tmp_path / "piece.review")
    cleaning.at_start([tmp_path])
    assert all(path.exists() for path in strangers)
    assert (tmp_path / f".link-{mark}").is_symlink() and (tmp_path / f".folder-{mark}").is_dir()


def test_of_another_machine_only_what_is_old_goes(tmp_path: Path) -> None:
    path = tmp_path / f".piece-{'0' * 8}-{'a' * 12}-{'b' * 8}.part.review"
    path.touch()
    age(path, 3600.0)
    cleaning.beside(tmp_path / "piece.review")
    assert path.exists()
    age(path, 25 * 3600.0)
    cleaning.beside(tmp_path / "piece.review")
    assert not path.exists()


def test_marks_of_the_dead_do_not_heap_up() -> None:
    other = child("own", "from app.files import alive; alive.own_name('a', 'b')")
    mine = alive.own_name("a", "b")
    assert len(list(private_folder().glob("*.alive"))) == 2
    cleaning.at_start()
    assert len(list(private_folder().glob("*.alive"))) == 2
    kill(other)
    cleaning.at_start()
    (left,) = private_folder().glob("*.alive")
    assert left.stem in mine


def test_without_a_private_folder_writing_goes_on(tmp_path: Path, temporary: Path) -> None:
    (temporary / f"strokeside-{os.geteuid()}").write_text("somebody was here first")
    atomic.write(tmp_path / "a", b"1")
    cleaning.at_start([tmp_path])
    assert (tmp_path / "a").read_bytes() == b"1"
