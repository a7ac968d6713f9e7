"""Each note with all that belongs to it: its moment, stroke, pictures and measures."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.findings.finding import PICTURE
from analysis.signals.stroke import Stroke
from app.bundle.pictures import clips, stills
from app.bundle.pictures.clip_store import ClipStore, key_of
from app.bundle.pictures.clips import Span
from app.bundle.pictures.content import of_film, of_track
from app.bundle.pictures.glances import Glances
from app.bundle.pictures.jpeg import size_of
from app.bundle.pictures.mark_paint import MarkPainter
from app.bundle.pictures.quality import QUALITY, Quality, look_of
from app.bundle.pictures.strip import BOX_PX, frames_of
from app.bundle.pictures.strips import Made, StripFiles, can_be_shown, finding_strip
from app.bundle.pictures.view_files import ViewFiles
from app.bundle.sources.film import open_film
from app.bundle.sources.kept import Kept
from app.bundle.sources.recordings import Sources, stroke_of
from app.bundle.wording.measure_words import sentences
from app.bundle.wording.spoken import SpokenView
from app.bundle.wording.words import ENGLISH, Words
from app.media.errors import MediaError
from app.media.video import VideoFile
from app.review.parts.marks import Mark
from app.review.parts.notes import Note
from app.review.parts.sending import sent_notes
from app.review.parts.state import ReviewState
from app.scene.figure import Moment
from app.submission.clock import ReviewClock

_BACK = re.compile(
    r"\b(low(er)?[-\s]?)?backs?\b|\blumbar\b|\bspin(e|es|al)\b"
    r"|\brückens?\b|\bkreuz\b|\blenden|wirbelsäule|\bdos\b|\blombaires?\b|colonne vertébrale",
    re.IGNORECASE,
)
# Notes on strokes that follow each other share frames: those of a clip's end begin the next one.
_RECENT_BYTES = 64 * 2**20
_EDGE_PCT = 20.0  # of the drive
Step = Callable[[], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class VoiceFile:
    """What the coach said for a note: its path inside the bundle, its length, and its words.

    Attributes
    ----------
    spoken : what is said, in words; None where none are sent
    captions : the same as a file, "" where there is none
    """

    path: str
    seconds: float
    spoken: SpokenView | None = None
    captions: str = ""


@dataclass(frozen=True)
class NoteCard:
    """One note as the bundle shows it.

    Attributes
    ----------
    number : from 1, in the order of the page
    kept : the finding it came from, or None
    still, clip : paths inside the bundle, or None
    still_size : width and height in pixels
    span : the stretch of the film the clip shows
    strip : the stroke strip of a finding's clearest stroke, or None
    facts : sentences about its stroke
    marks : drawn on its still
    voice : what the coach said, or None
    view : the same moment from a second camera, or None
    """

    number: int
    note: Note
    stroke: Stroke | None = None
    facts: tuple[str, ...] = ()
    still: str | None = None
    still_size: tuple[int, int] = (0, 0)
    clip: str | None = None
    span: Span | None = None
    kept: Kept | None = None
    strip: StripFiles | None = None
    marks: tuple[Mark, ...] = ()
    voice: VoiceFile | None = None
    view: ViewFiles | None = None

    @property
    def about_back(self) -> bool:
        """Whether the note is about the back."""
        spoken = self.voice.spoken if self.voice is not None else None
        said = f"{self.note.text} {spoken.text if spoken is not None else ''}"
        return self.note.body_part == "back" or bool(_BACK.search(said))


def cards_of(state: ReviewState, sources: Sources, words: Words = ENGLISH) -> tuple[NoteCard, ...]:
    """The notes that are sent with their strokes and measures, without pictures yet.

    In the order the coach gave them; without one, good signs come first, then the other findings
    as they are ranked, then notes by time.
    """
    kept = {k.note_id: k for k in sources.kept}
    last = len(kept)
    picked = sent_notes(state.sending, state.notes)
    ordered: Sequence[Note] = sorted(
        state.notes, key=lambda n: (kept[n.id].rank if n.id in kept else last, n.video_s)
    )
    if picked is not None:
        ordered = picked
    cards = []
    for number, note in enumerate(ordered, start=1):
        stroke = stroke_of(note, sources.submission)
        facts: tuple[str, ...] = ()
        if stroke is not None:
            sent = sources.submission
            facts = sentences(sent.measures_of(stroke), sent.usual_around(stroke), words)
        cards.append(NoteCard(number, note, stroke, facts, kept=kept.get(note.id)))
    return tuple(cards)


def body_moments(cards: Sequence[NoteCard], sources: Sources) -> tuple[Moment, ...]:
    """Give where notes on what was seen in the picture stand in the drive of the force, percent.

    Nothing where nobody lined film and force up, or there is no force.
    """
    if sources.main is None or not sources.clock.is_lined_up:
        return ()
    moments = []
    for card in cards:
        finding = None if card.kept is None else card.kept.finding
        stroke = card.stroke
        if finding is None or finding.seen_in != PICTURE or stroke is None:
            continue
        at_s = sources.clock.trace_time(card.note.video_s)
        drive_s = stroke.finish_s - stroke.catch_s
        percent = 100.0 * (at_s - stroke.catch_s) / drive_s if drive_s > 0.0 else math.nan
        # Hands turn a little before the catch: what is seen there stands at the edge of the drive.
        if -_EDGE_PCT <= percent <= 100.0 + _EDGE_PCT:
            moments.append(Moment(min(max(percent, 0.0), 100.0), str(card.number)))
    return tuple(moments)


def with_pictures(
    cards: Sequence[NoteCard],
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    step: Step,
    cancelled: Cancelled | None = None,
    store: ClipStore | None = None,
    quality: Quality | None = None,
) -> tuple[tuple[NoteCard, ...], tuple[str, ...]]:
    """Write stills and clips into the folder; return the cards that name them, and remarks.

    Parameters
    ----------
    step : called before each note; may raise to stop
    store : clips made before
    quality : of the pictures, the review's where it is None

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if sources.video is None or not cards:
        return tuple(cards), ()
    (folder / "stills").mkdir()
    (folder / "clips").mkdir()
    done, remarks = [], []
    try:
        with open_film(sources.reel, state) as film:
            maker = _Pictures(
                film, sources, state, folder, words, cancelled, store or ClipStore(None),
                quality or QUALITY[state.sending.quality],
            )  # fmt: skip
            for card in cards:
                step()
                shown, said = maker.dress(card)
                done.append(shown)
                remarks += said
    except MediaError:
        return tuple(cards), (words["unreadable_video"],)
    finally:
        for name in ("stills", "clips"):
            if not any((folder / name).iterdir()):
                (folder / name).rmdir()
    return tuple(done), tuple(remarks)


