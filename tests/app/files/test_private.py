"""The user's own folder among the temporary files, or none at all."""

from __future__ import annotations

import os
import stat
import tempfile
from pathlib import Path

import pytest

from app.files import private
from app.files.private import private_folder


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def test_nobody_else_can_look_into_it() -> None:
    folder = private_folder()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    folder.chmod(0o777)
    assert private_folder() == folder and stat.S_IMODE(folder.stat().st_mode) == 0o700


@pytest.mark.parametrize("kind", ["link", "file"])
def test_something_else_in_its_place_is_refused(temporary: Path, kind: str) -> None:
    place = temporary / f"strokeside-{os.geteuid()}"
    (temporary / "elsewhere").mkdir()
    if kind == "link":
        place.symlink_to(temporary / "elsewhere")
    else:
        place.write_text("x")
    with pytest.raises(PermissionError, match="not a folder of yours"):
        private_folder()
    assert list((temporary / "elsewhere").iterdir()) == []


def test_a_folder_of_another_user_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    private_folder()
    monkeypatch.setattr(private, "is_mine", lambda found: False)
    with pytest.raises(PermissionError, match="not a folder of yours"):
        private_folder()
