"""A small JSON file of this user: damaged or closed, it costs a question again, never work."""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from app.files import atomic

_LARGEST_BYTES = 16 << 20
# Jobs of one window write from several threads; between two programs the last one wins.
_WRITING = threading.Lock()


def read_json(path: Path) -> dict[str, Any]:
    """Return what a file holds; nothing where it is missing, damaged or no object."""
    with contextlib.suppress(OSError, ValueError, RecursionError):
        if path.stat().st_size <= _LARGEST_BYTES:
            loaded = json.loads(path.read_text("utf-8"))
            if isinstance(loaded, dict):
                return loaded
    return {}


def change_json(path: Path, change: Callable[[dict[str, Any]], None]) -> None:
    """Change what a file holds, whole or not at all; a disk that refuses is put up with."""
    with _WRITING, contextlib.suppress(OSError, UnicodeError):
        data = read_json(path)
        before = json.dumps(data)
        change(data)
        if json.dumps(data) == before:
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(path, json.dumps(data, indent=1).encode(), atomic.PRIVATE)


def section(data: dict[str, Any], key: str) -> dict[str, Any]:
    """Return an object within the data, a new one where there is none."""
    inner = data.get(key)
    if not isinstance(inner, dict):
        inner = data[key] = {}
    return inner


def keep_newest(entries: dict[str, Any], most: int) -> None:
    """Forget the entries made first where there are too many."""
    for key in list(entries)[: max(0, len(entries) - most)]:
        del entries[key]
