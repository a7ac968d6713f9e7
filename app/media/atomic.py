"""Files of footage that are whole or not there, with a sentence where they cannot be."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from app.files import atomic
from app.media.errors import MediaError


@contextmanager
def replacing(target: str | Path) -> Iterator[Path]:
    """Give a temporary file beside `target` to write; it takes that name when the block ends well.

    Raises
    ------
    MediaError
        The folder cannot be written to, or the disk is full; nothing is left behind.
    """
    target = Path(target)
    verb = "cannot be"
    try:
        with atomic.replacing(target) as temporary:
            verb = "was not"
            yield temporary
    except OSError as error:
        raise MediaError(f"{target.name} {verb} written: {_reason(error)}.") from None


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
