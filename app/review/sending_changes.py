"""Changes of what is sent."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from app.review.changes import KEEP, Change, Keep
from app.review.check import readable
from app.review.sending import LONGEST_TEXT
from app.review.state import ReviewState

_Kept = Literal[Keep.KEEP]


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

    language: str | _Kept = KEEP
    quality: str | _Kept = KEEP
    coach: str | _Kept = KEEP
    logo_id: str | _Kept = KEEP
    include_originals: bool | _Kept = KEEP
    consent: bool | _Kept | None = KEEP
    minor: bool | _Kept = KEEP
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
        )
        return replace(state, sending=new)

    def merges_with(self, previous: Change) -> bool:
        """Typing the coach's name is one undo step."""
        return (
            isinstance(previous, SetSending)
            and self == SetSending(coach=self.coach)
            and previous == SetSending(coach=previous.coach)
        )
