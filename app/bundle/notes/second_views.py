"""What a second camera shows of a note's moment: a still and a clip beside those of the first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.bundle.notes.note_cards import NoteCard
from app.bundle.pictures import clips, stills
from app.bundle.pictures.clip_store import ClipStore, key_of
from app.bundle.pictures.clips import Span
from app.bundle.pictures.content import of_view
from app.bundle.pictures.jpeg import size_of
from app.bundle.pictures.quality import QUALITY, Quality, look_of
from app.bundle.pictures.second_film import SecondFilm, plain_state, second_films
from app.bundle.pictures.view_files import ViewFiles
from app.bundle.sources.film import open_film
from app.bundle.sources.recordings import Sources
from app.media.errors import MediaError
from app.review.parts.state import ReviewState

if TYPE_CHECKING:
    from app.media.video import VideoFile

Cancelled = Callable[[], bool]
SHORTEST_S: Final = 0.5  # less of a clip shows no movement
FACES: Final = (
    "The second view was not sent: faces are hidden in the first film, and nobody hid them in the "
    "other one."
)
UNREAD: Final = "The second view could not be sent: {why}"


def with_second_views(
    cards: Sequence[NoteCard],
    state: ReviewState,
    sources: Sources,
    folder: Path,
    store: ClipStore,
    cancelled: Cancelled | None = None,
    quality: Quality | None = None,
) -> tuple[tuple[NoteCard, ...], tuple[str, ...]]:
    """Write what the second cameras show of the notes' moments; return the cards, and hints.

    The first second view that was running at a moment is the one that is sent, unless the coach
    took the tick away. Where a face of the first film is hidden, none is: the same face stands
    unhidden in the other.

    Parameters
    ----------
    quality : of the pictures, the review's where it is None

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    views, hints = second_films(sources.submission) if state.sending.second_view else (), []
    if not views or not any(card.still for card in cards):
        return tuple(cards), ()
    if state.blurs:
        return tuple(cards), (FACES,)
    plain = plain_state(state)
    done = list(cards)
    for view in views:
        try:
            with open_film((view.laid,), plain) as film:
                maker = _Maker(
                    film, view, plain, folder, store, cancelled,
                    quality or QUALITY[state.sending.quality],
                )  # fmt: skip
                done = [card if card.view else maker.dress(card) for card in done]
        except MediaError as error:
            hints.append(UNREAD.format(why=error))
    return tuple(done), tuple(hints)


class _Maker:
    """Stills and clips of one open second view; notes on one stroke share its clip."""

    def __init__(
        self,
        film: VideoFile,
        view: SecondFilm,
        state: ReviewState,
        folder: Path,
        store: ClipStore,
        cancelled: Cancelled | None,
        quality: Quality,
    ) -> None:
        self._film, self._view, self._state = film, view, state
        self._folder, self._store = folder, store
        self._cancelled, self._quality = cancelled, quality
        self._shared: dict[Span, str] = {}

    def dress(self, card: NoteCard) -> NoteCard:
        """Give a card that has a still the one of this camera, and its clip."""
        at_s = card.note.video_s
        if card.still is None or not self._film.index.holds(at_s):
            return card
        still = f"stills/note-{card.number:02d}-view.jpg"
        try:
            size = self._still(at_s, self._folder / still)
            clip = None if card.span is None or card.clip is None else self._clip(card.span, card)
        except MediaError:
            return card  # the first camera's pictures are there
        return replace(card, view=ViewFiles(still, size, clip, self._view.film.uncertainty_s))

    def _still(self, at_s: float, out: Path) -> tuple[int, int]:
        box_px, quality = self._quality.still_px, self._quality.still_quality
        at = (self._film.index.at(at_s), box_px, quality)
        key = key_of({**of_view(self._view.laid, self._state), "still": at})
        if self._store.fetch(key, out):
            return size_of(out.read_bytes())
        turn = self._state.turn
        size = stills.write_still(self._film, at_s, out, turn, box_px, quality=quality)
        self._store.keep(key, out)
        return size

    def _clip(self, span: Span, card: NoteCard) -> str | None:
        index = self._film.index
        span = Span(max(span.from_s, index.start_s), min(span.to_s, index.end_s), span.is_stroke)
        if span.seconds < SHORTEST_S:
            return None
        if span not in self._shared:
            name = f"clips/note-{card.number:02d}-view.mp4"
            self._cut(span, self._folder / name)
            self._shared[span] = name
        return self._shared[span]

    def _cut(self, span: Span, out: Path) -> None:
        q = self._quality
        looks = (span.from_s, span.to_s, q.height_px, q.crf, q.sound_bps)
        key = key_of({**of_view(self._view.laid, self._state), "span": looks})
        if not self._store.fetch(key, out):
            clips.write_clip(self._film, self._state, span, out, look_of(q), self._cancelled)
            self._store.keep(key, out)
