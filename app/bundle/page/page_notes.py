"""The notes in the words of the page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.bundle.notes.note_cards import NoteCard
from app.bundle.page.own_words import own_words
from app.bundle.page.run import Run, run_of
from app.bundle.page.sketch import Sketch, sketch_of
from app.bundle.sources.recordings import Sources
from app.bundle.wording.finding_texts import FindingText, code_of, finding_texts
from app.bundle.wording.mark_words import curve_marks_named, marks_named
from app.bundle.wording.note_text import NotePart, note_parts
from app.bundle.wording.text import clean, clock, one_line, with_capital
from app.bundle.wording.words import Words
from app.review.parts.curve_marks import on_curve
from app.review.parts.notes import BODY_PARTS, PHASES
from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock

_MOST_WORK = 2  # more than two things at once is none (common practice, no source)
_LONGEST_NAME = 70  # of a note in the list of notes


@dataclass(frozen=True)
class NoteView:
    """A note in the words of the page."""

    card: NoteCard
    id: str
    name: str  # a few words to know it by
    when: str
    at: str  # the moment alone
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
    voice_paper: str  # what paper says of a note that was spoken and not written
    sketch: Sketch | None
    sketch_alt: str
    stroke_remark: str
    run: Run | None
    view_caption: str = ""  # what a second camera's picture is
    code: str = ""  # of the finding it came from
    plain: str = ""  # what its curve or picture says, in words of daily life
    film: str = ""  # what the next film should show

    @property
    def ways(self) -> tuple[NotePart, ...]:
        """Cue, drill and caution."""
        return tuple(p for p in self.parts if p.kind not in ("title", "plain"))

    @property
    def titled(self) -> bool:
        """Whether the note has a title, which then stands over it and not in it."""
        return any(part.kind == "title" for part in self.parts)

    @property
    def cue(self) -> str:
        """The first cue; "" where the note has none."""
        return next((p.text for p in self.parts if p.kind == "cue"), "")


def _view_caption(card: NoteCard, words: Words) -> str:
    """What a second camera's picture is, and how far its moment may be off."""
    if card.view is None:
        return ""
    within_s = card.view.within_s
    if within_s is None:
        return words["view_caption"]
    return words["view_caption_within"].format(ms=f"{1000.0 * within_s:.0f}")


def note_view(card: NoteCard, state: ReviewState, sources: Sources, words: Words) -> NoteView:
    """Give a note as the page shows it."""
    note = card.note
    tags = _tags(card, words)
    phase = PHASES.index(note.phase) if note.phase in PHASES else None
    clip_time = {"time": "", "end": "", "seconds": ""}
    run = None
    if card.span is not None:
        clip_time = {
            "time": _clock(card.span.from_s, words),
            "end": _clock(card.span.to_s, words),
            "seconds": f"{card.span.seconds:.1f}".replace(".", words["decimal"]),
        }
        if card.clip is not None:
            run = run_of(sources, state, card.stroke, card.span, note.video_s)
    whole = card.span is not None and card.span.is_stroke
    sketch = None
    if card.stroke is not None and card.strip is None and run is None:  # these show the same
        at_s = sources.clock.trace_time(note.video_s)
        sketch = sketch_of(sources, card.stroke, at_s, state.curve_marks)
    parts = _as_lines(note_parts(clean(note.text)), state)
    code = card.kept.code if card.kept is not None else _code_of(parts)
    told = finding_texts(words["language"]).get(code, FindingText())
    return NoteView(
        card=card,
        id=one_line(note.id),
        name=_name(parts, tags, state, words)
        if parts or card.voice is None
        else _spoken(card, words),
        when=_when(card, state, words),
        at=_clock(note.video_s, words),
        text=clean(note.text) or _wordless(card, words),
        parts=parts,
        said=bool(clean(note.text)),
        tags=tags[1:] if phase is not None else tags,
        phase=phase,
        still_alt=words["still_alt"].format(
            time=_clock(note.video_s, words),
            number=card.number,
            tags=": " + ", ".join(tags) if tags else "",
        )
        + _drawn(card, state, words),
        clip_label=words["clip_label"].format(number=card.number, **clip_time),
        clip_caption=words["clip_caption_stroke" if whole else "clip_caption"].format(**clip_time),
        voice_label=_voice_label(card, state, tags, parts, words),
        voice_caption="" if card.voice is None else _voice_caption(card.voice.seconds, words),
        voice_paper="" if card.voice is None or parts else _spoken(card, words, "voice_paper"),
        sketch=sketch,
        sketch_alt=_curve_alt(card, sources, state, words) if sketch or run else "",
        stroke_remark=clean(card.stroke.remark) if card.stroke is not None else "",
        run=run,
        view_caption=_view_caption(card, words),
        code=code,
        plain=told.plain,
        film=told.film,
    )


def _as_lines(parts: Sequence[NotePart], state: ReviewState) -> tuple[NotePart, ...]:
    """Give parts with a capital where they stand by themselves, as cues do over the page."""
    language = state.sending.own_language or state.sending.language
    return tuple(
        part if part.kind == "plain" else replace(part, text=with_capital(part.text, language))
        for part in parts
    )


