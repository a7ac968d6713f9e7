"""Placeholders in the coach's own texts, filled from the review."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

_PLACEHOLDER = re.compile(r"\{([A-Za-z_]{1,30})\}")
# What can stand in braces, and what it becomes, for the coach.
PLACEHOLDERS: Mapping[str, str] = {
    "athlete": "the athlete's name",
    "title": "the title of the review",
    "coach": "your name",
    "notes": "how many notes are sent",
    "strokes": "how many whole strokes were measured",
    "rate": "mean stroke rate, strokes a minute",
    "peak": "mean peak force, N",
    "rhythm": "mean recovery time over drive time",
}


@dataclass(frozen=True)
class Filled:
    """A text with its placeholders filled.

    Attributes
    ----------
    text : those that could not be filled stand as they were typed
    unknown : names that are no placeholder
    empty : placeholders the review has nothing for
    """

    text: str
    unknown: tuple[str, ...] = ()
    empty: tuple[str, ...] = ()

    @property
    def hint(self) -> str:
        """One sentence for the coach, "" where all is well."""
        if self.unknown:
            known = ", ".join(f"{{{name}}}" for name in PLACEHOLDERS)
            return (
                f"Nothing is known by the name {_braced(self.unknown)}; it stays as you typed it. "
                f"There are {known}."
            )
        if self.empty:
            return (
                f"This review has nothing to fill {_braced(self.empty)} with; it stays as you "
                "typed it, so put your own words there."
            )
        return ""


def fill(text: str, values: Mapping[str, str]) -> Filled:
    """Fill the placeholders of a text; any other brace stays as it is.

    Parameters
    ----------
    values : by the names of `PLACEHOLDERS`, "" where there is nothing
    """
    unknown: dict[str, None] = {}
    empty: dict[str, None] = {}

    def value(match: re.Match[str]) -> str:
        name = match[1]
        if name not in PLACEHOLDERS:
            unknown[name] = None
        elif not values.get(name):
            empty[name] = None
        return values.get(name) or match[0]

    filled = _PLACEHOLDER.sub(value, text)
    return Filled(filled, tuple(unknown), tuple(empty))


def _braced(names: tuple[str, ...]) -> str:
    return ", ".join(f"{{{name}}}" for name in names)
