"""What is sent as rows of its tables, and back."""

from __future__ import annotations

import sqlite3

from app.review.sending import SendingPlan
from app.review.state import ReviewState

SENDING_TABLES = ("sending", "sending_note", "sending_left_out")
_COLUMNS = (
    "opening", "next_session", "language", "quality", "coach", "logo_id", "include_originals",
    "consent", "minor",
)  # fmt: skip


def write_sending(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied the tables."""
    plan = state.sending
    values = [getattr(plan, column) for column in _COLUMNS]
    marks = ", ".join("?" * len(values))
    connection.execute(f"INSERT INTO sending VALUES (1, {marks})", values)
    connection.executemany("INSERT INTO sending_note VALUES (?, ?)", list(enumerate(plan.notes)))
    left_out = list(enumerate(plan.left_out))
    connection.executemany("INSERT INTO sending_left_out VALUES (?, ?)", left_out)


def read_sending(connection: sqlite3.Connection) -> SendingPlan:
    """Read what is sent; all in the usual way where nothing is said."""
    row = connection.execute(f"SELECT {', '.join(_COLUMNS)} FROM sending").fetchone()
    if row is None:
        return SendingPlan()
    opening, next_session, language, quality, coach, logo_id, originals, consent, minor = row
    ids = connection.execute("SELECT note_id FROM sending_note ORDER BY place")
    left_out = connection.execute("SELECT part_id FROM sending_left_out ORDER BY place")
    return SendingPlan(
        tuple(str(id_) for (id_,) in ids),
        str(opening),
        str(next_session),
        str(language),
        str(quality),
        str(coach),
        str(logo_id),
        bool(originals),
        None if consent is None else bool(consent),
        bool(minor),
        tuple(str(id_) for (id_,) in left_out),
    )
