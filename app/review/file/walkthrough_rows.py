"""Walkthroughs as rows of their tables, and back."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from typing import Final

from app.review.state import ReviewState
from app.review.walkthrough import Caption, Cut, Event, Score, Walkthrough, check_score
from app.review.walkthrough_text import detail_of, event_of, kind_of

# Emptied with every saving; events are not, a score never changes.
WALK_TABLES: Final = (
    "walkthrough",
    "walkthrough_cut",
    "walkthrough_caption",
    "walkthrough_left_out",
)


def write_walks(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied WALK_TABLES."""
    walks = state.walkthroughs
    connection.executemany(
        "INSERT INTO walkthrough VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (i, w.id, w.title, w.length_s, w.sound_id, w.sample_hz, w.score.id)
            for i, w in enumerate(walks)
        ],
    )
    connection.executemany(
        "INSERT INTO walkthrough_cut VALUES (?, ?, ?, ?)",
        [(w.id, i, c.from_s, c.to_s) for w in walks for i, c in enumerate(w.cuts)],
    )
    connection.executemany(
        "INSERT INTO walkthrough_caption VALUES (?, ?, ?, ?, ?, ?)",
        [
            (w.id, i, c.id, c.from_s, c.to_s, c.text)
            for w in walks
            for i, c in enumerate(w.captions)
        ],
    )
    connection.executemany(
        "INSERT INTO walkthrough_left_out VALUES (?, ?, ?)",
        [(w.id, i, mark_id) for w in walks for i, mark_id in enumerate(w.left_out)],
    )
    _write_scores(connection, {w.score.id: w.score for w in walks})


def _write_scores(connection: sqlite3.Connection, scores: dict[str, Score]) -> None:
    there = {i for (i,) in connection.execute("SELECT DISTINCT score_id FROM walkthrough_event")}
    for gone in there - scores.keys():
        connection.execute("DELETE FROM walkthrough_event WHERE score_id = ?", (gone,))
    for score_id in scores.keys() - there:
        connection.executemany(
            "INSERT INTO walkthrough_event VALUES (?, ?, ?, ?, ?)",
            [
                (score_id, place, event.at_s, kind_of(event), detail_of(event))
                for place, event in enumerate(scores[score_id].events)
            ],
        )


def read_walks(connection: sqlite3.Connection) -> tuple[Walkthrough, ...]:
    """Read the walkthroughs in the order they were recorded."""
    events: dict[str, list[Event]] = defaultdict(list)
    for score_id, at_s, kind, detail in connection.execute(
        "SELECT score_id, at_s, kind, detail FROM walkthrough_event ORDER BY score_id, place"
    ):
        events[str(score_id)].append(event_of(at_s, str(kind), str(detail)))
    cuts: dict[str, list[Cut]] = defaultdict(list)
    for walk_id, first, last in connection.execute(
        "SELECT walkthrough_id, from_s, to_s FROM walkthrough_cut ORDER BY walkthrough_id, place"
    ):
        cuts[str(walk_id)].append(Cut(float(first), float(last)))
    captions: dict[str, list[Caption]] = defaultdict(list)
    for walk_id, id_, first, last, text in connection.execute(
        "SELECT walkthrough_id, id, from_s, to_s, text FROM walkthrough_caption"
        " ORDER BY walkthrough_id, place"
    ):
        captions[str(walk_id)].append(Caption(str(id_), float(first), float(last), str(text)))
    left_out: dict[str, list[str]] = defaultdict(list)
    for walk_id, mark_id in connection.execute(
        "SELECT walkthrough_id, mark_id FROM walkthrough_left_out ORDER BY walkthrough_id, place"
    ):
        left_out[str(walk_id)].append(str(mark_id))
    walks = tuple(
        Walkthrough(
            str(id_),
            str(title),
            Score(events[str(score_id)], str(score_id)),
            float(length_s),
            str(sound_id),
            int(sample_hz),
            tuple(cuts[str(id_)]),
            tuple(captions[str(id_)]),
            tuple(left_out[str(id_)]),
        )
        for id_, title, length_s, sound_id, sample_hz, score_id in connection.execute(
            "SELECT id, title, length_s, sound_id, sample_hz, score_id FROM walkthrough"
            " ORDER BY place"
        )
    )
    for walk in walks:
        check_score(walk.score)  # another program may have been at it
    return walks
