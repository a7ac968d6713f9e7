"""What lies in the inbox: recordings proposed as submissions, and drafts that are ready.

Looked at in a process of its own: whether strokes of two recordings keep step takes a while.
"""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

SETTLED_S: Final = 5.0  # a file written to since may not be all there yet
MOST_DRAFTS: Final = 200
_MOST_BYTES: Final = 64 << 20
Known = frozenset[tuple[int, str]]


@dataclass(frozen=True)
class InboxItem:
    """Something that came.

    Attributes
    ----------
    films, force : a new submission's recordings; the first film is the one that is reviewed
    review : of a draft that is ready, None for a new submission
    athlete : of the folder they lie in, or of the draft; "" where nobody is named
    why : what puts them together, as `pairing.Proposal`
    remark : what there is to say about it
    """

    films: tuple[Path, ...] = ()
    force: Path | None = None
    review: Path | None = None
    athlete: str = ""
    why: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Looked:
    """What was found.

    Attributes
    ----------
    unsettled : files are still being written; look again
    """

    items: tuple[InboxItem, ...] = ()
    unsettled: bool = False


def look(folder: Path, known: Known, _report: Callable[[float, str], None]) -> Looked:
    """Look through an inbox.

    Parameters
    ----------
    known : (bytes, digest) of recordings that have a review

    Raises
    ------
    OSError
        The folder cannot be read.
    """
    from app.drafts.evidence import keeps_step, recorded_when
    from app.drafts.pairing import proposals

    drafts = tuple(_drafts(folder))
    taken = {path for _item, files in drafts for path in files}  # also where a coach has been at it
    found: list[InboxItem] = []
    unsettled = False
    for one in proposals(folder, keeps_step, recorded_when, [f.parent for f in _records(folder)]):
        files = (*one.films, *((one.force,) if one.force else ()))
        if any(p.absolute() in taken or p.with_suffix(".review").is_file() for p in files):
            continue
        if any(_age(path) < SETTLED_S for path in files):
            unsettled = True
            continue
        if any(_is_known(path, known) for path in files):
            continue
        found.append(InboxItem(one.films, one.force, None, one.athlete, one.why, one.remark))
    ready = [item for item, _files in drafts if item is not None]
    return Looked((*ready, *found), unsettled)


def _records(folder: Path) -> Iterator[Path]:
    """The records of batches in the folder's own folders; one in itself is not passed over."""
    with contextlib.suppress(OSError):
        for inside in sorted(folder.iterdir()):
            if inside.is_dir() and (inside / ".batch.json").is_file():
                yield inside / ".batch.json"


def _drafts(folder: Path) -> Iterator[tuple[InboxItem | None, tuple[Path, ...]]]:
    """Drafts of batches with the files they are of; None for one a coach has taken up."""
    from app.drafts.batch import RECORD

    left = MOST_DRAFTS
    for record in (folder / RECORD, *_records(folder)):
        for review, files in _ready(record):
            left -= 1
            if left < 0:
                return
            athlete = _athlete_of_draft(review)
            item = None if athlete is None else InboxItem(review=review, athlete=athlete)
            yield item, files


def _ready(record: Path) -> Iterator[tuple[Path, tuple[Path, ...]]]:
    """(review, files) of the rows of a record; one that is damaged has none."""
    rows: object = None
    with contextlib.suppress(OSError, ValueError, RecursionError):
        if record.stat().st_size <= _MOST_BYTES:
            data = json.loads(record.read_text("utf-8"))
            rows = data.get("rows") if isinstance(data, dict) else None
    for row in rows.values() if isinstance(rows, dict) else ():
        if not isinstance(row, dict) or row.get("status") != "ready":
            continue
        name, films, force = row.get("review"), row.get("films"), row.get("force")
        if not isinstance(name, str) or not isinstance(films, list):
            continue
        # Only what lies beside the record: it may have come from anywhere.
        review = record.parent / Path(name).name
        files = tuple(Path(f) for f in (*films, force) if isinstance(f, str))
        if review.is_file() and not review.is_symlink():
            yield review, files


def _athlete_of_draft(review: Path) -> str | None:
    """Whose it is; None where a coach has taken it up, or it cannot be read."""
    from app.review.file.store import read_review
    from app.review.values.errors import ReviewError

    try:
        state = read_review(review)
    except (ReviewError, OSError):
        return None
    return state.athlete if state.draft else None


def _is_known(path: Path, known: Known) -> bool:
    """Whether it has a review, under whatever name; read whole only where one is as long."""
    from app.review.recordings.fingerprint import fingerprint
    from app.review.values.errors import ReviewError

    with contextlib.suppress(OSError, ReviewError):
        size = path.stat().st_size
        if any(size == other for other, _ in known):
            return (size, fingerprint(path).sha256) in known
    return False


def _age(path: Path) -> float:
    with contextlib.suppress(OSError):
        return time.time() - path.stat().st_mtime
    return 0.0
