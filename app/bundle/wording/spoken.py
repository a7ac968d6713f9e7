"""What the coach said, as words in the bundle: sentences at their moments, and captions.

Nothing goes along that the coach has not accepted, unless the plan allows it; then every place says
that a program wrote it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.bundle.wording.captions import as_vtt
from app.bundle.wording.text import clean
from app.bundle.wording.words import Words
from app.review.parts.notes import Voice
from app.review.parts.spoken_words import SpokenText, spoken_of
from app.review.parts.state import ReviewState
from app.review.parts.walk_timing import shown_captions, timing_of
from app.review.parts.walkthroughs import Walkthrough
from app.review.parts.word_times import SpokenSentence, heard_words, left_words, sentences


@dataclass(frozen=True)
class SpokenView:
    """The words of one voice as the page shows them.

    Attributes
    ----------
    sentences : on the clock of what is heard
    language : they are in, such as "en"
    unread : a program wrote them and the coach did not accept them
    typed : places of the sentences the coach typed
    typed_language : those are in, "" for the same
    """

    sentences: tuple[SpokenSentence, ...]
    language: str
    unread: bool
    typed: frozenset[int] = frozenset()
    typed_language: str = ""

    def language_of(self, place: int) -> str:
        """The language of the sentence in a place."""
        return (place in self.typed and self.typed_language) or self.language

    @property
    def text(self) -> str:
        """All of it."""
        return " ".join(sentence.text for sentence in self.sentences)

    @property
    def record(self) -> dict[str, Any]:
        """As `review.json` keeps it."""
        return {
            "language": self.language,
            "accepted": not self.unread,
            "sentences": [
                {"from_s": s.from_s, "to_s": s.to_s, "text": s.text} for s in self.sentences
            ],
        }


def sent_words(state: ReviewState, sound_id: str) -> SpokenText | None:
    """The words of a sound that may be sent; None where there are none."""
    spoken = spoken_of(state, sound_id) if sound_id else None
    if spoken is None or not (spoken.accepted or state.sending.unread_words):
        return None
    return spoken


def voice_words(state: ReviewState, voice: Voice) -> SpokenView | None:
    """The words that are heard of a note's voice; None where none may be sent."""
    spoken = sent_words(state, voice.id)
    if spoken is None:
        return None
    said = _cleaned(sentences(heard_words(spoken.words, voice)))
    return SpokenView(said, spoken.language, not spoken.accepted) if said else None


def walk_words(state: ReviewState, walk: Walkthrough) -> SpokenView | None:
    """What is read with a walkthrough: typed captions, and what is said where none was typed."""
    typed = [SpokenSentence(c.from_s, c.to_s, clean(c.text)) for c in shown_captions(walk)]
    spoken = sent_words(state, walk.sound_id)
    said: Sequence[SpokenSentence] = ()
    if spoken is not None:
        said = _cleaned(sentences(left_words(spoken.words, timing_of(walk))))
    free = [s for s in said if all(s.to_s <= t.from_s or s.from_s >= t.to_s for t in typed)]
    lines = tuple(sorted((*typed, *free), key=lambda s: (s.from_s, s.to_s)))
    if not lines:
        return None
    own = state.sending.own_language or state.sending.language
    language = spoken.language if spoken is not None and free else own
    places = frozenset(i for i, line in enumerate(lines) if line in typed)
    return SpokenView(lines, language, bool(free and spoken and not spoken.accepted), places, own)


def _cleaned(said: Sequence[SpokenSentence]) -> tuple[SpokenSentence, ...]:
    return tuple(
        SpokenSentence(s.from_s, s.to_s, text) for s in said if (text := clean(s.text).strip())
    )


def spoken_vtt(view: SpokenView, words: Words) -> str:
    """The sentences as WebVTT; the first one says so where a program wrote them unread."""

    def said(place: int, text: str) -> list[tuple[str, str]]:
        told = [(view.language_of(place), text)]
        if view.unread and place == 0:
            told.insert(0, (words["language"], f"[{words['voice_words_unread']}]"))
        return [("" if code == view.language else code, part) for code, part in told]

    return as_vtt(
        [
            (round(s.from_s * 1000), round(s.to_s * 1000), said(i, s.text))
            for i, s in enumerate(view.sentences)
        ]
    )
