"""A note with all that it explains by, taken out of a review for the shelf."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING, Final

from app.review.mark_shapes import shown_marks
from app.review.parts.comparisons import is_usual_title
from app.review.parts.notes import Note, Voice, find_note
from app.review.parts.spoken_words import spoken_of
from app.review.parts.word_times import heard_words
from app.review.values.stroke_ref import is_reference
from app.review.values.text import plain
from app.review.voice import heard, samples_of, to_wav
from app.shelf.errors import ShelfError
from app.shelf.explanation import (
    Explanation,
    KeptCurveMark,
    KeptMark,
    KeptStroke,
    KeptVoice,
    new_explanation_id,
)
from app.shelf.frames import SeenFrame, frame_at
from app.shelf.marks import kept_curve_mark, kept_mark
from app.shelf.record import LONGEST_VOICE_S
from app.shelf.strokes import peak_n, share_at, stroke_of, times_of
from app.shelf.words import names_somebody, taken_apart, without_name

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from app.review.parts.state import ReviewState
    from app.submission.submission import LoadedSubmission

LONGEST_TITLE: Final = 120
_SAME_MOMENT_S: Final = 0.05  # so near to where the finding is seen best, it is meant to be there
_BESIDE_PCT: Final = 10.0  # a mark on the curve this far from what the finding shades still counts


@dataclass(frozen=True)
class Taken:
    """What was taken from a review.

    Attributes
    ----------
    wav : the voice, as long as it is heard; None where there is none
    remarks : what could not be taken along, one sentence each
    """

    explanation: Explanation
    wav: bytes | None = None
    remarks: tuple[str, ...] = ()


def take(
    sent: LoadedSubmission,
    note_id: str,
    sound: Callable[[str], bytes],
    frame_of: Callable[[float], int],
    beside: str = "",
) -> Taken:
    """Take an explanation from a review, which stays as it is.

    The athlete's name is taken out of the words; what was measured of them is left behind.

    Parameters
    ----------
    note_id : of the note that explains
    sound : gives the samples of a voice by its id
    frame_of : number of the frame on screen at a moment
    beside : code of the finding it is kept for where the note came from none, "" for none

    Raises
    ------
    ReviewError
        The note or its voice is gone.
    MediaError
        The film cannot be opened.
    ShelfError
        The voice is too long to be kept.
    """
    state = sent.state
    note = find_note(state, note_id)
    code = next((d.code for d in state.decisions if d.kept and d.note_id == note.id), beside)
    finding = next((f for f in sent.findings if f.code == code), None)
    said = taken_apart(note.text, finding, state.athlete)
    voice, wav = _voice(state, note.voice, sound) if note.voice is not None else (None, None)
    remarks: list[str] = []
    if voice is not None and voice.says_name:
        remarks.append("The voice says the athlete's name: the next one would hear it.")
    explanation = Explanation(
        id=new_explanation_id(),
        title=_title(said.words, finding),
        codes=(code,) if code else (),
        **asdict(said),
        phase=note.phase,
        body_part=note.body_part,
        whole_stroke=note.end_s is not None,
        stroke_share=_share(sent, note, finding),
        marks=_marks(sent, note, frame_of),
        curve_marks=_curve_marks(sent, note, finding),
        voice=voice,
        stroke=_reference(state, note),
        kept_on=date.today().isoformat(),
    )
    return Taken(explanation, wav, tuple(remarks))


def _title(words: str, finding: Finding | None) -> str:
    if finding is not None:
        return plain(finding.title, LONGEST_TITLE)
    first = next((line for line in words.splitlines() if line.strip()), "An explanation")
    return plain(first, 60)


def _voice(
    state: ReviewState, voice: Voice, sound: Callable[[str], bytes]
) -> tuple[KeptVoice, bytes]:
    """Cut to what is heard: what the coach trimmed off is nobody else's."""
    samples = heard(samples_of(sound(voice.id)), voice)
    wav = to_wav(samples.astype("<i2").tobytes(), voice.sample_hz)
    length_s = len(samples) / voice.sample_hz
    if length_s > LONGEST_VOICE_S:
        raise ShelfError("A voice of more than ten minutes is not kept; trim it first.")
    spoken = spoken_of(state, voice.id)
    if spoken is None:
        return KeptVoice(length_s, voice.sample_hz), wav
    words = heard_words(spoken.words, voice)
    kept = KeptVoice(
        length_s,
        voice.sample_hz,
        words,
        spoken.language,
        spoken.accepted,
        spoken.by_program,
        names_somebody((w.text for w in words), state.athlete),
    )
    return kept, wav


def _share(sent: LoadedSubmission, note: Note, finding: Finding | None) -> float | None:
    """Where in its stroke a note stands that the coach moved away from its finding."""
    if finding is not None:
        at_s = finding.where.video_s if finding.where.video_s is not None else finding.where.trace_s
        if at_s is not None and abs(at_s - note.video_s) <= _SAME_MOMENT_S:
            return None
    stroke = stroke_of(sent, note.stroke) or sent.stroke_at(note.video_s)
    times = None if stroke is None else times_of(sent, stroke)
    return None if times is None else share_at(times, note.video_s)


def _marks(
    sent: LoadedSubmission, note: Note, frame_of: Callable[[float], int]
) -> tuple[KeptMark, ...]:
    """What stands on the note's frame, as the bundle shows it there."""
    frame: SeenFrame | None = None if not sent.state.marks else frame_at(sent, note.video_s)
    if frame is None:
        return ()
    shown = shown_marks(sent.state.marks, frame_of(note.video_s), frame_of)
    return tuple(kept_mark(mark, frame, note.video_s) for mark in shown)


def _curve_marks(
    sent: LoadedSubmission, note: Note, finding: Finding | None
) -> tuple[KeptCurveMark, ...]:
    """Marks on the curve of the note's stroke, and of every stroke, where the finding is."""
    kept = []
    for mark in sent.state.curve_marks:
        if mark.stroke not in (None, note.stroke) or not _is_there(mark.span_pct, finding):
            continue
        peak = peak_n(sent, mark.stroke)
        if peak is not None:
            kept.append(kept_curve_mark(mark, peak))
    return tuple(kept)


def _is_there(span_pct: tuple[float, float], finding: Finding | None) -> bool:
    """Whether a stretch of the drive meets what a finding shades."""
    if finding is None:
        return False  # which of the curve's marks belong to a note without one, nobody can tell
    low, high = finding.evidence.percent_from, finding.evidence.percent_to
    if low is None or high is None:
        return True
    return span_pct[0] <= high + _BESIDE_PCT and span_pct[1] >= low - _BESIDE_PCT


def _reference(state: ReviewState, note: Note) -> KeptStroke | None:
    """The reference stroke that stands beside the stroke the note speaks of."""
    for c in state.comparisons:
        for own, other in ((c.left, c.right), (c.right, c.left)):
            is_here = own.source == "" and own.catch_s <= note.video_s < own.next_catch_s
            if is_here and is_reference(other.source):
                name = state.athlete
                timing = "phase" if c.timing == "free" else c.timing
                title = "" if is_usual_title(c) else without_name(c.title, name)
                return KeptStroke(
                    other.source, other.label, title, without_name(c.text, name), timing,
                    c.layout, c.opacity,
                )  # fmt: skip
    return None
