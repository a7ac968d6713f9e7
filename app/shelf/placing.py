"""A kept explanation put onto another athlete's finding: one change of their review."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.review.explained import UseExplanation
from app.review.finding_notes import finding_note
from app.review.parts.comparisons import Comparison, new_comparison, usual_title
from app.review.parts.marks import Mark
from app.review.parts.notes import Note, Voice
from app.review.parts.spoken_words import SpokenText
from app.review.references import read_reference
from app.review.values.errors import ReviewError
from app.review.voice import new_id
from app.shelf.explanation import Explanation, KeptVoice, note_id_for
from app.shelf.frames import SeenFrame, frame_at
from app.shelf.marks import placed_curve_mark, placed_mark
from app.shelf.strokes import moment_at, peak_n, stroke_of, times_of
from app.shelf.words import has_numbers, put_together, with_name
from app.submission.resolving import stroke_ref

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.signals.stroke import Stroke
    from app.review.parts.curve_marks import CurveMark
    from app.submission.submission import LoadedSubmission

# What one mark does, and what several do.
_BY: Final = {
    "body": ("follows their body", "follow their body"),
    "machine": ("follows their machine", "follow their machine"),
    "picture": (
        "stands where it stood in the other picture: move it (P)",
        "stand where they stood in the other picture: move them (P)",
    ),
}


@dataclass(frozen=True)
class Placed:
    """What an explanation becomes in a review.

    Attributes
    ----------
    change : to be done as one step
    sound_id : of its voice, whose samples are to be taken in before; "" without a voice
    said : what to look at before it is sent, one sentence each
    """

    change: UseExplanation
    sound_id: str = ""
    said: tuple[str, ...] = ()


def place(
    kept: Explanation,
    finding: Finding,
    sent: LoadedSubmission,
    library: Path,
    snapped: Callable[[float], float] = lambda moment_s: moment_s,
) -> Placed:
    """Put an explanation onto a finding of a review.

    Parameters
    ----------
    library : of the coach's reference strokes
    snapped : the moment of the frame on screen at a moment

    Raises
    ------
    MediaError
        The film cannot be opened.
    """
    stroke = stroke_of(sent, finding.evidence.stroke)
    note, spoken = _note(kept, finding, sent, stroke, snapped)
    frame = frame_at(sent, note.video_s) if kept.marks else None
    drawn = [] if frame is None else [placed_mark(m, frame, note.video_s) for m in kept.marks]
    comparison, missing = _comparison(kept, sent, stroke, library)
    on_curve = _curve_marks(kept, sent, stroke)
    change = UseExplanation(
        note,
        finding.code,
        tuple(mark for mark, _by in drawn),
        on_curve,
        spoken,
        comparison,
    )
    said = [*_marks_words([by for _mark, by in drawn]), missing]
    if len(drawn) + len(on_curve) < len(kept.marks) + len(kept.curve_marks):
        said.append("Marks for what this submission does not have were left out.")
    if frame is not None and any(_is_outside(mark, frame) for mark, _by in drawn):
        said.append("A mark lies outside the picture.")
    if kept.voice is not None and kept.voice.says_name:
        said.append("The voice says the name of somebody else: listen before you send it.")
    if has_numbers(kept):
        said.append("Its words name numbers: read whether they fit.")
    sound_id = "" if note.voice is None else note.voice.id
    return Placed(change, sound_id, tuple(filter(None, said)))


def _note(
    kept: Explanation,
    finding: Finding,
    sent: LoadedSubmission,
    stroke: Stroke | None,
    snapped: Callable[[float], float],
) -> tuple[Note, SpokenText | None]:
    own = finding_note(finding)
    times = None if stroke is None else times_of(sent, stroke)
    at_s, end_s = own.video_s, None
    if kept.stroke_share is not None and times is not None:
        at_s = moment_at(times, kept.stroke_share)
    if kept.whole_stroke and times is not None:
        at_s, end_s = min(at_s, times[0]), max(at_s, times[2])
    elif kept.marks:
        at_s = snapped(at_s)
    voice, spoken = (None, None) if kept.voice is None else _voice(kept.voice)
    note = replace(
        own,
        id=note_id_for(kept.id, finding.code, sent.state.review_id),
        video_s=max(at_s, 0.0),
        end_s=end_s,
        text=put_together(kept, finding, sent.state.athlete),
        phase=kept.phase or own.phase,
        body_part=kept.body_part or own.body_part,
        voice=voice,
    )
    return note, spoken


def _voice(kept: KeptVoice) -> tuple[Voice, SpokenText | None]:
    sound_id = new_id()
    voice = Voice(sound_id, kept.length_s, kept.sample_hz, 0.0, kept.length_s)
    if not kept.words:
        return voice, None
    spoken = SpokenText(sound_id, kept.words, kept.language, kept.accepted, kept.by_program)
    return voice, spoken


def _curve_marks(
    kept: Explanation, sent: LoadedSubmission, stroke: Stroke | None
) -> tuple[CurveMark, ...]:
    index = None if stroke is None else stroke.index
    made = []
    for mark in kept.curve_marks:
        peak = peak_n(sent, index if mark.of_stroke else None)
        if peak is not None:
            made.append(placed_curve_mark(mark, peak, index))
    return tuple(made)


def _comparison(
    kept: Explanation, sent: LoadedSubmission, stroke: Stroke | None, library: Path
) -> tuple[Comparison | None, str]:
    """The kept reference stroke beside the athlete's own, and what is missing for it."""
    beside = kept.stroke
    if beside is None:
        return None, ""
    try:
        reference = read_reference(library, beside.reference_id).stroke
        if stroke is None:
            raise ReviewError("There is no stroke to put the reference stroke beside.")
        own = stroke_ref(stroke, sent.state, "", f"Stroke {stroke.index + 1}")
    except (ReviewError, OSError):
        return None, "Its reference stroke cannot be shown here and was left out."
    reference = replace(reference, label=beside.label or reference.label)
    pair = (own, reference)
    if any((c.left, c.right) == pair for c in sent.state.comparisons):
        return None, ""
    made = new_comparison(
        own, reference,
        title=with_name(beside.title, sent.state.athlete) or usual_title(own, reference),
        text=with_name(beside.text, sent.state.athlete),
        timing=beside.timing, layout=beside.layout, opacity=beside.opacity,
    )  # fmt: skip
    return made, ""


def _marks_words(by: list[str]) -> list[str]:
    """How sure each mark stands, counted."""
    counted = Counter(by)
    return [
        f"1 mark {one}." if counted[how] == 1 else f"{counted[how]} marks {several}."
        for how, (one, several) in _BY.items()
        if counted[how]
    ]


def _is_outside(mark: Mark, frame: SeenFrame) -> bool:
    width, height = frame.size_px
    return all(not (0 <= x <= width and 0 <= y <= height) for x, y in mark.points_px)
