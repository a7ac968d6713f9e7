"""An earlier version of a review, or what is known of a damaged one, taken out for the coach."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.review.backups import Backup
from app.review.file.delta import kept_apart
from app.review.file.salvage import salvage_rows
from app.review.file.store import create_file, read_asset, read_file
from app.review.free_name import free_name
from app.review.parts.about import META, identity, new_review_id
from app.review.recordings import rebase
from app.review.values.errors import ReviewError

_IDENTITY = "review_id"


def place_beside(review: Path, words: str, data_folder: Path) -> Path:
    """A free name beside a review, or among the user's data where that folder is closed.

    Raises
    ------
    OSError
        There is no room among the user's data either.
    """
    if os.access(review.parent, os.W_OK):
        return free_name(review, words)
    folder = data_folder / "reviews"
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return free_name(folder / review.name, words)


def copy_out(
    backup: Backup, review: Path, target: Path, cancelled: Callable[[], bool] | None = None
) -> tuple[str, ...]:
    """Write an earlier version into a review of its own; the version stays where it is.

    Parameters
    ----------
    review : the file it was a version of, from where it names its recordings
    target : must not exist yet

    Returns
    -------
    tuple of str
        Sentences about what could not be read.

    Raises
    ------
    ReviewError
        The version cannot be read, the new file exists already, or it cannot be written.
    """
    if target.exists():
        raise ReviewError(f"{target.name} exists already; choose another name.")
    state = read_file(backup.path, cancelled).state
    assets, lost = {}, 0
    for asset_id in kept_apart(state):
        try:
            assets[asset_id] = read_asset(backup.path, asset_id)
        except ReviewError:
            lost += 1
    again = replace(rebase(state, review, target), review_id=new_review_id())
    create_file(target, again, assets)
    return (f"{lost} recording(s) of that version could not be read.",) if lost else ()


def identity_of(path: Path) -> str:
    """The identity of a review, also of a damaged one; "" where it cannot be told."""
    try:
        found = salvage_rows(path, {META.name: tuple(META.columns)})
    except (ReviewError, OSError):
        return ""
    for row in found.rows.get(META.name, ()):
        if row.get("key") == _IDENTITY and isinstance(row.get("value"), str):
            return identity(str(row["value"]))
    return ""
