"""Where the recordings of a review lie, and how to find them again when they moved."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Literal

from analysis.force.trace import ColumnMapping
from app.review.comparison import StrokeRef, is_other_review
from app.review.errors import ReviewError
from app.review.state import MediaRef, ReviewState

_CHUNK_BYTES = 1 << 20
# Farther up than this, review and recordings are not one folder that is moved as a whole.
_LARGEST_CLIMB = 2

Cancelled = Callable[[], bool]


def refer(
    path: Path,
    kind: Literal["video", "trace"],
    review_path: Path,
    mapping: ColumnMapping | None = None,
    *,
    cancelled: Cancelled | None = None,
) -> MediaRef:
    """Describe a recording so that it is known again by size and SHA-256.

    Parameters
    ----------
    review_path : the review file the reference goes into; need not exist yet
    mapping : how its columns are read (force only)
    cancelled : asked between chunks; True ends the reading

    Raises
    ------
    ReviewError
        The file cannot be read, is empty, or the reading was cancelled.
    """
    path = Path(path)
    size, digest = _fingerprint(path, cancelled)
    if size == 0:
        raise ReviewError(f"{path.name} is empty; ask for the recording again.")
    return MediaRef(kind, _stored_path(path, Path(review_path)), size, digest, mapping)


def locate(ref: MediaRef, review_path: Path) -> Path | None:
    """Return where a recording should lie if a file is there; `changed` tells if it is the one."""
    path = _pointed_at(ref, Path(review_path))
    return path if path.is_file() else None


def changed(ref: MediaRef, path: Path, *, cancelled: Cancelled | None = None) -> bool:
    """Whether a file is not the recording that was referred to; reads the whole file if need be.

    Raises
    ------
    ReviewError
        The file cannot be read, or the reading was cancelled.
    """
    path = Path(path)
    try:
        if path.stat().st_size != ref.size:
            return True
    except OSError as error:
        raise _unreadable(path, error) from error
    return _fingerprint(path, cancelled) != (ref.size, ref.sha256)


def find_again(ref: MediaRef, folder: Path, *, cancelled: Cancelled | None = None) -> Path | None:
    """Search a folder and those in it for a recording by size and SHA-256, whatever its name.

    Files that cannot be read are passed over. A file of the old name is looked at first.
    """
    same_size = sorted(
        _files_of_size(Path(folder), ref.size), key=lambda p: p.name != ref.path.split("/")[-1]
    )
    for path in same_size:
        if cancelled is not None and cancelled():
            return None
        try:
            if not changed(ref, path, cancelled=cancelled):
                return path
        except ReviewError:
            continue
    return None


def rebase(state: ReviewState, old_review: Path, new_review: Path) -> ReviewState:
    """Return a state whose recordings are referred to from another review file."""

    def moved(ref: MediaRef | None) -> MediaRef | None:
        if ref is None:
            return None
        return replace(ref, path=_stored_path(_pointed_at(ref, old_review), new_review))

    def seen(stroke: StrokeRef) -> StrokeRef:
        if not is_other_review(stroke.source):
            return stroke
        there = _absolute(stroke.source, old_review)
        return replace(stroke, source=_stored_path(there, new_review))

    test = state.self_test
    if test is not None:
        items = tuple(replace(item, stroke=seen(item.stroke)) for item in test.items)
        test = replace(test, items=items)
    return replace(
        state,
        video=moved(state.video),
        trace=moved(state.trace),
        comparisons=tuple(
            replace(c, left=seen(c.left), right=seen(c.right)) for c in state.comparisons
        ),
        self_test=test,
    )


def other_review(path: Path, review_path: Path) -> str:
    """The source of a stroke that lies in another review; raises ReviewError for no usable path."""
    return _stored_path(Path(path), Path(review_path))


def other_review_path(source: str, review_path: Path) -> Path:
    """Where the other review of a stroke's source should lie."""
    return _absolute(source, Path(review_path))


def _pointed_at(ref: MediaRef, review_path: Path) -> Path:
    return _absolute(ref.path, review_path)


def _absolute(stored: str, review_path: Path) -> Path:
    # Joining with an absolute path gives that path.
    return Path(os.path.normpath(review_path.absolute().parent / stored))


def _stored_path(path: Path, review_path: Path) -> str:
    """Return the path relative to the review where the two lie close, absolute elsewhere."""
    absolute = Path(os.path.normpath(path.absolute()))
    folder = Path(os.path.normpath(review_path.absolute().parent))
    try:
        relative = Path(os.path.relpath(absolute, folder))
    except ValueError:  # another drive
        relative = absolute
    near = relative.parts.count("..") <= _LARGEST_CLIMB
    text = (relative if near else absolute).as_posix()
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise ReviewError(
            f"The path of {path.name!a} holds bytes that are no text; rename it and try again."
        ) from None
    return text


def _fingerprint(path: Path, cancelled: Cancelled | None) -> tuple[int, str]:
    digest = hashlib.sha256()
    size = 0
    try:
        with path.open("rb", buffering=0) as file:
            while chunk := file.read(_CHUNK_BYTES):
                if cancelled is not None and cancelled():
                    raise ReviewError(f"Reading {path.name} was cancelled; nothing was changed.")
                digest.update(chunk)
                size += len(chunk)
    except OSError as error:
        raise _unreadable(path, error) from error
    return size, digest.hexdigest()


def _unreadable(path: Path, error: OSError) -> ReviewError:
    if path.is_dir():
        return ReviewError(f"{path.name} is a folder; choose the recording itself.")
    if isinstance(error, FileNotFoundError):
        return ReviewError(f"There is no file {path.name} in {path.parent}; check the name.")
    reason = (error.strerror or "the system refused").lower()
    return ReviewError(f"{path.name} cannot be read ({reason}); copy it to this machine first.")


def _files_of_size(folder: Path, size: int) -> Iterator[Path]:
    for here, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            path = Path(here, name)
            try:
                if path.is_file() and path.stat().st_size == size:
                    yield path
            except OSError:
                continue
