"""What is sent of a review, in which order, with which words around it, and how large."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final, Literal

from app.review.parts.change import KEEP, Change, Kept
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.comparisons import Comparison
    from app.review.parts.notes import Note
    from app.review.parts.self_test import SelfTest
    from app.review.parts.state import ReviewState
    from app.review.parts.walkthroughs import Walkthrough

# From the smallest to the largest, named by what they are for; see app/bundle/pictures/quality.py.
QUALITIES: Final = ("mail", "standard", "full")
LONGEST_TEXT: Final = 10_000
SELF_TEST: Final = "self-test"  # its name in `left_out`; there is one at most
LAST_TIME: Final = "last-time"  # likewise: this time against last time
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})?")


@dataclass(frozen=True)
class SendingPlan:
    """How a review becomes a bundle.

    Attributes
    ----------
    notes : ids of the notes that are sent, in their order; empty sends all in the usual order
    opening : what the page says first, in the coach's words
    next_session : what to do and to film until next time, in the coach's words
    language : of the fixed wording, such as "en"
    quality : one of `QUALITIES`
    coach : name of the coach as the page shows it
    logo_id : of a picture kept in the review file, "" for none
    include_originals : the recordings themselves go along
    consent : whether the athlete agreed to being filmed and to the footage being sent; None while
        nobody asked
    minor : the athlete is under age
    left_out : ids of comparisons and walkthroughs that are not sent, `SELF_TEST` and `LAST_TIME`;
        what is not named goes along, also what is made later
    skeleton : the followed body is drawn over clips, stills, strips, comparisons and
        walkthroughs
    unread_words : words of voices that the coach did not accept go along, marked as a program's
    own_language : of the coach's own words, such as "de"; "" where nobody said
    second_view : what the second cameras show of the notes' moments goes along
    """

    notes: tuple[str, ...] = ()
    opening: str = ""
    next_session: str = ""
    language: str = "en"
    quality: str = "standard"
    coach: str = ""
    logo_id: str = ""
    include_originals: bool = False
    consent: bool | None = None
    minor: bool = False
    left_out: tuple[str, ...] = ()
    skeleton: bool = False
    unread_words: bool = False
    own_language: str = ""
    second_view: bool = True


def check_sending(plan: SendingPlan) -> None:
    """Refuse a plan no review can hold.

    Raises
    ------
    ReviewError
        One note or part twice, an unknown quality, no language, or a text without end.
    """
    if len(set(plan.notes)) != len(plan.notes):
        raise ReviewError("A note can be sent once only.")
    if len(set(plan.left_out)) != len(plan.left_out):
        raise ReviewError("A part of the bundle can be left out once only.")
    if plan.quality not in QUALITIES:
        raise ReviewError(f"Clips have one of the qualities {', '.join(QUALITIES)}.")
    if not is_language(plan.language) or (plan.own_language and not is_language(plan.own_language)):
        raise ReviewError("A language has a short name, such as en.")
    if max(len(plan.opening), len(plan.next_session), len(plan.coach)) > LONGEST_TEXT:
        raise ReviewError(f"A text that is sent can have up to {LONGEST_TEXT} characters.")


def is_language(name: str) -> bool:
    """Whether a text has the form of a language's short name, as en or pt-BR."""
    return _LANGUAGE.fullmatch(name) is not None


def sent_notes(plan: SendingPlan, notes: Sequence[Note]) -> tuple[Note, ...] | None:
    """Return the notes that were picked, in their order; None where nothing was picked.

    A note deleted since is left out; one written since is not sent, for nobody picked it.
    """
    if not plan.notes:
        return None
    by_id = {note.id: note for note in notes}
    return tuple(by_id[id_] for id_ in plan.notes if id_ in by_id)


def sent_comparisons(state: ReviewState) -> tuple[Comparison, ...]:
    """Return the comparisons that are sent, in the order they were made."""
    return tuple(c for c in state.comparisons if c.id not in state.sending.left_out)


def sent_walkthroughs(state: ReviewState) -> tuple[Walkthrough, ...]:
    """Return the walkthroughs that are sent, in the order they were recorded."""
    return tuple(w for w in state.walkthroughs if w.id not in state.sending.left_out)


def sent_self_test(state: ReviewState) -> SelfTest | None:
    """Return the self-test, None where there is none or it is not sent."""
    return None if SELF_TEST in state.sending.left_out else state.self_test


@dataclass(frozen=True)
class Sending:
    """How the review is sent."""

    sending: SendingPlan = field(default_factory=SendingPlan)


SENDING = Table(
    "sending",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "opening": "TEXT NOT NULL",
        "next_session": "TEXT NOT NULL",
        "language": "TEXT NOT NULL",
        "quality": "TEXT NOT NULL",
        "coach": "TEXT NOT NULL",
        "logo_id": "TEXT NOT NULL",
        "include_originals": "INTEGER NOT NULL CHECK (include_originals IN (0, 1))",
        "consent": "INTEGER CHECK (consent IN (0, 1))",
        "minor": "INTEGER NOT NULL CHECK (minor IN (0, 1))",
        "skeleton": "INTEGER NOT NULL CHECK (skeleton IN (0, 1))",
        "unread_words": "INTEGER NOT NULL CHECK (unread_words IN (0, 1))",
        "own_language": "TEXT NOT NULL",
        "second_view": "INTEGER NOT NULL CHECK (second_view IN (0, 1))",
    },
    ("id",),
    asset="logo_id",
    added={"skeleton": 0, "unread_words": 0, "own_language": "", "second_view": 1},
    words=("plan of what is sent", "plans of what is sent"),
    counted=False,
)
PICKED = Table(
    "sending_note",
    {"place": "INTEGER NOT NULL", "note_id": "TEXT NOT NULL"},
    ("place",),
    words=("note picked to be sent", "notes picked to be sent"),
    counted=False,
)
LEFT_OUT = Table(
    "sending_left_out",
    {"place": "INTEGER NOT NULL", "part_id": "TEXT NOT NULL"},
    ("place",),
    words=("part left out of what is sent", "parts left out of what is sent"),
    counted=False,
)


