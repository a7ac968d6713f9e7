"""Clips and pictures made before, by what is in them: a second writing need not make them again.

Disposable: anything in the folder may be deleted at any time. A file is used only if it still has
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
    """A bounded folder of clips and pictures; None for a folder keeps nothing."""

    def __init__(self, folder: Path | None, limit_bytes: int = LIMIT_BYTES) -> None:
        self._folder = folder
        self._limit = limit_bytes

    def fetch(self, key: str, out: Path) -> bool:
        """Copy what was made before to `out`; False where there is none that is whole.

        Raises
        ------
        OSError
            `out` cannot be written.
        """
        data = self._read(key, out.suffix)
        if data is None:
            return False
        out.write_bytes(data)
        return True

    def facts(self, key: str) -> dict[str, Any] | None:
        """Give what was said of something made before; None where nothing was."""
        data = self._read(key, ".json")
        if data is None:
            return None
        found = json.loads(data)
        return found if isinstance(found, dict) else None

    def _read(self, key: str, suffix: str) -> bytes | None:
        if self._folder is None:
            return None
        with contextlib.suppress(OSError):
            for found in self._folder.glob(f"{key}-*{suffix}"):
                data = found.read_bytes()
                if _digest(data) != found.stem.partition("-")[2]:
                    found.unlink(missing_ok=True)
                    continue
                os.utime(found)
                return data
        return None

    def keep(self, key: str, clip: Path) -> None:
        """Keep a copy of a file; a store that cannot be written keeps nothing."""
        with contextlib.suppress(OSError):
            self._write(key, clip.suffix, clip.read_bytes())

    def keep_facts(self, key: str, facts: Mapping[str, Any]) -> None:
        """Keep what is to be said of something that is kept."""
        with contextlib.suppress(OSError):
            self._write(key, ".json", json.dumps(facts, sort_keys=True).encode())

    def _write(self, key: str, suffix: str, data: bytes) -> None:
        if self._folder is not None:
            self._folder.mkdir(parents=True, exist_ok=True)
            part = self._folder / f"{secrets.token_hex(4)}.part"
            try:
                part.write_bytes(data)
                part.replace(self._folder / f"{key}-{_digest(data)}{suffix}")
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
