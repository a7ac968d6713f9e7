"""Marks on the force curve as rows of their tables, and back."""

from __future__ import annotations

import sqlite3
from collections import defaultdict

from app.review.curve_marks import CurveMark
from app.review.marks import Point
from app.review.state import ReviewState

CURVE_MARK_TABLES = ("curve_mark", "curve_mark_point")


def write_curve_marks(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied the tables."""
    connection.executemany(
        "INSERT INTO curve_mark VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (i, m.id, m.kind, m.axis, m.colour, m.stroke, m.text)
            for i, m in enumerate(state.curve_marks)
        ],
    )
    connection.executemany(
        "INSERT INTO curve_mark_point VALUES (?, ?, ?, ?)",
        [(m.id, place, x, y) for m in state.curve_marks for place, (x, y) in enumerate(m.points)],
    )


def read_curve_marks(connection: sqlite3.Connection) -> tuple[CurveMark, ...]:
    """Read the marks in the order they were drawn."""
    points: dict[str, list[Point]] = defaultdict(list)
    for id_, percent, force_n in connection.execute(
        "SELECT mark_id, percent, force_n FROM curve_mark_point ORDER BY mark_id, place"
    ):
        points[str(id_)].append((float(percent), float(force_n)))
    return tuple(
        CurveMark(
            str(id_),
            str(kind),
            axis,
            tuple(points[str(id_)]),
            str(colour),
            None if stroke is None else int(stroke),
            str(text),
        )
        for id_, kind, axis, colour, stroke, text in connection.execute(
            "SELECT id, kind, axis, colour, stroke, text FROM curve_mark ORDER BY place"
        )
    )
