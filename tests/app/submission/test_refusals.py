"""What is neither film nor force: said what it is, what was kept, and what to do."""

from __future__ import annotations

import csv
import gzip
import json
import math
import zipfile
from pathlib import Path

import pytest

from analysis.force.endings import READ
from analysis.force.intake import read_trace
from analysis.force.trace import TraceError
from app.commands.program import main
from app.submission.kinds import FILM_ENDINGS, recordings_in
from app.submission.load import Said, SubmissionError, begin
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
        ("week.feather", "table"),
        ("plan.pdf", "document"),
        ("all.7z", "packed"),
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


@pytest.mark.parametrize("ending", sorted(READ | FILM_ENDINGS))
def test_what_can_be_read_is_refused_nowhere(ending: str, tmp_path: Path) -> None:
    """One list: a force file that the commands read is opened by the window too."""
    path = tmp_path / f"piece{ending.upper()}"
    path.write_bytes(b"x")
    assert refusal_of(path) == ""
    sorted_as = sort_files([path])
    assert (sorted_as.trace or sorted_as.video) == path


def test_every_ending_of_a_table_is_read_as_one(tmp_path: Path) -> None:
    """What the list promises, a spreadsheet program's and a script's files keep."""
    rows = [(t / 100, 400.0 * max(0.0, math.sin(t / 30))) for t in range(2000)]
    text = "time_s,force_n\n" + "".join(f"{t},{f:.1f}\n" for t, f in rows)
    (tmp_path / "a.csv.gz").write_bytes(gzip.compress(text.encode()))
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("export/a.csv", text)
    lines = "".join(json.dumps({"time_s": t, "force_n": f}) + "\n" for t, f in rows)
    (tmp_path / "a.ndjson").write_text(lines, "utf-8")
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as archive:
        archive.writestr("a.jsonl", lines)
    for path in sorted(tmp_path.iterdir()):
        assert len(read_trace(path).force_n) == len(rows), path.name


def test_json_counts_in_a_folder_only_where_no_plain_table_lies(tmp_path: Path) -> None:
    for name in ("piece.mp4", "about.json", "week.zip"):
        (tmp_path / name).write_bytes(b"x")
    assert [p.name for p in recordings_in(tmp_path)] == ["about.json", "piece.mp4"]
    (tmp_path / "piece.csv.gz").write_bytes(b"x")
    (tmp_path / "piece.csv").write_bytes(b"x")
    assert [p.name for p in recordings_in(tmp_path)] == ["piece.csv", "piece.mp4"]


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


@pytest.mark.parametrize(
    ("text", "what", "then"),
    [
        ('{"strokeside_answers": 1, "ticks": []}', "athlete's answers", "strokeside answers"),
        ('{"strokeside_explanations": 1}', "explanations", "strokeside shelf"),
        ('{"strokeside_athlete": 1}', "library", "force file"),
        ('{\n "format": "strokeside-feedback"}', "feedback bundle", "whole bundle"),
    ],
)
def test_a_folder_with_json_of_our_own_alone_is_told_what_it_is(
    tmp_path: Path, text: str, what: str, then: str
) -> None:
    (tmp_path / "sent.json").write_text(text, "utf-8")
    with pytest.raises(ValueError, match=r"sent\.json") as refused:
        sort_files([tmp_path])
    assert what in str(refused.value) and then in str(refused.value) and KEPT in str(refused.value)
    with pytest.raises(SubmissionError, match="no recording"):
        begin([tmp_path / "sent.json"], None, Said())


def test_a_folder_with_a_table_in_json_alone_is_a_force_recording(tmp_path: Path) -> None:
    rows = [{"time_s": i / 50, "force_n": 10.0 * (i % 50)} for i in range(200)]
    (tmp_path / "sent.json").write_text(json.dumps(rows), "utf-8")
    assert sort_files([tmp_path]).trace == tmp_path / "sent.json"


def test_json_of_others_without_a_table_is_said_to_be_that(tmp_path: Path) -> None:
    (tmp_path / "sent.json").write_text('{"name": "Ada", "days": [1, 2]}', "utf-8")
    with pytest.raises(TraceError, match="JSON without a table of numbers"):
        begin([tmp_path / "sent.json"], None, Said())
