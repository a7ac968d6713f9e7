"""Athletes' answers as rows of their tables, and back."""

from __future__ import annotations

import sqlite3
from collections import defaultdict

from app.review.answers import AthleteAnswers, SelfTest, Tick
from app.review.state import ReviewState

ANSWER_TABLES = ("answers", "answer_tick", "answer_test")


def write_answers(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied the tables."""
    connection.executemany(
        "INSERT INTO answers VALUES (?, ?, ?, ?, ?)",
        [(i, a.id, a.received, a.bundle, a.comment) for i, a in enumerate(state.answers)],
    )
    connection.executemany(
        "INSERT INTO answer_tick VALUES (?, ?, ?, ?)",
        [(a.id, i, t.note_id, t.done) for a in state.answers for i, t in enumerate(a.ticks)],
    )
    connection.executemany(
        "INSERT INTO answer_test VALUES (?, ?, ?, ?)",
        [(a.id, i, t.id, t.answer) for a in state.answers for i, t in enumerate(a.self_test)],
    )


def read_answers(connection: sqlite3.Connection) -> tuple[AthleteAnswers, ...]:
    """Read the answers in the order they came."""
    ticks: dict[str, list[Tick]] = defaultdict(list)
    for id_, note_id, done in connection.execute(
        "SELECT answers_id, note_id, done FROM answer_tick ORDER BY answers_id, place"
    ):
        ticks[str(id_)].append(Tick(str(note_id), bool(done)))
    tests: dict[str, list[SelfTest]] = defaultdict(list)
    for id_, item, answer in connection.execute(
        "SELECT answers_id, item, answer FROM answer_test ORDER BY answers_id, place"
    ):
        tests[str(id_)].append(SelfTest(str(item), str(answer)))
    return tuple(
        AthleteAnswers(
            str(bundle),
            tuple(ticks[str(id_)]),
            str(comment),
            tuple(tests[str(id_)]),
            str(id_),
            str(received),
        )
        for id_, received, bundle, comment in connection.execute(
            "SELECT id, received, bundle, comment FROM answers ORDER BY place"
        )
    )
