"""How a line-up was found, as data; a review stores it as a few words.

`Alignment.method` is text in every review file there is. It is taken apart here and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

_ASSUMED: Final = "assumed"
_BY_HAND: Final = "by hand"
_CHECKED: Final = ", checked by eye"


class Origin(Enum):
    """Who found a line-up."""

    ASSUMED = "assumed"  # nobody: both recordings are taken to start together
    BY_HAND = "by hand"
    FOUND = "found"  # from what picture, sound and force show, or known from elsewhere


@dataclass(frozen=True)
class LineUpMethod:
    """How a line-up was found.

    Attributes
    ----------
    words : as a person reads it, without what follows from the other fields
    is_checked : the coach looked and said that it is right
    """

    words: str = _ASSUMED
    is_checked: bool = False

    @classmethod
    def parse(cls, stored: str) -> LineUpMethod:
        """Take apart what a review stores."""
        return cls(stored.removesuffix(_CHECKED), stored.endswith(_CHECKED))

    @property
    def stored(self) -> str:
        """Give the words a review stores."""
        return self.words + (_CHECKED if self.is_checked else "")

    @property
    def origin(self) -> Origin:
        """Who found it."""
        if self.stored == _ASSUMED:
            return Origin.ASSUMED
        return Origin.BY_HAND if self.words.startswith(_BY_HAND) else Origin.FOUND

    def moved(self) -> LineUpMethod:
        """The method after a hand moved the line-up: not checked any more."""
        return LineUpMethod(_BY_HAND if self.words == _ASSUMED else self.words)

    def checked(self) -> LineUpMethod:
        """The method after the coach said that the line-up is right."""
        return replace(self.moved(), is_checked=True)

    def candidate(self, number: int, count: int) -> LineUpMethod:
        """The method of another candidate of the same search, counted from 1."""
        return LineUpMethod(f"{self.words}, candidate {number} of {count}")
