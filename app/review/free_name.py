"""A name in a folder that nobody has yet."""

from __future__ import annotations

import itertools
import os
from pathlib import Path


def free_name(path: Path, words: str) -> Path:
    """Give a name beside a file, such as "piece (changed elsewhere 2).review".

    Parameters
    ----------
    words : stand in the brackets
    """
    for count in itertools.count(1):
        again = f" {count}" if count > 1 else ""
        free = path.with_name(f"{path.stem[:80]} ({words}{again}){path.suffix or '.review'}")
        if not os.path.lexists(free):
            break
    return free
