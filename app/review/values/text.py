"""Text that any program can hold, no screen is steered by, and no sentence is spoilt by.

============================ ========================================================
`readable`                   what somebody typed or pasted, before it becomes part of a review
`without_controls`           what a file holds, before it becomes part of a review
`clean_text`                 lines from anywhere, before a terminal or a message shows them
`clean_name`                 a name from anywhere, whole, for one line of a message
`plain`                      a name from anywhere, shortened, for the middle of a sentence
============================ ========================================================
"""

from __future__ import annotations

import re
from typing import Final

# Control characters of ASCII, DEL and the C1 range, but not tab and newline: a terminal takes some
# for orders.
_CONTROL_CODES: Final = "\x00-\x08\x0b-\x1f\x7f-\x9f"
# What turns the direction of writing, or breaks a line without looking so.
_TURNING_CODES: Final = "\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff"
_CONTROLS: Final = re.compile(f"[{_CONTROL_CODES}]")
_UNSEEN: Final = re.compile(f"[{_CONTROL_CODES}{_TURNING_CODES}]")
_UNSEEN_OR_BREAK: Final = re.compile(f"[{_CONTROL_CODES}{_TURNING_CODES}\t\n]")
_HALF: Final = re.compile("[\ud800-\udfff]")


def readable(text: str) -> str:
    """Text that any program can read: no half characters, no control characters.

    A clipboard can hold half of a surrogate pair, which no encoding can write. Losing that one
    character is better than losing the note.
    """
    whole = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return without_controls(whole)


def without_controls(text: str) -> str:
    """The text without control characters; line ends of all kinds become newlines."""
    return _CONTROLS.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))


def clean_text(text: str) -> str:
    """Take out what steers a terminal or turns the direction of writing; lines stay lines."""
    return _HALF.sub("\ufffd", _UNSEEN.sub("", text))


def clean_name(name: str) -> str:
    """Return a name for one line of a message; an empty one is said to be so."""
    return _HALF.sub("\ufffd", _UNSEEN_OR_BREAK.sub("", name)) or "(a name nobody can read)"


def plain(text: str, most: int = 60) -> str:
    """Return a name without control, escape and direction characters, cut to a length.

    Parameters
    ----------
    most : characters kept; a longer name ends in an ellipsis
    """
    # Twice the length first, so that a name of megabytes costs nothing.
    kept = "".join(c for c in text[: 2 * most] if c.isprintable())
    return kept if len(kept) <= most and len(text) <= 2 * most else kept[:most] + "…"
