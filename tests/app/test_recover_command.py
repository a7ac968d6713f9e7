"""The command `recover`: a new review of what can be read, and one sentence where nothing can."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.commands.program import main
from app.review.file.store import read_review
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError
from tests.helpers.reviews import write_review

PAGE = 4096


def test_what_can_be_read_becomes_a_review(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, target = tmp_path / "a.review", tmp_path / "b.review"
    notes = tuple(Note(f"{i:032x}", float(i), f"note {i} " + "x" * 900) for i in range(40))
    write_review(path, ReviewState(title="Steady", notes=notes))
    data = bytearray(path.read_bytes())
    page = data.index(b"note 20 ") // PAGE * PAGE
    data[page : page + PAGE] = bytes(range(256)) * 16
    path.write_bytes(data)
    with pytest.raises(ReviewError):
        read_review(path)
    assert main(["recover", str(path), "-o", str(target), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    state = read_review(target)
    assert state.title == "Steady" and 0 < len(state.notes) < 40
    assert f"{len(state.notes)} notes" in told["saved"]
    assert told["lost"] and told["review"] == str(target)
    assert path.read_bytes() == bytes(data)
    assert main(["recover", str(path), "-o", str(target)]) == 1
    assert "exists already" in capsys.readouterr().err


def test_nothing_to_read_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, target = tmp_path / "a.review", tmp_path / "b.review"
    path.write_bytes(b"junk" * 5000)
    assert main(["recover", str(path), "-o", str(target), "--json"]) == 1
    out = capsys.readouterr()
    assert json.loads(out.out)["error"] == out.err.strip()
    assert "could be read from a.review" in out.err
    assert not target.exists()
    assert main(["recover", str(tmp_path / "none.review"), "-o", str(target)]) == 1
    assert main(["recover", str(path)]) == 2
