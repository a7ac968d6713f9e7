"""The command `answers`: takes a file in once, and refuses in a sentence."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from pathlib import Path

import pytest

from app.commands.program import main
from app.review.file.store import read_review
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.helpers.pieces import FOUR_STROKES
from tests.helpers.refusing_disks import protected, small_disk
from tests.helpers.reviews import write_review


def test_answers_go_into_the_review_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    review, file = tmp_path / "a.review", tmp_path / "answers.json"
    write_review(review, ReviewState(notes=(Note("a" * 32, 1.0, "Hang."),)))
    said = {"strokeside_answers": 1, "ticks": [{"note": "a" * 32, "done": True}], "comment": "ok"}
    file.write_text(json.dumps(said), "utf-8")
    assert main(["answers", str(review), str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["belongs"] is True and told["comment"] == "ok"
    assert told["ticks"] == [said["ticks"][0] | {"how": None, "words": ""}]
    assert read_review(review).answers[0].comment == "ok"
    assert main(["answers", str(review), str(file)]) == 1
    assert "already" in capsys.readouterr().err
    file.write_text(json.dumps(said | {"ticks": [], "bundle": "f" * 16, "comment": "x"}), "utf-8")
    assert main(["answers", str(review), str(file)]) == 0
    assert "another review" in capsys.readouterr().out
    file.write_bytes(b"[")
    assert main(["answers", str(review), str(file)]) == 1
    assert capsys.readouterr().err.startswith("answers.json")


def test_a_review_that_cannot_be_written_is_told_and_left(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    review, file = tmp_path / "a.review", tmp_path / "answers.json"
    write_review(review, ReviewState(notes=(Note("a" * 32, 1.0, "Hang."),)))
    said = {"strokeside_answers": 1, "ticks": [{"note": "a" * 32, "done": True}], "comment": "ok"}
    file.write_text(json.dumps(said), "utf-8")
    other = sqlite3.connect(review, isolation_level=None)
    try:
        for held in ("BEGIN IMMEDIATE", "BEGIN EXCLUSIVE"):
            other.execute(held)
            assert main(["answers", str(review), str(file)]) == 1
            assert "another program is using it" in capsys.readouterr().err
            other.execute("ROLLBACK")
    finally:
        other.close()
    with protected(review):
        assert main(["answers", str(review), str(file)]) == 1
        told = capsys.readouterr().err
        assert "protected from writing" in told and "answers.json is as it was" in told
        # What was to be taken in still lies in its file: a copy would only be in the way.
        assert sorted(p.name for p in tmp_path.iterdir()) == ["a.review", "answers.json"]
    assert read_review(review).answers == ()
    assert main(["answers", str(review), str(file)]) == 0


def test_a_full_disk_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "answers.json"
    with small_disk(tmp_path / "disk", "500k") as disk:
        review = disk / "a.review"
        write_review(review, ReviewState(notes=(Note("a" * 32, 1.0, "Hang."),)))
        said = {"strokeside_answers": 1, "ticks": [], "comment": "x" * 3000}
        file.write_text(json.dumps(said), "utf-8")
        with contextlib.suppress(OSError):
            (disk / "filling").write_bytes(bytes(500_000))
        assert main(["answers", str(review), str(file)]) == 1
        assert "disk is full" in capsys.readouterr().err
        assert read_review(review).answers == ()
        for name, more in (("new", []), ("draft", ["--review", str(disk / "c.review")])):
            output = disk / ("b.review" if name == "new" else "bundle")
            trace = tmp_path / "piece.csv"
            FOUR_STROKES.write(trace)
            assert main([name, str(trace), "-o", str(output), *more]) == 1
            assert capsys.readouterr().err.strip().endswith(".")
            assert not output.exists()
