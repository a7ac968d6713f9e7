"""Which reviews are open in some window: a mark each window holds, and a crash gives back."""

from __future__ import annotations

import contextlib
import uuid
import weakref
from pathlib import Path
from typing import Final

from app.files import locks

_FOLDER: Final = "open"


class OpenMark:
    """A review that is open in this process, said to all of this user's.

    Parameters
    ----------
    data_folder : the user's; where nothing can be written or locked, nothing is said
    """

    def __init__(self, data_folder: Path, review_id: str) -> None:
        folder = data_folder / _FOLDER
        lock = None
        with contextlib.suppress(OSError):
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            lock = locks.take(folder / f"{review_id}-{uuid.uuid4().hex[:8]}.lock")
        # Also of a review that was opened and never came into a window.
        self.release = weakref.finalize(self, lock.release if lock is not None else _nothing)


def is_open(data_folder: Path, review_id: str) -> bool:
    """Whether a review is open in any process; marks of those that crashed go."""
    found = False
    with contextlib.suppress(OSError):
        for path in (data_folder / _FOLDER).glob(f"{review_id}-*.lock"):
            lock = locks.take(path)
            found = found or lock is None
            if lock is not None:
                lock.release()
    return found


def _nothing() -> None:
    return None
