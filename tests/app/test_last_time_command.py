"""The command `bundle` begins with last time, as the window does."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from app.library.library import Library
from app.review.finding_notes import finding_note
from app.review.parts.findings import KeepFinding
from app.review.parts.held_against import HoldAgainst
from app.review.parts.sending import LAST_TIME, LeaveOut
from app.review.review import Review
from app.submission.load import Said, begin, load
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import PieceOptions, simulate_piece
from tests.helpers.command_line import answer


def rowed(folder: Path, number: int, give: float) -> Path:
    """A review of a minute with or without a give, in which the finding was kept."""
    force = folder / f"force{number}.csv"
    faults = (("give", give),) if give else ()
    made = simulate_piece(PieceOptions(seed=number, duration_s=60.0, rate_spm=26.0, faults=faults))
    options = RecorderOptions()
    force.write_text(write_text(record(made, options, number), options), "utf-8")
    os.utime(force, (1_770_000_000 + number * 1_000_000,) * 2)
    path = folder / f"{number}.review"
    review = Review.create(path, begin([force], path, Said(f"Piece {number}", "Ada")).state)
    found = {f.code: f for f in load(review.state, path).findings}
    if "give" in found:
        review.do(KeepFinding("give", finding_note(found["give"])))
    review.close()
    return path


@pytest.fixture
def pieces(tmp_path: Path) -> list[Path]:
    return [rowed(tmp_path, 1, 0.8), rowed(tmp_path, 2, 0.9), rowed(tmp_path, 3, 0.0)]


def sent(review: Path, name: str) -> dict[str, object]:
    out = review.with_name(name)
    answer("bundle", review, "-o", out)
    told = json.loads((out / "review.json").read_text("utf-8"))
    assert ("last_time" in told) is ('id="last-time"' in (out / "index.html").read_text("utf-8"))
    return dict(told.get("last_time", {}))


def test_it_begins_with_what_was_prescribed_last_time(pieces: list[Path]) -> None:
    first, _second, third = pieces
    assert sent(third, "no library") == {}
    with Library.open():
        pass
    answer("library", "rebuild", third.parent)
    told = sent(third, "proposed")
    assert str(told["rowed_on"]).startswith("2026-02-25") and told["comparable"] is True
    rows = told["rows"]
    assert isinstance(rows, list) and any(one["finding"] == "give" for one in rows)

    review = Review.open(third)
    review.do(HoldAgainst(Review.open(first).state.review_id))
    review.close()
    assert str(sent(third, "picked")["rowed_on"]).startswith("2026-02-13")

    review = Review.open(third)
    review.do(HoldAgainst("f" * 32))  # which is gone by now
    review.close()
    assert sent(third, "gone")["rowed_on"] == told["rowed_on"]

    review = Review.open(third)
    review.do(LeaveOut(LAST_TIME, True))
    review.close()
    assert sent(third, "left out") == {}
    assert sent(first, "the first one") == {}
