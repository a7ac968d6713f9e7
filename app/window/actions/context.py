"""What a feature asks for, by type."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


class ActionContext:
    """The parts of the window by their type: those of the window itself and those features offer.

    A feature asks for the parts of the rooms below it, and an action for the parts of its own
    feature; so nobody hands down, or can see, what nobody asks for.
    """

    def __init__(self) -> None:
        self._parts: dict[type, object] = {}

    def offer(self, *parts: object) -> None:
        """Let the parts be found by their types.

        Raises
        ------
        ValueError
            There is one of that type already.
        """
        for part in parts:
            if type(part) in self._parts:
                raise ValueError(f"There are two of {type(part).__name__}; one must do.")
            self._parts[type(part)] = part

    def offer_as(self, kind: type, part: object) -> None:
        """Let a part be found by a more general type."""
        self._parts[kind] = part

    def __getitem__(self, kind: type[T]) -> T:
        """Give the part of a type.

        Raises
        ------
        LookupError
            Nobody offers it.
        """
        part = self._parts.get(kind)
        if not isinstance(part, kind):
            raise LookupError(f"Nobody here offers {kind.__name__}.")
        return part

    def __contains__(self, kind: type) -> bool:
        return kind in self._parts
