"""Marks and the picture's scale as rows of their tables, and back."""

from __future__ import annotations

import sqlite3
from collections import defaultdict

from app.review.marks import Mark, Point
from app.review.state import ReviewState

MARK_TABLES = ("mark", "mark_point", "scale")


def write_marks(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied the tables."""
    connection.executemany(
        "INSERT INTO mark VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (i, m.id, m.kind, m.colour, m.text, m.video_s, m.end_s)
            for i, m in enumerate(state.marks)
        ],
    )
    connection.executemany(
        "INSERT INTO mark_point VALUES (?, ?, ?, ?)",
        [(m.id, place, x, y) for m in state.marks for place, (x, y) in enumerate(m.points_px)],
    )
    if state.metres_per_px is not None:
        connection.execute("INSERT INTO scale VALUES (1, ?)", (state.metres_per_px,))


def read_marks(connection: sqlite3.Connection) -> tuple[Mark, ...]:
    """Read the marks in the order they were drawn."""
    points: dict[str, list[Point]] = defaultdict(list)
    for id_, x, y in connection.execute(
        "SELECT mark_id, x_px, y_px FROM mark_point ORDER BY mark_id, place"
    ):
        points[str(id_)].append((float(x), float(y)))
    return tuple(
        Mark(
            str(id_),
            str(kind),
            tuple(points[str(id_)]),
            str(colour),
            str(text),
            float(video_s),
            None if end_s is None else float(end_s),
        )
        for id_, kind, colour, text, video_s, end_s in connection.execute(
            "SELECT id, kind, colour, text, video_s, end_s FROM mark ORDER BY place"
        )
    )


def read_scale(connection: sqlite3.Connection) -> float | None:
    """Read the scale, None where there is none."""
    row = connection.execute("SELECT metres_per_px FROM scale").fetchone()
    return None if row is None else float(row[0])
