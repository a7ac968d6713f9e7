"""A review's state as rows of its tables, and back."""

from __future__ import annotations

import sqlite3
from typing import Any, Literal

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.coast_down import FlywheelModel
from analysis.force.target import TargetCurve
from analysis.force.trace import ColumnMapping
from app.review.check import check_state
from app.review.errors import ReviewError
from app.review.file.answer_rows import ANSWER_TABLES, read_answers, write_answers
from app.review.file.blur_rows import BLUR_TABLES, read_blurs, write_blurs
from app.review.file.comparison_rows import (
    COMPARISON_TABLES,
    read_comparisons,
    read_reference,
    read_self_test,
    write_comparisons,
)
from app.review.file.curve_mark_rows import CURVE_MARK_TABLES, read_curve_marks, write_curve_marks
from app.review.file.mark_rows import MARK_TABLES, read_marks, read_scale, write_marks
from app.review.file.sending_rows import SENDING_TABLES, read_sending, write_sending
from app.review.file.walkthrough_rows import WALK_TABLES, read_walks, write_walks
from app.review.state import Decision, MediaRef, Note, PictureTurn, ReviewState, Voice

_TABLES = (
    "meta",
    "media",
    "alignment",
    "pair",
    "note",
    "voice",
    "target",
    "target_point",
    "turn",
    "decision",
    "threshold",
    "flywheel",
    *MARK_TABLES,
    *CURVE_MARK_TABLES,
    *SENDING_TABLES,
    *BLUR_TABLES,
    *ANSWER_TABLES,
    *COMPARISON_TABLES,
    *WALK_TABLES,
)


_WHEEL = ("inertia_kgm2", "drag_nms2", "sprocket_m", "inertia_sd", "drag_sd")


def write_rows(connection: sqlite3.Connection, state: ReviewState, revision: str) -> None:
    """Replace all rows by those of a state; the caller holds the transaction."""
    for table in _TABLES:
        connection.execute(f"DELETE FROM {table}")
    meta = {
        "title": state.title,
        "athlete": state.athlete,
        "draft": "1" if state.draft else "0",
        "revision": revision,
    }
    _insert(connection, "meta", list(meta.items()))
    _insert(connection, "media", [_media_row(r) for r in (state.video, state.trace) if r])
    a = state.alignment
    _insert(
        connection,
        "alignment",
        [(1, a.offset_s, a.drift_ppm, a.uncertainty_s, a.method, a.ambiguous)],
    )
    _insert(connection, "pair", [(i, p.video_s, p.trace_s) for i, p in enumerate(state.pairs)])
    _insert(
        connection,
        "note",
        [
            (i, n.id, n.video_s, n.end_s, n.phase, n.body_part, n.stroke, n.text)
            for i, n in enumerate(state.notes)
        ],
    )
    spoken = [(n.id, n.voice) for n in state.notes if n.voice is not None]
    _insert(
        connection,
        "voice",
        [(id_, v.id, v.length_s, v.sample_hz, v.trim_start_s, v.trim_end_s) for id_, v in spoken],
    )
    if state.target is not None:
        _write_target(connection, state.target)
    _insert(
        connection, "turn", [(1, state.turn.quarter_turns, state.turn.mirrored, state.turn.lift)]
    )
    _write_findings(connection, state)
    write_marks(connection, state)
    write_curve_marks(connection, state)
    write_sending(connection, state)
    write_blurs(connection, state)
    write_answers(connection, state)
    write_comparisons(connection, state)
    write_walks(connection, state)


def _write_findings(connection: sqlite3.Connection, state: ReviewState) -> None:
    decisions = [(i, d.code, d.kept, d.note_id) for i, d in enumerate(state.decisions)]
    _insert(connection, "decision", decisions)
    changed = [(i, name, value) for i, (name, value) in enumerate(state.thresholds)]
    _insert(connection, "threshold", changed)
    _insert(connection, "flywheel", [(1, *(getattr(state.flywheel, name) for name in _WHEEL))])


def read_rows(connection: sqlite3.Connection) -> ReviewState:
    """Read a state from its tables.

    Raises
    ------
    ReviewError
        Rows that another program changed into something no review can hold.
    """
    try:
        state = _read(connection)
        check_state(state)
    except (TypeError, ValueError, KeyError) as error:
        raise ReviewError(
            f"The review holds something that cannot be read ({error}); the file was left as it is."
        ) from error
    return state


def read_revision(connection: sqlite3.Connection) -> str:
    """Return the mark of the last saving."""
    row = connection.execute("SELECT value FROM meta WHERE key = 'revision'").fetchone()
    return str(row[0]) if row else ""


def _insert(connection: sqlite3.Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
    if rows:
        marks = ", ".join("?" * len(rows[0]))
        connection.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)


def _media_row(ref: MediaRef) -> tuple[Any, ...]:
    m = ref.mapping
    columns: tuple[Any, ...] = (None,) * 7
    if m is not None:
        columns = (
            m.force_column,
            m.force_unit,
            m.time_column,
            m.time_unit,
            m.interval_s,
            m.position_column,
            m.position_unit,
        )
    return (ref.kind, ref.path, ref.size, ref.sha256, *columns, ref.capture_fps)


