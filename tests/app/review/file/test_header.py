"""A review is told from other files by its first bytes."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from app.review.file.header import has_mark
from app.review.parts.state import ReviewState
from tests.helpers.reviews import write_review


def test_only_a_review_has_the_mark(tmp_path: Path) -> None:
    write_review(tmp_path / "a.review", ReviewState(title="A"))
    assert has_mark(tmp_path / "a.review")
    with closing(sqlite3.connect(tmp_path / "other.review")) as other:
        other.execute("CREATE TABLE t (x)")
        other.commit()
    (tmp_path / "empty.review").touch()
    (tmp_path / "text.review").write_text("no review at all, but as long as a header is " * 9)
    for name in ("other", "empty", "text", "gone"):
        assert not has_mark(tmp_path / f"{name}.review")
    assert not has_mark(tmp_path)
