"""Clips made before, by what is in them: a second writing need not encode them again.

Disposable: anything in the folder may be deleted at any time. A clip is used only if it still has
the digest in its name.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import secrets
import shutil
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

LIMIT_BYTES = 400_000_000
# Footage of a person should not lie about for longer than it is of use.
_KEEP_S = 30 * 24 * 3600.0
_HEX = 32


def key_of(parts: Mapping[str, Any]) -> str:
    """Give a name to a clip by all that decides how it looks."""
    text = json.dumps(parts, sort_keys=True, default=str)
    return hashlib.sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:_HEX]


class ClipStore:
    """A bounded folder of clips; None for a folder keeps nothing."""

    def __init__(self, folder: Path | None, limit_bytes: int = LIMIT_BYTES) -> None:
        self._folder = folder
        self._limit = limit_bytes

    def fetch(self, key: str, out: Path) -> bool:
        """Copy a clip made before to `out`; False where there is none that is whole."""
        if self._folder is None:
            return False
        with contextlib.suppress(OSError):
            for found in self._folder.glob(f"{key}-*.mp4"):
                data = found.read_bytes()
                if _digest(data) != found.stem.partition("-")[2]:
                    found.unlink(missing_ok=True)
                    continue
                out.write_bytes(data)
                os.utime(found)
                return True
        return False

    def keep(self, key: str, clip: Path) -> None:
        """Keep a copy of a clip; a store that cannot be written keeps nothing."""
        if self._folder is None:
            return
        with contextlib.suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            data = clip.read_bytes()
            part = self._folder / f"{secrets.token_hex(4)}.part"
            try:
                part.write_bytes(data)
                part.replace(self._folder / f"{key}-{_digest(data)}.mp4")
            finally:
                part.unlink(missing_ok=True)
            self._trim()

    def clear(self) -> None:
        """Throw all of it away."""
        if self._folder is not None:
            shutil.rmtree(self._folder, ignore_errors=True)

    def _trim(self) -> None:
        """Delete what is old, then the least recently used, until it fits."""
        assert self._folder is not None
        found = []
        for path in self._folder.iterdir():
            with contextlib.suppress(OSError):
                at = path.stat()
                found.append((at.st_mtime, at.st_size, path))
        room = self._limit
        for used_s, size, path in sorted(found, reverse=True):
            room -= size
            if room < 0 or time.time() - used_s > _KEEP_S:
                path.unlink(missing_ok=True)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:_HEX]
