"""A review file of an earlier version becomes one of today's; the earlier stays."""

from __future__ import annotations

import contextlib
import filecmp
import itertools
import os
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from app.files import locks
from app.files.atomic import replacing
from app.review.file.delta import kept_apart
from app.review.parts.state import ReviewState
from app.review.values.errors import ChangedElsewhere, DamagedReview, FileBusy, ReviewError
from app.review.values.text import plain

if TYPE_CHECKING:
    from app.review.file.store import Stamp


def older_copy(path: Path, version: int) -> Path:
    """Where a file of an older schema is kept when its review is saved.

    A name nobody has yet, or one under which this very file lies already: after a saving that
    was cut off, trying again must not fill the folder.
    """
    for count in itertools.count(1):
        again = f"-{count}" if count > 1 else ""
        kept = path.with_name(f"{path.stem}.schema-{version}{again}{path.suffix}")
        if not os.path.lexists(kept) or _is_same(path, kept):
            break
    return kept


def migrate(path: Path, stamp: Stamp, state: ReviewState, assets: Mapping[str, bytes]) -> Stamp:
    """Write a state as a file of today's, with every voice and picture it refers to.

    Raises
    ------
    ChangedElsewhere
        Another window brought the file up to date meanwhile.
    ReviewError
        One of them cannot be read, the file was changed since, or nothing can be written; the file
        is as it was then.
    """
    from app.review.file.store import create_file

    with _alone(path):
        _refuse_changed(path, stamp, state)
        carried = _carried(path, state, assets)
        kept = older_copy(path, stamp.version)
        is_new = not os.path.lexists(kept)
        try:
            _keep(path, kept)
            return create_file(path, state, carried)
        except (ReviewError, OSError) as error:
            if is_new:
                with contextlib.suppress(OSError):
                    kept.unlink()
            if isinstance(error, ReviewError):
                raise
            raise ReviewError(
                f"{plain(path.name)} is of an earlier version and could not be kept beside the "
                "new one; nothing was changed."
            ) from error


def _refuse_changed(path: Path, stamp: Stamp, state: ReviewState) -> None:
    from app.review.file.store import read_file

    theirs = read_file(path)
    if theirs.stamp.revision == stamp.revision:
        return
    name = plain(path.name)
    if theirs.state.review_id == state.review_id:
        raise ChangedElsewhere(f"{name} was changed elsewhere since.", theirs, stamp.revision)
    raise ReviewError(
        f"{name} was changed by an earlier version of Strokeside since it was opened; save this "
        "review under another name."
    )


def _carried(path: Path, state: ReviewState, assets: Mapping[str, bytes]) -> dict[str, bytes]:
    from app.review.file.store import read_asset

    carried: dict[str, bytes] = {}
    for asset_id in kept_apart(state):
        data = assets.get(asset_id)
        if data is None:
            try:
                data = read_asset(path, asset_id)
            except DamagedReview:
                raise  # never silently without a voice that may still be saved
            except ReviewError:
                continue  # it was not there before either
        carried[asset_id] = data
    return carried


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Let no two windows bring one file up at once: the later would put away what the other did."""
    lock: locks.Lock | None = None
    try:
        lock = locks.take(path.with_name(f".{path.name[:80]}.lock"))
        if lock is None:
            raise FileBusy(
                f"{plain(path.name)} is being saved by another window; it is tried again."
            )
    except OSError:
        pass  # a disk without locks, or one that is full: what writes says so
    try:
        yield
    finally:
        if lock is not None:
            lock.release()


def _is_same(path: Path, kept: Path) -> bool:
    try:
        return path.samefile(kept) or filecmp.cmp(path, kept, shallow=False)
    except OSError:
        return False


def _keep(path: Path, kept: Path) -> None:
    """Give the earlier file a second name; where a disk knows no such thing, copy it."""
    if os.path.lexists(kept):
        return
    try:
        os.link(path, kept)
    except OSError:
        with replacing(kept) as part:
            shutil.copy2(path, part)
