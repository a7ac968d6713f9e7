"""What the coach said, as words: a draft a program wrote beside the voice, until the coach read it.

The words belong to a sound, of a note's voice or a walkthrough, and stand on the sound's own clock,
so that trimming and cutting move nothing. They go with their sound, and come back with it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

MOST_WORDS: Final = 20_000  # an hour of speech without a breath is half of that
LONGEST_S: Final = 86_400.0
_FLAG: Final = "INTEGER NOT NULL CHECK ({0} IN (0, 1))"


@dataclass(frozen=True)
class SpokenWord:
    """One word of a voice.

    Attributes
    ----------
    text : without a space, its punctuation with it
    from_s, to_s : when it is said, seconds into the recording
    heard : what was heard there before the trade's words put it right, "" where nothing was changed
    """

    text: str
    from_s: float
    to_s: float
    heard: str = ""


@dataclass(frozen=True)
class SpokenText:
    """The words of one voice.

    Attributes
    ----------
    sound_id : of the recording
    words : in the order they are said; none where the coach wants none
    language : they are in, such as "en"
    accepted : the coach read them and lets them stand
    by_program : a program wrote them down; what the coach corrected stays of that origin
    """

    sound_id: str
    words: tuple[SpokenWord, ...]
    language: str = "en"
    accepted: bool = False
    by_program: bool = True

    @property
    def text(self) -> str:
        """All words in one line."""
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True)
class SpokenWords:
    """The words of the review's voices."""

    spoken: tuple[SpokenText, ...] = ()


SPOKEN = Table(
    "spoken_text",
    {
        "sound_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "language": "TEXT NOT NULL",
        "accepted": _FLAG.format("accepted"),
        "by_program": _FLAG.format("by_program"),
        "times": "TEXT NOT NULL",
        "text": "TEXT NOT NULL",
    },
    ("sound_id",),
    words=("voice in words", "voices in words"),
    late=True,
)


def sounds_of(state: ReviewState) -> frozenset[str]:
    """Ids of the sounds that are in the review: voices of notes, and of walkthroughs."""
    of_notes = (note.voice.id for note in state.notes if note.voice is not None)
    return frozenset((*of_notes, *(w.sound_id for w in state.walkthroughs if w.sound_id)))


def spoken_of(state: ReviewState, sound_id: str) -> SpokenText | None:
    """The words of a sound; None where nobody wrote them down."""
    return next((s for s in state.spoken if s.sound_id == sound_id), None)


def without_lost_words(state: ReviewState) -> ReviewState:
    """The state without words whose voice is gone: what was said goes with it, also in the file."""
    alive = sounds_of(state)
    if all(s.sound_id in alive for s in state.spoken):
        return state
    return replace(state, spoken=tuple(s for s in state.spoken if s.sound_id in alive))


def _groups(state: SpokenWords) -> Iterable[Group]:
    for i, spoken in enumerate(state.spoken):
        times = json.dumps([_cell(word) for word in spoken.words], separators=(",", ":"))
        row = SPOKEN.row(
            spoken, place=i, accepted=int(spoken.accepted), by_program=int(spoken.by_program),
            times=times,
        )  # fmt: skip
        yield ready(spoken.sound_id, spoken, (SPOKEN, row), place=i)


def _cell(word: SpokenWord) -> list[Any]:
    return [word.from_s, word.to_s, *([word.heard] if word.heard else [])]


def _read(stored: Stored) -> Mapping[str, Any]:
    texts = stored.each(SPOKEN, _spoken, check_spoken)
    return {"spoken": unique(texts, lambda s: s.sound_id, "voices in words", stored.lenient)}


def _spoken(c: Cells) -> SpokenText:
    said, times = c.text("text").split(), json.loads(c.text("times"))
    if not isinstance(times, list) or len(times) != len(said):
        raise ReviewError("The words of a voice and their times are not as many.")
    words = tuple(_word(text, cell) for text, cell in zip(said, times, strict=True))
    return SpokenText(
        c.text("sound_id"), words, c.text("language"), c.flag("accepted"), c.flag("by_program")
    )


