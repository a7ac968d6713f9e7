"""The command `answers`: takes a file in once, and refuses in a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.commands import main
from app.review.file.store import read_review
from app.review.parts.notes import Note
from app.review.state import ReviewState
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
    assert told["belongs"] is True and told["ticks"] == said["ticks"] and told["comment"] == "ok"
    assert read_review(review).answers[0].comment == "ok"
    assert main(["answers", str(review), str(file)]) == 1
    assert "already" in capsys.readouterr().err
    file.write_text(json.dumps(said | {"ticks": [], "bundle": "f" * 16, "comment": "x"}), "utf-8")
    assert main(["answers", str(review), str(file)]) == 0
    assert "another review" in capsys.readouterr().out
    file.write_bytes(b"[")
    assert main(["answers", str(review), str(file)]) == 1
    assert capsys.readouterr().err.startswith("answers.json")
