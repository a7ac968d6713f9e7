from __future__ import annotations

import os
from pathlib import Path

import pytest

from app.bundle import pack
from app.bundle.wording.errors import BundleError
from app.bundle.workshop import workshop


def age(path: Path) -> None:
    os.utime(path, (1.0, 1.0))


def test_what_a_killed_writing_left_is_cleared(tmp_path: Path) -> None:
    out = tmp_path / "feedback"
    left, foreign = tmp_path / ".feedback.0a1b2c3d.part", tmp_path / ".thesis.0a1b2c3d.part"
    for folder in (left, foreign):
        folder.mkdir()
        (folder / "clip.mp4").write_text("x")
        age(folder)
    with workshop(out):
        assert not left.exists()
    assert (foreign / "clip.mp4").exists()


def test_a_writing_that_goes_on_elsewhere_is_left_alone(tmp_path: Path) -> None:
    out = tmp_path / "feedback"
    with workshop(out) as first:
        (first / "half").write_text("x")
        age(first)
        with workshop(out) as second:
            assert second != first
        assert (first / "half").exists()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("at_once", [True, False])
def test_folders_change_places(
    tmp_path: Path, at_once: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where the system cannot swap two folders in one step."""
    if not at_once:
        monkeypatch.setattr(pack, "_exchange", lambda one, other: False)
    built, out = tmp_path / "built.part", tmp_path / "out"
    for folder, text in ((built, "new"), (out, "old")):
        folder.mkdir()
        (folder / "index.html").write_text(text)
    pack.put_folder(built, out)
    assert (out / "index.html").read_text() == "new"
    assert at_once or not built.exists()


def test_the_old_folder_comes_back_when_the_new_one_cannot_take_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pack, "_exchange", lambda one, other: False)
    out = tmp_path / "out"
    out.mkdir()
    (out / "index.html").write_text("old")
    with pytest.raises(OSError, match="No such file"):
        pack.put_folder(tmp_path / "never-built.part", out)
    assert (out / "index.html").read_text() == "old"


def test_what_a_file_browser_leaves_does_not_make_a_folder_strange(tmp_path: Path) -> None:
    (tmp_path / ".DS_Store").write_text("")
    pack.check_target(tmp_path, as_folder=True)


@pytest.mark.parametrize(
    "record", ["", "[]", "null", '{"format": "strokeside-feedback"}', '{"format": 1, "files": []}',
               '{"format": "strokeside-feedback", "files": 3}', "\xff"],
)  # fmt: skip
def test_a_folder_that_only_looks_like_a_bundle_is_kept(tmp_path: Path, record: str) -> None:
    (tmp_path / "review.json").write_bytes(record.encode("latin-1"))
    with pytest.raises(BundleError):
        pack.check_target(tmp_path, as_folder=True)
