"""Text that may hold a name somebody else chose, as it can be shown in a message or a terminal."""

from __future__ import annotations

import re
from typing import Final

# Control codes of both tables, the codes that turn the direction of writing, and half characters,
# which no terminal can print. Line ends and tabs are left where a text has lines.
_CODES: Final = "\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff"
_UNSEEN: Final = re.compile(f"[{_CODES}]")
_UNSEEN_OR_BREAK: Final = re.compile(f"[{_CODES}\t\n]")
_HALF: Final = re.compile("[\ud800-\udfff]")


def clean_text(text: str) -> str:
    """Take out what steers a terminal or turns the direction of writing; lines stay lines."""
    return _HALF.sub("\ufffd", _UNSEEN.sub("", text))


def clean_name(name: str) -> str:
    """Return a name for one line of a message; an empty one is said to be so."""
    return _HALF.sub("\ufffd", _UNSEEN_OR_BREAK.sub("", name)) or "(a name nobody can read)"
