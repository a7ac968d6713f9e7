"""What a child process is asked to do in the tests of working aside."""

from __future__ import annotations

import os
import sys
import weakref
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.window.tasks.process_pool import ProcessPool
from tests.helpers.patience import HANGS_S

Progress = Callable[[float, str], None]


class _Owner:
    """Has a temporary file that goes with it."""

    def __init__(self, path: Path) -> None:
        path.write_bytes(b"temporary")
        self.removal = weakref.finalize(self, path.unlink, missing_ok=True)


def doubled(values: NDArray[np.float64], progress: Progress) -> tuple[NDArray[np.float64], int]:
    """Twice the values, and the number of the process that did it; prints, as libraries may."""
    sys.stdout.write("a word where the answers go\n")
    sys.stdout.flush()
    progress(1.0, "")
    return 2 * values, os.getpid()


def refuse(sentence: str, progress: Progress) -> None:
    """Blame the input."""
    raise MediaError(sentence)


def divide(number: int, progress: Progress) -> float:
    """Fail by a fault."""
    return number / 0


def forever(temporary: Path, progress: Progress) -> None:
    """Work without end, with a temporary file, which a busy machine may take long to remove."""
    setattr(sys.modules["__main__"], "_TIDY_S", HANGS_S)  # noqa: B010 - of the child's program
    owner = _Owner(temporary)
    progress(0.0, "")
    while owner.removal.alive:
        sum(range(1000))


def die(progress: Progress) -> None:
    """End as the system ends what takes too much."""
    os._exit(9)


def main() -> None:
    """Have a child work without end and tell its number."""
    aside = ProcessPool()

    def begun(share: float, text: str) -> None:
        sys.stdout.write(f"{aside.children[0]}\n")
        sys.stdout.flush()

    aside.call("tests.helpers.aside_work:forever", (Path(sys.argv[1]),), begun, lambda: False)


if __name__ == "__main__":
    main()
