"""Whether a file is the recording that was reviewed, and remembering what was found.

Reading an hour of footage takes seconds, so what was found stands in a small file until the file
it was found of has another size, time or place on the disk.
"""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Any, Final, Literal

from app.review.parts.media import MediaRef
from app.review.recordings.fingerprint import Cancelled, fingerprint, quick_ends, unreadable
from app.review.recordings.small_json import change_json, keep_newest, read_json, section

FILE: Final = "known-recordings.json"
_MOST_KEPT: Final = 4000
# A file written to so lately could be written to again without its time moving on: the clocks of
# some file systems tick every two seconds.
_SETTLED_NS: Final = 2_000_000_000

Standing = Literal["same", "other", "unknown"]


def quick_standing(ref: MediaRef, path: Path, data_folder: Path | None) -> Standing:
    """Tell what a quick look says: what is remembered, else the size and the two ends.

    Returns
    -------
    "same" only where the whole content was compared before; "unknown" where nothing speaks
    against it.

    Raises
    ------
    ReviewError
        The file cannot be read.
    """
    try:
        if path.stat().st_size != ref.size:
            return "other"
    except (OSError, ValueError) as error:
        raise unreadable(path, error) from error
    known = _remembered(path, data_folder)
    if known is not None:
        return "same" if known == ref.sha256 else "other"
    if ref.ends_sha256 and quick_ends(path) != (ref.size, ref.ends_sha256):
        return "other"
    return "unknown"


def is_reviewed(
    ref: MediaRef, path: Path, data_folder: Path | None, cancelled: Cancelled | None = None
) -> bool:
    """Whether a file's whole content is that of the recording reviewed.

    Raises
    ------
    ReviewError
        The file cannot be read, or the reading was cancelled.
    """
    standing = quick_standing(ref, path, data_folder)
    if standing != "unknown":
        return standing == "same"
    return whole_sha256(path, data_folder, cancelled) == ref.sha256


def whole_sha256(path: Path, data_folder: Path | None, cancelled: Cancelled | None = None) -> str:
    """SHA-256 of a file, remembered or read; raises ReviewError where it cannot be read."""
    known = _remembered(path, data_folder)
    if known is not None:
        return known
    before = _stamp(path)
    began_ns = time.time_ns()
    digest = fingerprint(path, cancelled).sha256
    remember(path, digest, data_folder, before, began_ns)
    return digest


def remember(
    path: Path,
    sha256: str,
    data_folder: Path | None,
    before: tuple[int, int, int] | None = None,
    began_ns: int | None = None,
) -> None:
    """Keep the digest of a file that was read whole.

    Parameters
    ----------
    before : size, time and inode as they were before the reading, where that is known
    began_ns : when the reading began, nanoseconds since 1970; now where it is not known
    """
    stamp = _stamp(path)
    began_ns = time.time_ns() if began_ns is None else began_ns
    if data_folder is None or stamp is None or (before is not None and stamp != before):
        return
    if not 0 <= stamp[1] <= began_ns - _SETTLED_NS:
        return

    def change(data: dict[str, Any]) -> None:
        files = section(data, "files")
        files.pop(_key(path), None)
        files[_key(path)] = [*stamp, sha256]
        keep_newest(files, _MOST_KEPT)

    change_json(data_folder / FILE, change)


def _remembered(path: Path, data_folder: Path | None) -> str | None:
    if data_folder is None:
        return None
    stamp = _stamp(path)
    files = read_json(data_folder / FILE).get("files")
    kept = files.get(_key(path)) if isinstance(files, dict) else None
    if stamp is None or not isinstance(kept, list) or kept[:3] != list(stamp):
        return None
    digest = kept[3] if len(kept) == 4 else None
    return digest if isinstance(digest, str) else None


def _stamp(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_size, found.st_mtime_ns, found.st_ino


def _key(path: Path) -> str:
    return os.path.realpath(path)