def _write_target(connection: sqlite3.Connection, t: TargetCurve) -> None:
    row = (
        1,
        t.name,
        t.axis,
        t.start_pct,
        t.build_up_end_pct,
        t.plateau_end_pct,
        t.decline_end_pct,
        t.level_n,
        t.hold_equal,
    )
    _insert(connection, "target", [row])
    _insert(connection, "target_point", [(i, p, f) for i, (p, f) in enumerate(t.freehand)])


def _read(connection: sqlite3.Connection) -> ReviewState:
    meta = dict(connection.execute("SELECT key, value FROM meta"))
    turn = connection.execute("SELECT quarter_turns, mirrored, lift FROM turn").fetchone()
    return ReviewState(
        title=str(meta.get("title", "")),
        athlete=str(meta.get("athlete", "")),
        video=_read_media(connection, "video"),
        trace=_read_media(connection, "trace"),
        alignment=_read_alignment(connection),
        pairs=tuple(
            Pair(float(v), float(t))
            for v, t in connection.execute("SELECT video_s, trace_s FROM pair ORDER BY place")
        ),
        notes=_read_notes(connection),
        target=_read_target(connection),
        turn=PictureTurn(int(turn[0]), bool(turn[1]), float(turn[2])) if turn else PictureTurn(),
        draft=meta.get("draft") == "1",
        flywheel=_read_flywheel(connection),
        marks=read_marks(connection),
        metres_per_px=read_scale(connection),
        curve_marks=read_curve_marks(connection),
        sending=read_sending(connection),
        blurs=read_blurs(connection),
        answers=read_answers(connection),
        comparisons=read_comparisons(connection),
        self_test=read_self_test(connection),
        reference=read_reference(connection),
        walkthroughs=read_walks(connection),
        decisions=tuple(
            Decision(str(code), bool(kept), str(note_id))
            for code, kept, note_id in connection.execute(
                "SELECT code, kept, note_id FROM decision ORDER BY place"
            )
        ),
        thresholds=tuple(
            (str(name), float(value))
            for name, value in connection.execute(
                "SELECT name, value FROM threshold ORDER BY place"
            )
        ),
    )


def _read_media(connection: sqlite3.Connection, kind: Literal["video", "trace"]) -> MediaRef | None:
    row = connection.execute(
        "SELECT path, size, sha256, force_column, force_unit, time_column, time_unit, interval_s,"
        " position_column, position_unit, capture_fps FROM media WHERE kind = ?",
        (kind,),
    ).fetchone()
    if row is None:
        return None
    path, size, sha256, force, force_unit, time, time_unit, interval, position, unit, fps = row
    mapping = None
    if force is not None:
        mapping = ColumnMapping(
            int(force),
            str(force_unit),
            _int_or_none(time),
            str(time_unit),
            _float_or_none(interval),
            _int_or_none(position),
            str(unit),
        )
    return MediaRef(kind, str(path), int(size), str(sha256), mapping, _float_or_none(fps))


def _read_alignment(connection: sqlite3.Connection) -> Alignment:
    row = connection.execute(
        "SELECT offset_s, drift_ppm, uncertainty_s, method, ambiguous FROM alignment"
    ).fetchone()
    if row is None:
        return Alignment()
    offset, drift, uncertainty, method, ambiguous = row
    return Alignment(
        float(offset), float(drift), _float_or_none(uncertainty), str(method), bool(ambiguous)
    )


def _read_voices(connection: sqlite3.Connection) -> dict[str, Voice]:
    rows = connection.execute(
        "SELECT note_id, sound_id, length_s, sample_hz, trim_start_s, trim_end_s FROM voice"
    )
    return {
        str(note): Voice(str(sound), float(length), int(hz), float(start), float(end))
        for note, sound, length, hz, start, end in rows
    }


def _read_notes(connection: sqlite3.Connection) -> tuple[Note, ...]:
    voices = _read_voices(connection)
    rows = connection.execute(
        "SELECT id, video_s, text, end_s, phase, body_part, stroke FROM note"
        " ORDER BY video_s, place"
    )
    return tuple(
        Note(
            str(id_),
            float(video_s),
            str(text),
            _float_or_none(end_s),
            str(phase),
            str(body_part),
            _int_or_none(stroke),
            voices.get(str(id_)),
        )
        for id_, video_s, text, end_s, phase, body_part, stroke in rows
    )


def _read_flywheel(connection: sqlite3.Connection) -> FlywheelModel:
    row = connection.execute(f"SELECT {', '.join(_WHEEL)} FROM flywheel").fetchone()
    return FlywheelModel(*map(float, row)) if row else FlywheelModel()


def _read_target(connection: sqlite3.Connection) -> TargetCurve | None:
    row = connection.execute(
        "SELECT name, axis, start_pct, build_up_end_pct, plateau_end_pct, decline_end_pct, level_n,"
        " hold_equal FROM target"
    ).fetchone()
    if row is None:
        return None
    name, axis, *numbers, hold_equal = row
    start, build_up_end, plateau_end, decline_end, level = (float(number) for number in numbers)
    points = connection.execute("SELECT percent, fraction FROM target_point ORDER BY place")
    return TargetCurve(
        axis,
        start,
        build_up_end,
        plateau_end,
        decline_end,
        level,
        bool(hold_equal),
        tuple((float(percent), float(fraction)) for percent, fraction in points),
        str(name),
    )


def _float_or_none(value: Any) -> float | None:
    return None if value is None else float(value)


def _int_or_none(value: Any) -> int | None:
    return None if value is None else int(value)
