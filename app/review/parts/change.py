"""What a change of a review is: frozen data that turns one state into the next."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import fields, replace
from enum import Enum
from typing import TYPE_CHECKING, Any, ClassVar, Final, Literal, TypeVar

from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


class Keep(Enum):
    """Stands for "leave as it is" where None means something of its own."""

    KEEP = "keep"


KEEP: Final = Keep.KEEP
Kept = Literal[Keep.KEEP]
T = TypeVar("T", bound=Any)


class Change(ABC):
    """One change of a review.

    Attributes
    ----------
    label : what the Undo menu calls it: "Undo: add note"
    is_work : a coach's judgement went into it, so the review is a draft no longer
    """

    label: ClassVar[str] = ""
    is_work: ClassVar[bool] = True

    @abstractmethod
    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state after the change; raises ReviewError when it cannot be made."""

    def merges_with(self, previous: Change) -> bool:
        """Whether one undo should take back this change together with the one before."""
        return False

    def goes_on_from(self, previous: Change, *same: str) -> bool:
        """Whether both belong to one gesture, and say the same in fields of these names."""
        if type(previous) is not type(self) or not getattr(self, "gesture", ""):
            return False
        return all(getattr(self, n) == getattr(previous, n) for n in ("gesture", *same))


def edited(old: T, change: Change) -> T:
    """What a change makes of something: it takes the fields of the same names that are not KEEP."""
    said = {f.name: getattr(change, f.name, KEEP) for f in fields(old)}
    new = {
        name: readable(value) if isinstance(value, str) else value
        for name, value in said.items()
        if value is not KEEP
    }
    return replace(old, **new)
