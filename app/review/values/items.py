"""Things of a review that have an id: one found, one put in its place, one taken away."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, TypeVar

from app.review.values.errors import ReviewError


class Item(Protocol):
    """Something with an id."""

    @property
    def id(self) -> str:
        """Never changes."""


T = TypeVar("T", bound=Item)


def found(items: Iterable[T], item_id: str, gone: str) -> T:
    """Return the one with an id; where there is none, raises ReviewError that says `gone`."""
    for item in items:
        if item.id == item_id:
            return item
    raise ReviewError(f"{gone}; nothing was changed.")


def put(items: Iterable[T], new: T) -> tuple[T, ...]:
    """The items with one changed, in its place among the others."""
    return tuple(new if item.id == new.id else item for item in items)


def without(items: Iterable[T], gone: T) -> tuple[T, ...]:
    """The items but one."""
    return tuple(item for item in items if item.id != gone.id)
