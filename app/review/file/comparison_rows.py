"""Comparisons, the self-test and a reference stroke as rows of their tables, and back."""

from __future__ import annotations

import sqlite3
from typing import Any

from app.review.comparison import Comparison, PictureFit, SelfTest, SelfTestItem, StrokeRef
from app.review.reference import Reference
from app.review.state import ReviewState

COMPARISON_TABLES = (
    "comparison",
    "comparison_stroke",
    "comparison_marks",
    "self_test",
    "self_test_item",
    "reference",
)
_STROKE = "source, catch_s, finish_s, next_catch_s, label"


def write_comparisons(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied the tables."""
    connection.executemany(
        "INSERT INTO comparison VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [(place, *_row_of(c)) for place, c in enumerate(state.comparisons)],
    )
    connection.executemany(
        "INSERT INTO comparison_stroke VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (c.id, side, *_stroke_row(stroke))
            for c in state.comparisons
            for side, stroke in (("left", c.left), ("right", c.right))
        ],
    )
    connection.executemany(
        "INSERT INTO comparison_marks VALUES (?)",
        [(c.id,) for c in state.comparisons if c.other_marks],
    )
    if state.self_test is not None:
        test = state.self_test
        connection.execute("INSERT INTO self_test VALUES (1, ?, ?)", (test.seed, test.question))
        connection.executemany(
            "INSERT INTO self_test_item VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [
                (place, item.id, *_stroke_row(item.stroke), item.right, item.why)
                for place, item in enumerate(test.items)
            ],
        )
    if state.reference is not None:
        r = state.reference
        times = (r.catch_s, r.finish_s, r.next_catch_s)
        connection.execute(
            "INSERT INTO reference VALUES (1, ?, ?, ?, ?, ?, ?, ?, ?)",
            (r.name, r.view, r.rate_spm, r.level, r.notes, *times),
        )


def read_comparisons(connection: sqlite3.Connection) -> tuple[Comparison, ...]:
    """Read the comparisons in the order they were made."""
    strokes = {
        (str(id_), str(side)): _stroke(row)
        for id_, side, *row in connection.execute(
            f"SELECT comparison_id, side, {_STROKE} FROM comparison_stroke"
        )
    }
    marked = {
        str(id_) for (id_,) in connection.execute("SELECT comparison_id FROM comparison_marks")
    }
    rows = connection.execute(
        "SELECT id, title, text, timing, shift_s, layout, opacity, mirrored, scale, shift_x_px,"
        " shift_y_px FROM comparison ORDER BY place"
    )
    return tuple(
        Comparison(
            str(id_),
            strokes[str(id_), "left"],
            strokes[str(id_), "right"],
            str(title),
            timing,
            float(shift_s),
            layout,
            float(opacity),
            PictureFit(bool(mirrored), float(scale), float(shift_x), float(shift_y)),
            str(text),
            str(id_) in marked,
        )
        for (
            id_,
            title,
            text,
            timing,
            shift_s,
            layout,
            opacity,
            mirrored,
            scale,
            shift_x,
            shift_y,
        ) in rows
    )


def read_self_test(connection: sqlite3.Connection) -> SelfTest | None:
    """Read the self-test, None where there is none."""
    row = connection.execute("SELECT seed, question FROM self_test").fetchone()
    if row is None:
        return None
    items = connection.execute(
        f"SELECT id, is_right, why, {_STROKE} FROM self_test_item ORDER BY place"
    )
    return SelfTest(
        tuple(
            SelfTestItem(str(id_), _stroke(stroke), bool(right), str(why))
            for id_, right, why, *stroke in items
        ),
        int(row[0]),
        str(row[1]),
    )


def read_reference(connection: sqlite3.Connection) -> Reference | None:
    """Read what the reference stroke of this review is, None where it keeps none."""
    row = connection.execute(
        "SELECT name, view, rate_spm, level, notes, catch_s, finish_s, next_catch_s FROM reference"
    ).fetchone()
    if row is None:
        return None
    name, view, rate, level, notes, *times = row
    catch_s, finish_s, next_catch_s = map(float, times)
    return Reference(
        str(name), view, float(rate), str(level), str(notes), catch_s, finish_s, next_catch_s
    )


def _row_of(c: Comparison) -> tuple[Any, ...]:
    f = c.fit
    laid = (f.mirrored, f.scale, f.shift_x_px, f.shift_y_px)
    return (c.id, c.title, c.text, c.timing, c.shift_s, c.layout, c.opacity, *laid)


def _stroke_row(stroke: StrokeRef) -> tuple[Any, ...]:
    return (stroke.source, stroke.catch_s, stroke.finish_s, stroke.next_catch_s, stroke.label)


def _stroke(row: Any) -> StrokeRef:
    source, catch_s, finish_s, next_catch_s, label = row
    return StrokeRef(str(source), float(catch_s), float(finish_s), float(next_catch_s), str(label))
