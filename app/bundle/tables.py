"""The notes and the strokes as CSV: RFC 4180, comma, CRLF, UTF-8, one header row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from analysis.measures.registry import KEYS
from analysis.signals.curves import drive_mean
from app.bundle.sources.recordings import Sources
from app.bundle.wording.table_text import number, table_csv
from app.bundle.wording.text import cell, one_line
from app.submission.shown_signals import ShownSignal

if TYPE_CHECKING:
    from app.bundle.notes.note_cards import NoteCard

NOTE_COLUMNS = ("note", "time_s", "end_s", "stroke", "phase", "body_part", "text", "still", "clip")
STROKE_COLUMNS = (
    "stroke",
    "catch_s",
    "finish_s",
    "next_catch_s",
    "catch_film_s",
    *KEYS,
    "outlying",
    "remark",
    "source",
    "hands_turn_s",
    "finish_turn_s",
    "next_turn_s",
)


def notes_csv(cards: Sequence[NoteCard]) -> str:
    """One row for each note, numbered as on the page. Times are seconds of the film."""
    rows = (
        (
            str(card.number),
            number(card.note.video_s),
            number(card.note.end_s),
            "" if card.stroke is None else str(card.stroke.index + 1),
            cell(card.note.phase),
            cell(card.note.body_part),
            cell(card.note.text),
            card.still or "",
            card.clip or "",
        )
        for card in cards
    )
    return table_csv(NOTE_COLUMNS, rows)


def strokes_csv(sources: Sources, shown: Sequence[ShownSignal] = ()) -> str:
    """One row for each stroke with its measures; only the header where there is none.

    Times are seconds of the force recording; `catch_film_s` is the catch in seconds of the film.
    Strokes from the picture have turns of the hands instead, in seconds of the film. The signals
    shown follow at the end, each with its mean over the drive.
    """
    piece = sources.piece
    columns = (*STROKE_COLUMNS, *(cell(f"drive mean of {one_line(s.words)}") for s in shown))
    if piece is None:
        return table_csv(columns, _rows_of_picture(sources, shown))
    outlying = sources.submission.outlying
    rows = (
        (
            str(stroke.index + 1),
            number(stroke.catch_s),
            number(stroke.finish_s),
            number(stroke.next_catch_s),
            number(sources.clock.film_time(stroke.catch_s)),
            *(number(value) for value in measures.values()),
            "yes" if stroke.index in outlying else "no",
            cell(stroke.remark),
            *("force", "", "", ""),
            *(number(drive_mean(s.signal, stroke)) for s in shown),
        )
        for stroke, measures in zip(piece.strokes, piece.measures, strict=True)
    )
    return table_csv(columns, rows)


def _rows_of_picture(sources: Sources, shown: Sequence[ShownSignal]) -> list[tuple[str, ...]]:
    body = sources.body
    if body is None:
        return []
    outlying = sources.submission.outlying
    return [
        (
            str(stroke.index + 1),
            *("", "", "", ""),
            *(number(value) for value in measures.values()),
            "yes" if stroke.index in outlying else "no",
            cell(stroke.remark),
            "picture",
            number(stroke.catch_s),
            number(stroke.finish_s),
            number(stroke.next_catch_s),
            *(number(drive_mean(s.signal, stroke)) for s in shown),
        )
        for stroke, measures in zip(body.strokes, body.measures, strict=True)
    ]
