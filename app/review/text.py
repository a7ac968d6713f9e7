"""Text that any program can hold and no screen is steered by."""

from __future__ import annotations

import re

# Control characters of ASCII, DEL and the C1 range, but not tab and newline: a terminal takes some
# for orders.
_CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")


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