class _Pictures:
    """Stills and clips of one open film; notes on one stroke share its clip."""

    def __init__(
        self,
        film: VideoFile,
        sources: Sources,
        state: ReviewState,
        folder: Path,
        words: Words,
        cancelled: Cancelled | None,
        store: ClipStore,
        quality: Quality,
    ) -> None:
        self._film, self._sources, self._state = film, sources, state
        self._folder, self._words, self._cancelled = folder, words, cancelled
        self._store, self._quality = store, quality
        self._shared: dict[Span, NoteCard] = {}
        self._made: Made = {}
        self._track = sources.shown_track
        size = (film.width, film.height)
        self._marks = MarkPainter(state, size, film.index.at, track=self._track)
        self._glances = Glances(film)
        film.keep_recent(_RECENT_BYTES)

    def dress(self, card: NoteCard) -> tuple[NoteCard, list[str]]:
        """Give a card its still and clip, and say what could not be made."""
        if self._of_no_known_moment(card):
            return card, []
        at_s = card.note.video_s
        index = self._film.index
        if not (index.holds(at_s) or at_s == index.end_s):
            return card, [self._words["note_outside"].format(number=card.number)]
        span = clips.span_of(
            card.note, card.stroke, self._clock_of(card).review_time, index.end_s, index.start_s
        )
        remarks = []
        try:
            card = self._clip(card, span)
        except MediaError:
            remarks.append(self._words["clip_failed"].format(number=card.number))
        still = f"stills/note-{card.number:02d}.jpg"
        try:
            size = self._still(at_s, still)
            card = replace(card, still=still, still_size=size, marks=self._marks.at(at_s))
        except MediaError:
            remarks.insert(0, self._words["still_failed"].format(number=card.number))
        try:
            card = replace(card, strip=self._strip(card))
        except MediaError:
            remarks.append(self._words["strip_failed"].format(number=card.number))
        self._glances.forget()
        return card, remarks

    def _of_no_known_moment(self, card: NoteCard) -> bool:
        """Whether a note of the force alone would be shown with whatever the film shows then.

        What a coach wrote stands where it was written; what was found stands where film and force
        were taken to lie.
        """
        clock = self._sources.clock
        if card.stroke is None or card.stroke.source == "body":
            return False
        if clock.is_lined_up and clock.shows(card.stroke):
            return False
        finding = None if card.kept is None else card.kept.finding
        return self._state.draft if finding is None else finding.seen_in != PICTURE

    def _is_shown(self, stroke: Stroke | None) -> bool:
        """Whether the film shows a stroke of the force where both are lined up."""
        return stroke is None or stroke.source == "body" or self._sources.clock.shows(stroke)

    def _wish(self, card: NoteCard, span: Span) -> None:
        """Say which frames other pictures need, before the clip decodes them."""
        at = self._film.index.at
        self._glances.wish(at(card.note.video_s), self._quality.still_px)
        stroke = card.stroke
        if stroke is None or card.kept is None or stroke.index in self._made:
            return
        if can_be_shown(self._sources) and self._is_shown(stroke):
            for i in frames_of(self._glances, stroke, self._clock_of(card)):
                self._glances.wish(i, BOX_PX)

    def _clock_of(self, card: NoteCard) -> ReviewClock:
        """The clock of a card's stroke beside that of the film."""
        if card.stroke is None:
            return self._sources.clock
        return self._sources.submission.clock_of(card.stroke)

    def _strip(self, card: NoteCard) -> StripFiles | None:
        if card.kept is None or not self._is_shown(card.stroke):
            return None
        name = f"note-{card.number:02d}"
        return finding_strip(
            self._glances, self._made, name, card.stroke, card.kept, self._state, self._sources,
            self._folder, self._words, self._store,
        )  # fmt: skip

    def _clip(self, card: NoteCard, span: Span) -> NoteCard:
        twin = self._shared.get(span)
        if twin is None:
            clip = f"clips/note-{card.number:02d}.mp4"
            self._cut(card, span, self._folder / clip)
            twin = replace(card, clip=clip, span=span)
            self._shared[span] = twin
        return replace(card, clip=twin.clip, span=span)

    def _cut(self, card: NoteCard, span: Span, out: Path) -> None:
        key = clips.clip_key(self._film, self._state, span, self._quality, self._track)
        if self._store.fetch(key, out):
            return
        self._wish(card, span)
        look = replace(
            look_of(self._quality),
            paint=self._over_clip,
            painted=self._marks.draws_at,
        )
        clips.write_clip(
            self._film, self._state, span, out, look, self._cancelled, self._glances.passing
        )
        self._store.keep(key, out)
        self._glances.catch_up()

    def _still(self, at_s: float, name: str) -> tuple[int, int]:
        out, box_px = self._folder / name, self._quality.still_px
        marks = self._marks.at(at_s)
        key = key_of(
            {
                **of_film(self._film.laid, self._state),
                "still": (self._film.index.at(at_s), box_px, self._quality.still_quality),
                "marks": [asdict(m) for m in marks],
                "scale": self._state.metres_per_px,
                **of_track(self._track),
            }
        )
        if self._store.fetch(key, out):
            return size_of(out.read_bytes())
        size = stills.write_still(
            self._glances, at_s, out, self._state.turn, box_px, self._marks.paint,
            self._quality.still_quality,
        )  # fmt: skip
        self._store.keep(key, out)
        return size

    def _over_clip(self, image: NDArray[np.uint8], time_s: float) -> NDArray[np.uint8]:
        return self._marks.paint(image, time_s, spans_only=True, red=0)
