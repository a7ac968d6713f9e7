"""Files that are whole or not there."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

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
    try:
        handle, name = tempfile.mkstemp(
            prefix=f".{target.stem[:40]}-", suffix=target.suffix, dir=target.parent
        )
    except OSError as error:
        raise MediaError(f"{target.name} cannot be written: {_reason(error)}.") from None
    os.close(handle)
    temporary = Path(name)
    try:
        yield temporary
        temporary.chmod(0o644)
        temporary.replace(target)
    except OSError as error:
        raise MediaError(f"{target.name} was not written: {_reason(error)}.") from None
    finally:
        temporary.unlink(missing_ok=True)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