def _word(text: str, cell: Any) -> SpokenWord:
    from_s, to_s, *heard = cell
    if heard and not isinstance(heard[0], str):
        raise ReviewError("What was heard of a word is no text.")
    return SpokenWord(text, float(from_s), float(to_s), readable(heard[0]) if heard else "")


def _check(state: SpokenWords) -> None:
    unique(state.spoken, lambda s: s.sound_id, "voices in words", lenient=False)
    for spoken in state.spoken:
        check_spoken(spoken)


def check_spoken(spoken: SpokenText) -> None:
    """Refuse words that could not be read with their voice.

    Raises
    ------
    ReviewError
        Too many, a word with a space or without a letter, or times that run backwards.
    """
    if len(spoken.words) > MOST_WORDS:
        raise ReviewError("A voice has more words than a review can keep.")
    last_s = 0.0
    for word in spoken.words:
        if word.text.split() != [word.text]:
            raise ReviewError("A spoken word is one word.")
        if not last_s <= word.from_s <= word.to_s <= LONGEST_S:
            raise ReviewError("Spoken words follow each other in time.")
        last_s = word.from_s


PART = declare(Part(SpokenWords, (SPOKEN,), _groups, _read, _check))


def _with(state: ReviewState, new: SpokenText) -> ReviewState:
    others = tuple(s for s in state.spoken if s.sound_id != new.sound_id)
    return replace(state, spoken=(*others, new))


def _of(state: ReviewState, sound_id: str) -> SpokenText:
    spoken = spoken_of(state, sound_id)
    if spoken is None:
        raise ReviewError("That voice has no words; nothing was changed.")
    return spoken


@dataclass(frozen=True)
class WriteDown(Change):
    """Lay the draft a program wrote beside its voice, in place of an earlier one."""

    spoken: SpokenText
    label: ClassVar[str] = "write the voice down"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the draft; raises ReviewError where its voice is gone."""
        if self.spoken.sound_id not in sounds_of(state):
            raise ReviewError("That voice is no longer in the review.")
        return _with(state, self.spoken)

    def merges_with(self, previous: Change) -> bool:
        """What was spoken last and its words are one step: undo takes back what the coach did."""
        from app.review.parts.notes import AddVoiceNote, SetVoice
        from app.review.parts.walkthroughs import AddWalkthrough

        sound = self.spoken.sound_id
        if isinstance(previous, AddVoiceNote):
            return previous.note.voice is not None and previous.note.voice.id == sound
        if isinstance(previous, SetVoice):
            return previous.voice is not None and previous.voice.id == sound
        return isinstance(previous, AddWalkthrough) and previous.walk.sound_id == sound


@dataclass(frozen=True)
class CorrectWords(Change):
    """Put the words of a voice right; those that stay keep their moments. Typing is one step."""

    sound_id: str
    text: str
    label: ClassVar[str] = "correct the words"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with those words."""
        from app.review.parts.word_times import corrected

        old = _of(state, self.sound_id)
        return _with(state, replace(old, words=corrected(old.words, readable(self.text))))

    def merges_with(self, previous: Change) -> bool:
        """Typing in one voice's words is one undo step."""
        return isinstance(previous, CorrectWords) and previous.sound_id == self.sound_id


@dataclass(frozen=True)
class AcceptWords(Change):
    """Let the words of a voice stand as the coach's own, or make them a draft again."""

    sound_id: str
    accepted: bool = True
    label: ClassVar[str] = "accept the words"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the words accepted, or not."""
        return _with(state, replace(_of(state, self.sound_id), accepted=self.accepted))


@dataclass(frozen=True)
class RemoveWords(Change):
    """Take the words from a voice; the voice stays, and nobody writes it down again unasked."""

    sound_id: str
    label: ClassVar[str] = "remove the words"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without those words."""
        return _with(state, replace(_of(state, self.sound_id), words=(), accepted=False))
