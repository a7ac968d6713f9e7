"""The command `shelf`, over a file as the window keeps it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.files.user_folders import data_folder
from app.shelf.store import FILE_NAME, Shelf
from tests.helpers.command_line import answer, refused, run
from tests.helpers.explained import WAV, whole


@pytest.fixture
def shelf() -> Shelf:
    made = Shelf(data_folder() / FILE_NAME)
    made.keep(whole("Give", "give"), WAV)
    made.keep(whole("Late", "late-peak"), WAV)
    return made


def test_an_empty_shelf_says_how_to_begin(tmp_path: Path) -> None:
    assert answer("shelf", "list") == {"explanations": [], "problems": []}
    assert "Keep this explanation" in run("shelf", "list")[1]
    assert not (data_folder() / FILE_NAME).exists()
    assert "keep one first" in refused("shelf", "export", "-o", str(tmp_path / "x.zip"))


def test_it_is_listed_and_handed_on(shelf: Shelf, tmp_path: Path) -> None:
    newest, oldest = answer("shelf", "list")["explanations"]
    assert (newest["title"], oldest["title"]) == ("Late", "Give")
    assert oldest["findings"] == ["give"] and oldest["voice_s"] == 0.5 and oldest["marks"] == 3
    assert answer("shelf", "list", "--finding", "give")["explanations"] == [oldest]
    out, other = str(tmp_path / "mine.zip"), str(tmp_path / "other.db")
    assert answer("shelf", "export", "-o", out)["explanations"] == 2
    assert answer("shelf", "import", out, "--shelf", other) == {"new": 2, "known": 0}
    assert answer("shelf", "import", out) == {"new": 0, "known": 2}
    assert "Give" in run("shelf", "list", "--shelf", other)[1]


def test_a_file_that_is_none_is_one_sentence(shelf: Shelf, tmp_path: Path) -> None:
    bad = tmp_path / "bad.zip"
    bad.write_text(json.dumps({"strokeside_explanations": 1}), "utf-8")
    assert "nothing was taken from it" in refused("shelf", "import", str(bad))
    assert len(shelf.listed().kept) == 2
