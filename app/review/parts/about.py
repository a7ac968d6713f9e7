"""What the review is called, whom it is about, and the identity that never changes."""

from __future__ import annotations

import hashlib
import re
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import Change
from app.review.values.part import Group, Part, Stored, Table, declare, ready
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class About:
    """What is said of the review as a whole.

    Attributes
    ----------
    title : what the coach calls the review
    athlete : whom it is about
    draft : True until a coach has worked on it; a draft's bundle says so on its first line
    review_id : 32 hexadecimal digits by which the review is known wherever its file lies; given
        when the file is made, "" before
    """

    title: str = ""
    athlete: str = ""
    draft: bool = False
    review_id: str = ""


META = Table("meta", {"key": "TEXT NOT NULL", "value": "TEXT NOT NULL"}, ("key",))


def new_review_id() -> str:
    """Return an identity no other review has."""
    return uuid.uuid4().hex


def identity(said: str) -> str:
    """The identity a file tells; of words that are none one is made, always the same one.

    Earlier versions lie in a folder of that name, and a review without one would have none.
    """
    if not said or re.fullmatch("[0-9a-f]{32}", said):
        return said
    return hashlib.sha256(said.encode("utf-8", "replace")).hexdigest()[:32]


def _groups(state: About) -> Iterable[Group]:
    said = {
        "title": state.title,
        "athlete": state.athlete,
        "draft": "1" if state.draft else "0",
        "review_id": state.review_id,
    }
    for key, value in said.items():
        yield ready(key, value, (META, META.row(key=key, value=value)))


def _read(stored: Stored) -> Mapping[str, Any]:
    said = dict(stored.each(META, lambda c: (c.text("key"), c.text("value"))))
    return {
        "title": said.get("title", ""),
        "athlete": said.get("athlete", ""),
        "draft": said.get("draft") == "1",
        "review_id": identity(said.get("review_id", "")),
    }


PART = declare(Part(About, (META,), _groups, _read))


@dataclass(frozen=True)
class SetAthlete(Change):
    """Name the athlete and the review."""

    name: str
    title: str
    label: ClassVar[str] = "name the review"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with those names."""
        return replace(state, athlete=readable(self.name), title=readable(self.title))

    def merges_with(self, previous: Change) -> bool:
        """Typing a name is one undo step."""
        return isinstance(previous, SetAthlete)
