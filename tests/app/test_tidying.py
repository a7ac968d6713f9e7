"""The window and the commands tidy what dead processes left, each in its place."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

from app.bundle.workshop import clear_abandoned
from app.commands.program import main
from app.files import alive
from app.housekeeping.tidying import tidy
from tests.helpers.lock_systems import child, kill

BUNDLE = """
from app.bundle.workshop import workshop
building = workshop(Path(sys.argv[1]))
shop = building.__enter__()
(shop / "clip.mp4").write_bytes(b"x")
"""


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setattr(tempfile, "tempdir", None)
    monkeypatch.setattr(alive, "_life", None)
    return folder


def test_a_bundle_that_was_killed_goes_when_the_review_is_opened(tmp_path: Path) -> None:
    place = tmp_path / "reviews"
    other = child("own", BUNDLE, str(place / "feedback"))
    try:
        (shop,) = place.iterdir()
        tidy(review=place / "piece.review")
        assert (shop / "clip.mp4").exists()  # somebody is still at it
    finally:
        kill(other)
    tidy(review=place / "piece.review")
    assert list(place.iterdir()) == []


def test_an_older_bundle_in_there_comes_back(tmp_path: Path) -> None:
    shop = tmp_path / ".feedback.0a1b2c3d.part"
    (shop / "bundle.old").mkdir(parents=True)
    (shop / ".lock").touch()
    clear_abandoned(tmp_path)
    assert (tmp_path / "feedback").is_dir() and not shop.exists()


def test_one_whose_name_is_not_known_in_full_is_kept(tmp_path: Path) -> None:
    shop = tmp_path / f".{'f' * 60}.0a1b2c3d.part"
    (shop / "bundle.old").mkdir(parents=True)
    (shop / ".lock").touch()
    clear_abandoned(tmp_path)
    assert (shop / "bundle.old").is_dir()


def test_a_folder_of_somebody_else_with_such_a_name_is_kept(tmp_path: Path) -> None:
    other = tmp_path / ".feedback.0a1b2c3d.part"
    other.mkdir()
    (other / "thesis").touch()
    clear_abandoned(tmp_path)
    assert (other / "thesis").exists()


def test_a_command_tidies_at_its_start(
    temporary: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    left = temporary / "strokeside-abcdefg1.mp4"
    left.touch()
    os.utime(left, (1.0, 1.0))
    main(["frames", str(tmp_path / "none.mp4")])
    assert not left.exists()
    assert "none.mp4" in capsys.readouterr().err
