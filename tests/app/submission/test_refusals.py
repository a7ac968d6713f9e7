"""What is neither film nor force: said what it is, what was kept, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.commands.program import main
from app.submission.refusals import KEPT, refusal_of


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("curve.JPG", "photo"),
        ("screen.png", "photo"),
        ("talk.m4a", "sound"),
        ("week.xlsx", "spreadsheet"),
        ("plan.pdf", "document"),
        ("all.zip", "packed"),
    ],
)
def test_one_sentence_says_what_kept_and_then(name: str, what: str) -> None:
    said = refusal_of(Path("somewhere") / name)
    assert name in said and what in said and KEPT in said
    assert said.endswith(".") and said.split(KEPT)[1].startswith(": ")


@pytest.mark.parametrize("name", ["a.mp4", "a.csv", "a.review", "a", "a.MOV"])
def test_what_may_be_a_recording_is_not_refused(name: str) -> None:
    assert refusal_of(Path(name)) == ""


def test_a_command_refuses_a_photo_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    photo = tmp_path / "curve.png"
    photo.write_bytes(b"\x89PNG")
    assert main(["new", str(photo), "-o", str(tmp_path / "a.review")]) == 1
    assert refusal_of(photo) in capsys.readouterr().err
    assert not (tmp_path / "a.review").exists()
