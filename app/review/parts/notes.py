"""Words, written or spoken, pinned to a moment or a span."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import KEEP, Change, Kept, edited
from app.review.parts.spoken_words import without_lost_words
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import (
    FLAG,
    Cells,
    Group,
    Moment,
    Part,
    Rows,
    Stored,
    Table,
    declare,
    on_force,
    unique,
)
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

PHASES = ("catch", "drive", "finish", "recovery")
BODY_PARTS = ("legs", "back", "trunk", "shoulders", "arms", "hands", "head", "seat")


@dataclass(frozen=True)
class Voice:
    """What a coach said for a note; the samples lie in the review file under `id`.

    Attributes
    ----------
    id : the sound it belongs to; a new recording has a new one
    length_s : seconds recorded
    sample_hz : samples a second, one channel of 16 bits
    trim_start_s, trim_end_s : the part that is heard, seconds into the recording
    """

    id: str
    length_s: float
    sample_hz: int
    trim_start_s: float
    trim_end_s: float

    @property
    def heard_s(self) -> float:
        """How long the part that is heard lasts, seconds."""
        return self.trim_end_s - self.trim_start_s


@dataclass(frozen=True)
class Note:
    """Words, spoken or written, pinned to a moment or a span, in video seconds.

    Without footage, video seconds are the trace's own seconds. `stroke` is the index of the
    stroke the note spans, when it spans one. A note `on_force` speaks of the curve: it keeps its
    second of the force when the line-up changes; any other keeps its frame.
    """

    id: str
    video_s: float
    text: str = ""
    end_s: float | None = None
    phase: str = ""  # one of PHASES or ""
    body_part: str = ""  # one of BODY_PARTS or ""
    stroke: int | None = None
    voice: Voice | None = None
    on_force: bool = False


@dataclass(frozen=True)
class Notes:
    """The notes of a review.

    Attributes
    ----------
    notes : in order of time
    """

    notes: tuple[Note, ...] = ()


NOTE = Table(
    "note",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "video_s": "REAL NOT NULL",
        "end_s": "REAL",
        "phase": "TEXT NOT NULL",
        "body_part": "TEXT NOT NULL",
        "stroke": "INTEGER",
        "on_force": FLAG,
        "text": "TEXT NOT NULL",  # last, so that of a damaged file its beginning can be read
    },
    ("id",),
    words=("note", "notes"),
    added={"on_force": 0},
)
VOICE = Table(
    "voice",
    {
        "note_id": "TEXT NOT NULL",
        "sound_id": "TEXT NOT NULL",
        "length_s": "REAL NOT NULL",
        "sample_hz": "INTEGER NOT NULL",
        "trim_start_s": "REAL NOT NULL",
        "trim_end_s": "REAL NOT NULL",
    },
    ("note_id",),
    asset="sound_id",
    words=("voice of a note", "voices of notes"),
)


def _groups(state: Notes) -> Iterable[Group]:
    place, moment = 0, None
    for note in state.notes:
        # The place tells notes of one moment apart, so that a new one moves no others.
        place = place + 1 if note.video_s == moment else 0
        moment = note.video_s
        yield _group(note, place)


def _group(note: Note, place: int) -> Group:
    return Group(note.id, note, lambda: _rows(note, place), place)


def _rows(note: Note, place: int) -> Rows:
    rows: Rows = [(NOTE, NOTE.row(note, place=place))]
    if note.voice is not None:
        rows.append((VOICE, VOICE.row(note.voice, note_id=note.id, sound_id=note.voice.id)))
    return rows


def _read(stored: Stored) -> Mapping[str, Any]:
    voices = dict(stored.each(VOICE, lambda c: (c.text("note_id"), _voice(c))))
    notes = stored.each(NOTE, lambda c: _note(c, voices), _check_note)
    once = unique(notes, lambda note: note.id, "notes", stored.lenient)
    return {"notes": tuple(sorted(once, key=lambda note: note.video_s))}


def _voice(c: Cells) -> Voice:
    return Voice(
        c.text("sound_id"),
        c.number("length_s"),
        c.count("sample_hz"),
        c.number("trim_start_s"),
        c.number("trim_end_s"),
    )


def _note(c: Cells, voices: Mapping[str, Voice]) -> Note:
    return Note(
        c.text("id"),
        c.number("video_s"),
        c.text("text"),
        c.number_or_none("end_s"),
        c.text("phase"),
        c.text("body_part"),
        c.count_or_none("stroke"),
        voices.get(c.text("id")),
        on_force(c),
    )


def _check(state: Notes) -> None:
    unique(state.notes, lambda note: note.id, "notes", lenient=False)
    for note in state.notes:
        _check_note(note)


def _check_note(note: Note) -> None:
    if note.end_s is not None and note.end_s < note.video_s:
        raise ReviewError("A note cannot end before it starts.")
    if note.phase not in ("", *PHASES):
        raise ReviewError(f"There is no phase called “{readable(note.phase)}”.")
    if note.voice is not None:
        v = note.voice
        if not 0.0 <= v.trim_start_s < v.trim_end_s <= v.length_s or v.sample_hz <= 0:
            raise ReviewError("What is heard of a voice must lie within its recording.")
    if note.body_part not in ("", *BODY_PARTS):
        raise ReviewError(f"There is no body part called “{readable(note.body_part)}”.")


def _retime(state: Notes, by: float) -> Mapping[str, Any]:
    return {
        "notes": tuple(
            replace(n, video_s=n.video_s * by, end_s=None if n.end_s is None else n.end_s * by)
            for n in state.notes
        )
    }


def _realign(state: Notes, moment: Moment) -> Mapping[str, Any]:
    return {
        "notes": _in_order(
            replace(
                n,
                video_s=moment(n.video_s),
                end_s=None if n.end_s is None else moment(n.end_s),
            )
            if n.on_force
            else n
            for n in state.notes
        )
    }


PART = declare(Part(Notes, (NOTE, VOICE), _groups, _read, _check, _retime, _realign))


def new_note(
    video_s: float,
    text: str = "",
    *,
    end_s: float | None = None,
    phase: str = "",
    body_part: str = "",
    stroke: int | None = None,
    voice: Voice | None = None,
    on_force: bool = False,
) -> Note:
    """Return a note with an id of its own, at a video time in seconds."""
    return Note(
        uuid.uuid4().hex, video_s, readable(text), end_s, phase, body_part, stroke, voice, on_force
    )


def find_note(state: ReviewState, note_id: str) -> Note:
    """Return the note with an id; raises ReviewError when it is gone."""
    return found(state.notes, note_id, "That note is no longer in the review")


def _with_notes(state: ReviewState, notes: tuple[Note, ...]) -> ReviewState:
    return replace(state, notes=_in_order(notes))


def _in_order(notes: Iterable[Note]) -> tuple[Note, ...]:
    # sorted() is stable: notes on one moment stay in the order they were written.
    return tuple(sorted(notes, key=lambda note: note.video_s))


@dataclass(frozen=True)
class AddNote(Change):
    """Pin a new note (see `new_note`)."""

    note: Note
    label: ClassVar[str] = "add note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the note in its place in time."""
        note = replace(self.note, text=readable(self.note.text))
        return _with_notes(state, (*state.notes, note))


