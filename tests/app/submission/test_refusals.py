"""What is neither film nor force: said what it is, what was kept, and what to do."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from app.commands.program import main
from app.submission.refusals import KEPT, refusal_of
from app.window.session.sorted_files import sort_files
from samples.submission import small_sample
from tests.helpers.exports import xlsx


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("curve.JPG", "photo"),
        ("screen.png", "photo"),
        ("talk.m4a", "sound"),
        ("week.numbers", "spreadsheet"),
        ("plan.pdf", "document"),
        ("all.rar", "packed"),
    ],
)
def test_one_sentence_says_what_kept_and_then(name: str, what: str) -> None:
    said = refusal_of(Path("somewhere") / name)
    assert name in said and what in said and KEPT in said
    assert said.endswith(".") and said.split(KEPT)[1].startswith(": ")


@pytest.mark.parametrize(
    "name",
    ["a.mp4", "a.csv", "a.review", "a", "a.MOV", "week.xlsx", "week.ods", "f.csv.gz", "all.zip"],
)
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


def test_a_spreadsheet_is_taken_as_force_by_every_command(tmp_path: Path) -> None:
    """`strokes` read it, while `new` and the window turned it away."""
    sheet = tmp_path / "force.xlsx"
    with small_sample().force.open(encoding="utf-8", newline="") as file:
        rows = [[_cell(text) for text in row] for row in csv.reader(file, delimiter=",")][:1500]
    sheet.write_bytes(xlsx({"force": rows}))
    out = tmp_path / "a.review"
    assert main(["new", str(sheet), "-o", str(out)]) == 0
    assert sort_files([sheet]).trace == sheet


def _cell(text: str) -> str | float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text
