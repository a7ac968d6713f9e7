"""Everything the house does with a thing of a review, done with one it never heard of.

Run in the copy of the house that `tests/app/review/test_new_part.py` makes.
"""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from app.review.file.recover import recover
from app.review.file.store import read_review
from app.review.merging import differences, merged
from app.review.parts.landmarks import AddLandmarks, Track
from app.review.parts.media import MediaRef, SetCaptureRate
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

KNEE = Track("knee", "knee", ((0.0, 1.0, 2.0), (0.5, 3.0, 4.0)))
HIP = Track("hip", "hip", ((0.0, 9.0, 9.0),))


def main(folder: Path) -> None:
    path = folder / "a.review"
    film = MediaRef("video", "film.mp4", 1, "00")
    review = Review.create(path, ReviewState(video=film, notes=(Note("n", 1.0),)))
    review.do(AddLandmarks(KNEE))
    assert read_review(path).landmarks == (KNEE,), "saved and read"
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT count(*) FROM landmark").fetchone() == (1,)
        assert db.execute("SELECT data FROM asset").fetchone() == (
            b"[0.0,1.0,2.0]\n[0.5,3.0,4.0]\n",
        )
    try:
        review.do(AddLandmarks(replace(HIP, joint="")))
    except ReviewError as error:
        assert "has a name" in str(error), "checked"
    else:
        raise AssertionError("not checked")
    assert differences(ReviewState(), review.state)[-1] == "1 followed joint added"

    other = Review.open(path)
    other.do(AddLandmarks(HIP))
    review.do(SetCaptureRate(240.0, 0.5))
    assert {t.id for t in review.state.landmarks} == {"knee", "hip"}, "merged"
    assert merged(ReviewState(), review.state, ReviewState()).state == review.state
    review.undo()
    review.do(SetCaptureRate(240.0, 0.5))
    knee = next(t for t in review.state.landmarks if t.id == "knee")
    assert knee.points == ((0.0, 1.0, 2.0), (0.25, 3.0, 4.0)), "retimed"
    assert review.close()

    again = Review.open(path)
    again.undo()
    assert KNEE in again.state.landmarks == read_review(path).landmarks, "undone after closing"
    assert again.close()

    with closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE landmark SET joint = x'00' WHERE id = 'hip'")
    found = recover(path, folder / "b.review")
    assert found.state.landmarks == (KNEE,), "salvaged"
    assert found.lost == ("1 followed joint could not be read.",)
    assert "1 followed joint" in found.saved
    assert read_review(folder / "b.review") == found.state


if __name__ == "__main__":
    main(Path(sys.argv[1]))
