"""A review file of an earlier version becomes one of today's; the earlier stays."""

from __future__ import annotations

import itertools
import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from app.files.atomic import replacing
from app.review.errors import DamagedReview, ReviewError
from app.review.file.delta import kept_apart
from app.review.state import ReviewState
from app.review.text import plain

if TYPE_CHECKING:
    from app.review.file.store import Stamp


def older_copy(path: Path, version: int) -> Path:
    """Where a file of an older schema is kept when its review is saved: a name nobody has yet."""
    for count in itertools.count(1):
        again = f"-{count}" if count > 1 else ""
        kept = path.with_name(f"{path.stem}.schema-{version}{again}{path.suffix}")
        if not kept.exists():
            break
    return kept


def migrate(path: Path, stamp: Stamp, state: ReviewState, assets: Mapping[str, bytes]) -> Stamp:
    """Write a state as a file of today's, with every voice and picture it refers to.

    Raises
    ------
    ReviewError
        One of them cannot be read, the file was changed since, or nothing can be written; the file
        is as it was then.
    """
    from app.review.file.store import create_file, read_asset, read_file

    if read_file(path).stamp.revision != stamp.revision:
        raise ReviewError(
            f"{plain(path.name)} was changed by an earlier version of Strokeside since it was "
            "opened; save this review under another name."
        )
    carried = dict(assets)
    for asset_id in kept_apart(state) - carried.keys():
        try:
            carried[asset_id] = read_asset(path, asset_id)
        except DamagedReview:
            raise  # never silently without a voice that may still be saved
        except ReviewError:
            continue  # it was not there before either
    _keep(path, older_copy(path, stamp.version))
    return create_file(path, state, carried)


def _keep(path: Path, kept: Path) -> None:
    """Give the earlier file a second name; where a disk knows no such thing, copy it."""
    try:
        os.link(path, kept)
    except OSError:
        with replacing(kept) as part:
            shutil.copy2(path, part)