def _code_of(parts: Sequence[NotePart]) -> str:
    """The finding whose words a note still has, "" for a note of the coach's own."""
    return next((code for code in (code_of(part.text) for part in parts) if code), "")


def work_on(notes: Sequence[NoteView], draft: bool) -> list[NoteView]:
    """Choose the one or two things to work on: the first notes with a cue, else the first at all.

    What already works is no work, and a draft without a cue only says what was measured.
    """
    faults = [n for n in notes if n.card.kept is None or not n.card.kept.good]
    chosen = [n for n in faults if n.cue]
    if not chosen and not draft:
        chosen = [n for n in faults if n.said or n.card.voice]
    return chosen[:_MOST_WORK]


def _tags(card: NoteCard, words: Words) -> tuple[str, ...]:
    phase, part = card.note.phase, card.note.body_part
    if phase in PHASES:
        phase = words[f"phase_{phase}"]
    if part in BODY_PARTS:
        part = words[f"part_{part}"]
    return tuple(one_line(tag) for tag in (phase, part) if tag)


def _name(parts: Sequence[NotePart], tags: Sequence[str], state: ReviewState, words: Words) -> str:
    """Give a few words to know a note by: its title, else how it begins, else what it is about."""
    language = state.sending.own_language or state.sending.language
    text = with_capital(one_line(parts[0].text), language) if parts else ""
    if not text:
        return ", ".join(tags) or words["note_word"]
    if len(text) <= _LONGEST_NAME:
        return text
    first = re.split(r"(?<=[.!?:;])\s", text, maxsplit=1)[0]
    if len(first) <= _LONGEST_NAME:
        return first
    head = text[: _LONGEST_NAME - 1]
    return (head.rsplit(" ", 1)[0] or head) + "…"


def _clock(seconds: float, words: Words) -> str:
    return clock(seconds).replace(".", words["decimal"])


def _drawn(card: NoteCard, state: ReviewState, words: Words) -> str:
    """Say what is drawn on a still, for those who cannot see it."""
    if not card.marks:
        return ""
    said = [one_line(name) for name in marks_named(card.marks, state.metres_per_px, words)]
    return " " + words["still_alt_marks"].format(marks=", ".join(said))


def _voice_caption(seconds: float, words: Words) -> str:
    return words["voice_caption"].format(seconds=_whole_s(seconds))


def _whole_s(seconds: float) -> int:
    return max(1, round(seconds))


def _spoken(card: NoteCard, words: Words, said: str = "voice_name") -> str:
    """Say of a note that was spoken how long it is."""
    seconds = 0.0 if card.voice is None else card.voice.seconds
    return words[said].format(seconds=_whole_s(seconds))


def _wordless(card: NoteCard, words: Words) -> str:
    return words["note_plain"] if card.voice is None else _spoken(card, words, "voice_plain")


def _voice_label(
    card: NoteCard, state: ReviewState, tags: Sequence[str], parts: Sequence[NotePart], words: Words
) -> str:
    """Name a voice for those who hear the page: its length, moment and part, and its cue."""
    if card.voice is None:
        return ""
    when = _when(card, state, words)
    own = own_words(state.sending, words)
    about = ", ".join((when[:1].lower() + when[1:], *tags))
    text = words["voice_label"].format(
        number=card.number, seconds=_whole_s(card.voice.seconds), about=about
    )
    cue = next((part.text for part in parts if part.kind == "cue"), "")
    if own.foreign(cue):
        cue = ""
    return text + "." + (words["voice_label_cue"].format(cue=one_line(cue)) if cue else "")


def _when(card: NoteCard, state: ReviewState, words: Words) -> str:
    note = card.note
    kind = "time" if ReviewClock.of(state).has_film else "trace_time"
    if note.end_s is not None and note.end_s > note.video_s:
        text = words[f"span_{kind}"].format(
            time=_clock(note.video_s, words), end=_clock(note.end_s, words)
        )
    else:
        text = words[f"at_{kind}"].format(time=_clock(note.video_s, words))
    if card.stroke is not None:
        text = words["stroke"].format(number=card.stroke.index + 1) + ", " + text
    return text[:1].upper() + text[1:]


def _curve_alt(card: NoteCard, sources: Sources, state: ReviewState, words: Words) -> str:
    """Say what a curve of the stroke shows."""
    if card.stroke is None:
        return words["run_alt"].format(number=card.number)
    sketch = sketch_of(sources, card.stroke, sources.clock.trace_time(card.note.video_s))
    if sketch is None:
        return words["run_alt"].format(number=card.number)
    text = words["own_curve_alt"].format(
        number=card.stroke.index + 1, peak=f"{sketch.peak_n:.0f}", at=f"{sketch.peak_pct:.0f}"
    )
    if sketch.moment_pct is not None:
        text += words["own_curve_alt_moment"].format(at=f"{sketch.moment_pct:.0f}")
    drawn = on_curve(state.curve_marks, "time", card.stroke.index)
    if drawn:
        said = ", ".join(curve_marks_named(drawn, words))
        text += " " + words["still_alt_marks"].format(marks=said)
    return text
