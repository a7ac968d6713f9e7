"""What the athlete sent back, as the review keeps it."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Rows, Stored, Table, declare, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


GOT, NOT_YET, HURTS = "got", "not_yet", "hurts"
HOWS: Final = (HURTS, NOT_YET, GOT)  # what a coach must see first stands first
HURTS_IN_THEM: Final = "The athlete says in them that it hurts: please read them soon."


@dataclass(frozen=True)
class Tick:
    """How it went with the cue of a note.

    Attributes
    ----------
    done : the athlete got it, or ticked it off on a page of an earlier version
    how : one of `HOWS`; "" where nothing was chosen, or by a page of an earlier version
    words : the athlete's own on this cue
    """

    note_id: str
    done: bool
    how: str = ""
    words: str = ""


def hurts(answers: AthleteAnswers) -> bool:
    """Whether the athlete said of any cue that it hurts."""
    return any(tick.how == HURTS for tick in answers.ticks)


def first_things_first(ticks: Sequence[Tick]) -> tuple[Tick, ...]:
    """Ticks with what hurts before what is not there yet, and both before the others."""
    place = {how: i for i, how in enumerate((HURTS, NOT_YET))}
    return tuple(sorted(ticks, key=lambda tick: place.get(tick.how, len(place))))


@dataclass(frozen=True)
class SelfTest:
    """What the athlete answered to one question of the page."""

    id: str
    answer: str


@dataclass(frozen=True)
class AthleteAnswers:
    """One file of answers.

    Attributes
    ----------
    bundle : mark of the bundle they belong to by their own word, 16 hexadecimal digits
    ticks : one a note, in the file's order
    id : 32 hexadecimal digits of its own, "" while it is not in a review
    received : when it was taken in, ISO 8601 in UTC
    """

    bundle: str
    ticks: tuple[Tick, ...] = ()
    comment: str = ""
    self_test: tuple[SelfTest, ...] = ()
    id: str = ""
    received: str = ""


def check_answers(answers: Sequence[AthleteAnswers]) -> None:
    """Refuse answers no file can hold; raises ReviewError."""
    if len({a.id for a in answers}) != len(answers):
        raise ReviewError("Two files of answers share one id.")
    for a in answers:
        if len({t.note_id for t in a.ticks}) != len(a.ticks):
            raise ReviewError("One file of answers ticks a note twice.")
        if any(t.how not in ("", *HOWS) for t in a.ticks):
            raise ReviewError("There is no such answer to a cue.")
        if len({t.id for t in a.self_test}) != len(a.self_test):
            raise ReviewError("One file of answers answers a question twice.")


@dataclass(frozen=True)
class Answers:
    """What the athlete sent back, in the order it came."""

    answers: tuple[AthleteAnswers, ...] = ()


ANSWERS = Table(
    "answers",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "received": "TEXT NOT NULL",
        "bundle": "TEXT NOT NULL",
        "comment": "TEXT NOT NULL",
    },
    ("id",),
    words=("file of answers", "files of answers"),
)
TICK = Table(
    "answer_tick",
    {
        "answers_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "note_id": "TEXT NOT NULL",
        "done": "INTEGER NOT NULL CHECK (done IN (0, 1))",
    },
    ("answers_id", "place"),
    words=("tick of the athlete", "ticks of the athlete"),
    counted=False,
)
HOW = Table(
    "answer_how",
    {
        "answers_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "how": "TEXT NOT NULL CHECK (how IN ('', 'got', 'not_yet', 'hurts'))",
        "words": "TEXT NOT NULL",
    },
    ("answers_id", "place"),
    words=("answer to a cue", "answers to cues"),
    counted=False,
    late=True,
)
TEST = Table(
    "answer_test",
    {
        "answers_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "item": "TEXT NOT NULL",
        "answer": "TEXT NOT NULL",
    },
    ("answers_id", "place"),
    words=("answer to the self-test", "answers to the self-test"),
    counted=False,
)


def _groups(state: Answers) -> Iterable[Group]:
    for i, said in enumerate(state.answers):
        yield Group(said.id, said, lambda said=said, i=i: _rows(said, i), i)  # type: ignore[misc]


def _rows(said: AthleteAnswers, place: int) -> Rows:
    ticks = [(TICK, TICK.row(t, answers_id=said.id, place=i)) for i, t in enumerate(said.ticks)]
    hows = [
        (HOW, HOW.row(t, answers_id=said.id, place=i))
        for i, t in enumerate(said.ticks)
        if t.how or t.words
    ]
    tests = [
        (TEST, TEST.row(t, answers_id=said.id, place=i, item=t.id))
        for i, t in enumerate(said.self_test)
    ]
    return [(ANSWERS, ANSWERS.row(said, place=place)), *ticks, *hows, *tests]


def _tick(c: Cells, hows: Mapping[tuple[str, int], tuple[str, str]]) -> Tick:
    how = hows.get((c.text("answers_id"), c.count("place")), ("", ""))
    return Tick(c.text("note_id"), c.flag("done"), *how)


def _read(stored: Stored) -> Mapping[str, Any]:
    hows = {
        (id_, place): (how, words)
        for id_, place, how, words in stored.each(
            HOW,
            lambda c: (c.text("answers_id"), c.count("place"), c.text("how"), c.text("words")),
        )
    }
    ticks = stored.by(TICK, "answers_id", lambda c: _tick(c, hows))
    tests = stored.by(TEST, "answers_id", lambda c: SelfTest(c.text("item"), c.text("answer")))

    def made(c: Cells) -> AthleteAnswers:
        id_ = c.text("id")
        return AthleteAnswers(
            c.text("bundle"),
            tuple(ticks[id_]),
            c.text("comment"),
            tuple(tests[id_]),
            id_,
            c.text("received"),
        )

    answers = stored.each(ANSWERS, made)
    return {"answers": unique(answers, lambda a: a.id, "files of answers", stored.lenient)}


def _check(state: Answers) -> None:
    check_answers(state.answers)


PART = declare(Part(Answers, (ANSWERS, TICK, HOW, TEST), _groups, _read, _check))


def received_now(answers: AthleteAnswers) -> AthleteAnswers:
    """Answers with an id of their own and the time of this moment."""
    now = datetime.now(UTC).isoformat(timespec="milliseconds")
    return replace(answers, id=uuid.uuid4().hex, received=now)


@dataclass(frozen=True)
class AddAnswers(Change):
    """Keep what an athlete answered (see `received_now`)."""

    answers: AthleteAnswers
    label: ClassVar[str] = "add answers"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the answers after those that came before."""
        if any(same_content(self.answers, old) for old in state.answers):
            raise ReviewError("These answers are in the review already; nothing was changed.")
        return replace(state, answers=(*state.answers, self.answers))


@dataclass(frozen=True)
class RemoveAnswers(Change):
    """Take one file of answers away."""

    answers_id: str
    label: ClassVar[str] = "remove answers"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without them."""
        rest = tuple(a for a in state.answers if a.id != self.answers_id)
        if len(rest) == len(state.answers):
            raise ReviewError("Those answers are no longer in the review; nothing was changed.")
        return replace(state, answers=rest)


def same_content(a: AthleteAnswers, b: AthleteAnswers) -> bool:
    """Whether two are one file taken in twice."""
    return replace(a, id="", received="") == replace(b, id="", received="")