def _groups(state: Sending) -> Iterable[Group]:
    plan = state.sending
    notes = [(PICKED, PICKED.row(place=i, note_id=id_)) for i, id_ in enumerate(plan.notes)]
    out = [(LEFT_OUT, LEFT_OUT.row(place=i, part_id=id_)) for i, id_ in enumerate(plan.left_out)]
    yield ready("sending", plan, (SENDING, SENDING.row(plan, id=1)), *notes, *out)


def _read(stored: Stored) -> Mapping[str, Any]:
    notes = tuple(dict.fromkeys(stored.each(PICKED, lambda c: c.text("note_id"))))
    left_out = tuple(dict.fromkeys(stored.each(LEFT_OUT, lambda c: c.text("part_id"))))
    usual = SendingPlan(notes=notes, left_out=left_out)
    return {"sending": stored.one(SENDING, lambda c: _plan(c, notes, left_out), usual)}


def _plan(c: Cells, notes: tuple[str, ...], left_out: tuple[str, ...]) -> SendingPlan:
    plan = SendingPlan(
        notes,
        c.text("opening"),
        c.text("next_session"),
        c.text("language"),
        c.text("quality"),
        c.text("coach"),
        c.text("logo_id"),
        c.flag("include_originals"),
        c.flag_or_none("consent"),
        c.flag("minor"),
        left_out,
        c.flag("skeleton") if c.has("skeleton") else False,
        c.flag("unread_words") if c.has("unread_words") else False,
        c.text("own_language") if c.has("own_language") else "",
        c.flag("second_view") if c.has("second_view") else True,
    )
    check_sending(plan)
    return plan


def _check(state: Sending) -> None:
    check_sending(state.sending)


PART = declare(Part(Sending, (SENDING, PICKED, LEFT_OUT), _groups, _read, _check))


@dataclass(frozen=True)
class PickNotes(Change):
    """Send these notes in this order; none named sends all in the usual order."""

    notes: tuple[str, ...]
    label: ClassVar[str] = "pick notes to send"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that pick."""
        return replace(state, sending=replace(state.sending, notes=tuple(self.notes)))


@dataclass(frozen=True)
class LeaveOut(Change):
    """Do not send a comparison, a walkthrough or the self-test, or send it again."""

    part_id: str
    out: bool
    label: ClassVar[str] = "pick what is sent"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that part left out, or with it."""
        others = tuple(i for i in state.sending.left_out if i != self.part_id)
        left_out = (*others, self.part_id) if self.out else others
        return replace(state, sending=replace(state.sending, left_out=left_out))


@dataclass(frozen=True)
class WriteWords(Change):
    """Write the opening or the text on the next session. Typing in one is one undo step."""

    place: Literal["opening", "next_session"]
    text: str
    label: ClassVar[str] = "words around the notes"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that text."""
        text = readable(self.text)[:LONGEST_TEXT]
        old = state.sending
        new = (
            replace(old, opening=text)
            if self.place == "opening"
            else replace(old, next_session=text)
        )
        return replace(state, sending=new)

    def merges_with(self, previous: Change) -> bool:
        """Merge typing in one text."""
        return isinstance(previous, WriteWords) and previous.place == self.place


@dataclass(frozen=True)
class SetSending(Change):
    """Change how the bundle is sent; what is KEEP stays."""

    language: str | Kept = KEEP
    quality: str | Kept = KEEP
    coach: str | Kept = KEEP
    logo_id: str | Kept = KEEP
    include_originals: bool | Kept = KEEP
    consent: bool | Kept | None = KEEP
    minor: bool | Kept = KEEP
    skeleton: bool | Kept = KEEP
    unread_words: bool | Kept = KEEP
    own_language: str | Kept = KEEP
    second_view: bool | Kept = KEEP
    label: ClassVar[str] = "how the bundle is sent"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with those settings."""
        old = state.sending
        new = replace(
            old,
            language=old.language if self.language is KEEP else self.language,
            quality=old.quality if self.quality is KEEP else self.quality,
            coach=old.coach if self.coach is KEEP else readable(self.coach)[:LONGEST_TEXT],
            logo_id=old.logo_id if self.logo_id is KEEP else self.logo_id,
            include_originals=(
                old.include_originals if self.include_originals is KEEP else self.include_originals
            ),
            consent=old.consent if self.consent is KEEP else self.consent,
            minor=old.minor if self.minor is KEEP else self.minor,
            skeleton=old.skeleton if self.skeleton is KEEP else self.skeleton,
            unread_words=old.unread_words if self.unread_words is KEEP else self.unread_words,
            own_language=old.own_language if self.own_language is KEEP else self.own_language,
            second_view=old.second_view if self.second_view is KEEP else self.second_view,
        )
        return replace(state, sending=new)

    def merges_with(self, previous: Change) -> bool:
        """Typing the coach's name is one undo step."""
        return (
            isinstance(previous, SetSending)
            and self == SetSending(coach=self.coach)
            and previous == SetSending(coach=previous.coach)
        )
