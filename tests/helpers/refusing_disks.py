"""Files that another program holds, that cannot be written, and disks that are soon full."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


@contextlib.contextmanager
def held(path: Path) -> Iterator[None]:
    """Another program holds the file."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        yield
    finally:
        with contextlib.suppress(sqlite3.Error):
            other.execute("ROLLBACK")
        other.close()


@contextlib.contextmanager
def protected(path: Path) -> Iterator[None]:
    """The file cannot be written."""
    if hasattr(os, "geteuid") and os.geteuid() != 0:
        mode = path.stat().st_mode
        path.chmod(0o444)
        try:
            yield
        finally:
            path.chmod(mode)
        return
    if subprocess.run(["chattr", "+i", path], capture_output=True).returncode != 0:
        pytest.skip("needs a user who is not root")
    try:
        yield
    finally:
        subprocess.run(["chattr", "-i", path], check=True)


@contextlib.contextmanager
def small_disk(folder: Path, size: str) -> Iterator[Path]:
    """A disk that is soon full."""
    folder.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", folder], capture_output=True
    )
    if made.returncode != 0:
        pytest.skip("needs root, to make a small disk")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)
