"""What the coach decided about findings, and the thresholds they are raised by."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import Change
from app.review.parts.notes import AddNote, Note
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class Decision:
    """What the coach decided about a finding. Nothing reaches an athlete that was not kept.

    Attributes
    ----------
    code : the finding's stable code
    kept : True when it became a note, False when it was dropped
    note_id : the note it became, "" when dropped
    """

    code: str
    kept: bool
    note_id: str = ""


@dataclass(frozen=True)
class Findings:
    """What was decided about findings.

    Attributes
    ----------
    decisions : one a code, in the order they were made
    thresholds : (name, value) of those the coach changed
    """

    decisions: tuple[Decision, ...] = ()
    thresholds: tuple[tuple[str, float], ...] = ()


DECISION = Table(
    "decision",
    {
        "code": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "kept": "INTEGER NOT NULL CHECK (kept IN (0, 1))",
        "note_id": "TEXT NOT NULL",
    },
    ("code",),
    words=("decision on a finding", "decisions on findings"),
)
THRESHOLD = Table(
    "threshold",
    {"name": "TEXT NOT NULL", "place": "INTEGER NOT NULL", "value": "REAL NOT NULL"},
    ("name",),
    words=("changed threshold", "changed thresholds"),
)


def _groups(state: Findings) -> Iterable[Group]:
    for i, d in enumerate(state.decisions):
        yield ready(f"decision {d.code}", d, (DECISION, DECISION.row(d, place=i)), place=i)
    for i, pair in enumerate(state.thresholds):
        row = THRESHOLD.row(name=pair[0], place=i, value=pair[1])
        yield ready(f"threshold {pair[0]}", pair, (THRESHOLD, row), place=i)


def _read(stored: Stored) -> Mapping[str, Any]:
    decisions = stored.each(DECISION, _decision)
    thresholds = stored.each(THRESHOLD, lambda c: (c.text("name"), c.number("value")))
    lenient = stored.lenient
    return {
        "decisions": unique(decisions, lambda d: d.code, "decisions", lenient),
        "thresholds": unique(thresholds, lambda t: t[0], "thresholds", lenient),
    }


def _decision(c: Cells) -> Decision:
    return Decision(c.text("code"), c.flag("kept"), c.text("note_id"))


def _check(state: Findings) -> None:
    if len({d.code for d in state.decisions}) != len(state.decisions):
        raise ReviewError("Two decisions speak of one finding.")
    if len({name for name, _value in state.thresholds}) != len(state.thresholds):
        raise ReviewError("One threshold has two values.")


PART = declare(Part(Findings, (DECISION, THRESHOLD), _groups, _read, _check))


@dataclass(frozen=True)
class KeepFinding(Change):
    """Keep a finding: its words become a note of the coach's own."""

    code: str
    note: Note
    label: ClassVar[str] = "keep finding"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the note and the decision."""
        state = AddNote(self.note).apply(_undecided(state, self.code))
        return _decided(state, Decision(self.code, True, self.note.id))


@dataclass(frozen=True)
class DropFinding(Change):
    """Drop a finding; a note it had become goes with it."""

    code: str
    label: ClassVar[str] = "drop finding"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the decision."""
        return _decided(_undecided(state, self.code), Decision(self.code, False))


@dataclass(frozen=True)
class ReopenFinding(Change):
    """Take a decision back; a note the finding had become goes with it."""

    code: str
    label: ClassVar[str] = "reopen finding"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with nothing decided about the finding."""
        return _undecided(state, self.code)


@dataclass(frozen=True)
class SetThreshold(Change):
    """Change one threshold of the findings, or give it its own value back with None."""

    name: str
    value: float | None
    label: ClassVar[str] = "change threshold"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that threshold."""
        rest = tuple((name, value) for name, value in state.thresholds if name != self.name)
        if self.value is None:
            return replace(state, thresholds=rest)
        return replace(state, thresholds=(*rest, (self.name, self.value)))

    def merges_with(self, previous: Change) -> bool:
        """Turning one knob is one undo step."""
        return isinstance(previous, SetThreshold) and previous.name == self.name


@dataclass(frozen=True)
class SetThresholds(Change):
    """Say all thresholds a review has of its own at once; none: it goes by those of all reviews."""

    thresholds: tuple[tuple[str, float], ...] = ()
    label: ClassVar[str] = "thresholds"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with these thresholds."""
        return replace(state, thresholds=self.thresholds)


def _decided(state: ReviewState, decision: Decision) -> ReviewState:
    return replace(state, decisions=(*state.decisions, decision))


def _undecided(state: ReviewState, code: str) -> ReviewState:
    gone = {d.note_id for d in state.decisions if d.code == code and d.note_id}
    return replace(
        state,
        decisions=tuple(d for d in state.decisions if d.code != code),
        notes=tuple(n for n in state.notes if n.id not in gone),
    )
