"""Names that nobody has yet."""

from __future__ import annotations

from pathlib import Path


def free_beside(path: Path, words: str) -> Path:
    """A name beside a file, made of its own and some words, that nobody has yet."""
    count = 1
    while True:
        again = f" {count}" if count > 1 else ""
        free = path.with_name(f"{path.stem} ({words}{again}){path.suffix}")
        if not free.exists():
            return free
        count += 1
