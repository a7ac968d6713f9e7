"""The mark by which a review file is told from any other, without opening it as a database."""

from __future__ import annotations

from pathlib import Path
from typing import Final

# "Strk" in ASCII: how any SQLite tool, and `file`, tells a review from another database.
APPLICATION_ID: Final = 0x5374726B
_SQLITE: Final = b"SQLite format 3\0"
_ID_AT: Final = 68  # where SQLite's header keeps application_id, four bytes


def has_mark(path: Path) -> bool:
    """Whether a file says of itself that it is a review; whether it is a whole one is not read."""
    try:
        with path.open("rb") as file:
            head = file.read(_ID_AT + 4)
    except OSError:
        return False
    return head.startswith(_SQLITE) and head[_ID_AT:] == APPLICATION_ID.to_bytes(4, "big")
