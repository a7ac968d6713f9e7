"""The notes in the words of the page."""

from __future__ import annotations

from dataclasses import dataclass

from app.bundle.note_text import NotePart, note_parts
from app.bundle.notes import NoteCard
from app.bundle.sketch import Sketch, sketch_of
from app.bundle.sources import Sources, trace_time
from app.bundle.text import clean, clock, one_line
from app.bundle.words import Words
from app.review.marks import named
from app.review.state import PHASES, ReviewState


@dataclass(frozen=True)
class NoteView:
    """A note in the words of the page."""

    card: NoteCard
    when: str
    text: str
    parts: tuple[NotePart, ...]
    said: bool
    tags: tuple[str, ...]  # those without a place of their own on the page
    phase: int | None  # which of the four parts of the stroke
    still_alt: str
    clip_label: str
    clip_caption: str
    voice_label: str
    voice_caption: str
    sketch: Sketch | None
    sketch_alt: str
    stroke_remark: str


def note_view(card: NoteCard, state: ReviewState, sources: Sources, words: Words) -> NoteView:
    """Give a note as the page shows it."""
    note = card.note
    tags = tuple(one_line(tag) for tag in (note.phase, note.body_part) if tag)
    phase = PHASES.index(note.phase) if note.phase in PHASES else None
    clip_time = {"time": "", "end": "", "seconds": ""}
    if card.span is not None:
        clip_time = {
            "time": clock(card.span.from_s),
            "end": clock(card.span.to_s),
            "seconds": f"{card.span.seconds:.1f}",
        }
    whole = card.span is not None and card.span.is_stroke
    sketch = None
    if card.stroke is not None and card.strip is None:  # a strip shows the same curves
        sketch = sketch_of(sources, card.stroke, trace_time(note.video_s, state))
    return NoteView(
        card=card,
        when=_when(card, state, words),
        text=clean(note.text) or words["note_plain"],
        parts=note_parts(clean(note.text)),
        said=bool(clean(note.text)),
        tags=tags[1:] if phase is not None else tags,
        phase=phase,
        still_alt=words["still_alt"].format(
            time=clock(note.video_s),
            number=card.number,
            tags=": " + ", ".join(tags) if tags else "",
        )
        + _drawn(card, state, words),
        clip_label=words["clip_label"].format(number=card.number, **clip_time),
        clip_caption=words["clip_caption_stroke" if whole else "clip_caption"].format(**clip_time),
        voice_label=words["voice_label"].format(number=card.number),
        voice_caption="" if card.voice is None else _voice_caption(card.voice.seconds, words),
        sketch=sketch,
        sketch_alt=_sketch_alt(card, sketch, words),
        stroke_remark=clean(card.stroke.remark) if card.stroke is not None else "",
    )


def _drawn(card: NoteCard, state: ReviewState, words: Words) -> str:
    """Say what is drawn on a still, for those who cannot see it."""
    if not card.marks:
        return ""
    said = [one_line(name) for name in named(card.marks, state.metres_per_px)]
    return " " + words["still_alt_marks"].format(marks=", ".join(said))


def _voice_caption(seconds: float, words: Words) -> str:
    return words["voice_caption"].format(seconds=max(1, round(seconds)))


def _when(card: NoteCard, state: ReviewState, words: Words) -> str:
    note = card.note
    kind = "time" if state.video is not None else "trace_time"
    if note.end_s is not None and note.end_s > note.video_s:
        text = words[f"span_{kind}"].format(time=clock(note.video_s), end=clock(note.end_s))
    else:
        text = words[f"at_{kind}"].format(time=clock(note.video_s))
    if card.stroke is not None:
        text = words["stroke"].format(number=card.stroke.index + 1) + ", " + text
    return text[:1].upper() + text[1:]


def _sketch_alt(card: NoteCard, sketch: Sketch | None, words: Words) -> str:
    if sketch is None or card.stroke is None:
        return ""
    text = words["own_curve_alt"].format(
        number=card.stroke.index + 1, peak=f"{sketch.peak_n:.0f}", at=f"{sketch.peak_pct:.0f}"
    )
    if sketch.moment_pct is not None:
        text += words["own_curve_alt_moment"].format(at=f"{sketch.moment_pct:.0f}")
    return text