@dataclass(frozen=True)
class EditNote(Change):
    """Change one note; what is KEEP stays.

    Typing merges into one undo step. So do changes of one `gesture`: any word of the caller's
    that stays the same while the hand stays down, as in dragging a note along the trace.
    """

    note_id: str
    text: str | Kept = KEEP
    video_s: float | Kept = KEEP
    end_s: float | Kept | None = KEEP
    phase: str | Kept = KEEP
    body_part: str | Kept = KEEP
    stroke: int | Kept | None = KEEP
    on_force: bool | Kept = KEEP
    gesture: str = ""
    label: ClassVar[str] = "edit note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the note changed."""
        new = edited(find_note(state, self.note_id), self)
        return _with_notes(state, put(state.notes, new))

    def merges_with(self, previous: Change) -> bool:
        """Typing in one note merges, and so does one gesture."""
        if not isinstance(previous, EditNote) or previous.note_id != self.note_id:
            return False
        if self.gesture or previous.gesture:
            return self.gesture == previous.gesture
        return self._is_typing() and previous._is_typing()

    def _is_typing(self) -> bool:
        others = (
            self.video_s, self.end_s, self.phase, self.body_part, self.stroke, self.on_force
        )  # fmt: skip
        return self.text is not KEEP and all(value is KEEP for value in others)


@dataclass(frozen=True)
class DeleteNote(Change):
    """Take a note away."""

    note_id: str
    label: ClassVar[str] = "delete note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without the note."""
        gone = find_note(state, self.note_id)
        return without_lost_words(replace(state, notes=without(state.notes, gone)))


@dataclass(frozen=True)
class AddVoiceNote(AddNote):
    """Pin a new note that was spoken."""

    label: ClassVar[str] = "voice note"


@dataclass(frozen=True)
class SetVoice(Change):
    """Give a note this voice, or none."""

    note_id: str
    voice: Voice | None
    label: ClassVar[str] = "voice of the note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the voice in its note."""
        old = find_note(state, self.note_id)
        new = replace(old, voice=self.voice)
        return without_lost_words(replace(state, notes=put(state.notes, new)))
