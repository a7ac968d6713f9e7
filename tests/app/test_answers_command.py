"""The command `answers`: takes a file in once, and refuses in a sentence."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from app.commands.program import main
from app.library.library import Library
from app.library.rebuild import read_summary
from app.library.record import store
from app.library.summaries import PrescriptionSummary
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
    told = capsys.readouterr().out
    assert "another review" in told and "kept in a.review apart" in told and "Remove" in told
    assert read_review(review).answers[-1].comment == "x"
    file.write_bytes(b"[")
    assert main(["answers", str(review), str(file)]) == 1
    assert capsys.readouterr().err.startswith("answers.json")


def test_answers_to_a_review_the_library_knows_are_sent_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, there = tmp_path / "here.review", tmp_path / "there.review"
    file = tmp_path / "answers.json"
    mine = ReviewState(notes=(Note("a" * 32, 1.0, "Hang."),), athlete="Ada")
    other = ReviewState(notes=(Note("b" * 32, 1.0, "Sit up."),), athlete="Ben", title="March")
    write_review(here, replace(mine, review_id="1" * 32))
    write_review(there, replace(other, review_id="2" * 32))
    told = {"note": "b" * 32, "done": False, "how": "hurts"}
    file.write_text(json.dumps({"strokeside_answers": 1, "ticks": [told]}), "utf-8")
    with Library.open() as library:
        known = read_summary(there)
        store(library, [replace(known, prescriptions=(_prescribed("b" * 32),))])
    before = here.read_bytes()
    assert main(["answers", str(here), str(file), "--json"]) == 1
    said = capsys.readouterr()
    assert "Ben's review “March”" in said.err and str(there) in said.err
    assert "nothing was written into here.review" in said.err and "it hurts" in said.err
    assert here.read_bytes() == before and read_review(here).answers == ()
    assert main(["answers", str(there), str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["belongs"] is True
    assert read_review(there).answers[0].ticks[0].how == "hurts"


def _prescribed(note_id: str) -> PrescriptionSummary:
    return PrescriptionSummary(note_id, title="Sit up", cue="Sit up.")


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
