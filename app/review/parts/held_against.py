"""Which earlier review of the athlete this one is held against."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.about import identity
from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class HeldAgainst:
    """The earlier review the coach picked.

    Attributes
    ----------
    held_against : its identity; "" for the one that is proposed
    """

    held_against: str = ""


HELD_AGAINST = Table(
    "held_against",
    {"review_id": "TEXT NOT NULL"},
    ("review_id",),
    words=("earlier review this one is held against", "earlier reviews this one is held against"),
    counted=False,
    late=True,
)


def _groups(state: HeldAgainst) -> Iterable[Group]:
    if state.held_against:
        one = state.held_against
        yield ready(one, one, (HELD_AGAINST, (one,)))


def _read(stored: Stored) -> Mapping[str, Any]:
    found = unique(
        stored.each(HELD_AGAINST, _id, _check_one),
        lambda _id: "",
        "earlier reviews this one is held against",
        stored.lenient,
    )
    return {"held_against": found[0] if found else ""}


def _id(c: Cells) -> str:
    return c.text("review_id")


def _check_one(review_id: str) -> None:
    if not review_id or identity(review_id) != review_id:
        raise ReviewError("A review is held against one that has an identity.")


def _check(state: HeldAgainst) -> None:
    if state.held_against:
        _check_one(state.held_against)


PART = declare(Part(HeldAgainst, (HELD_AGAINST,), _groups, _read, _check))


@dataclass(frozen=True)
class HoldAgainst(Change):
    """Hold the review against an earlier one; "" for the one that is proposed."""

    review_id: str
    label: ClassVar[str] = "held against"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with it."""
        return replace(state, held_against=self.review_id)
