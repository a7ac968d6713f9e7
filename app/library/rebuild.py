"""A library made, or brought up to date, from a folder of reviews."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from app.library.collect import summary_of
from app.library.errors import LibraryError
from app.library.files import review_files
from app.library.library import Library
from app.library.record import Recorded, store
from app.library.summaries import ReviewSummary
from app.review.file.store import read_review
from app.review.recordings import STRANGER, RecordingAccess
from app.review.values.errors import ReviewError
from app.submission.load import load

Progress = Callable[[float, str], None]


@dataclass
class Rebuilt:
    """What became of the reviews of a folder.

    Attributes
    ----------
    recorded : those that were read
    unread : (file, sentence) of those that could not be
    unmeasured : files whose recordings were not at hand
    doubled : files that are copies of another review in the folder; the newest counts
    """

    recorded: Recorded = field(default_factory=Recorded)
    unread: list[tuple[Path, str]] = field(default_factory=list)
    unmeasured: list[Path] = field(default_factory=list)
    doubled: list[Path] = field(default_factory=list)


def rebuild(
    library: Library,
    folder: Path,
    access: RecordingAccess = STRANGER,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Rebuilt:
    """Read every review in a folder and those inside it into the library.

    What is in the library beside stays: consent, notes and what was sent are in no review. One that
    cannot be read never stops the others.

    Parameters
    ----------
    access : which recordings may be read on this machine
    progress : called with a share from 0 to 1 and the name of a review

    Raises
    ------
    LibraryError
        There is no such folder, or the library cannot be written.
    """
    if not folder.is_dir():
        raise LibraryError(f"There is no folder {folder.name}; nothing was changed.")
    made = Rebuilt()
    made.recorded = store(library, _summaries(folder, access, made, progress, cancelled))
    return made


def _summaries(
    folder: Path,
    access: RecordingAccess,
    made: Rebuilt,
    progress: Progress | None,
    cancelled: Callable[[], bool] | None,
) -> Iterator[ReviewSummary]:
    paths = sorted(review_files([folder]), key=lambda path: path.stat().st_mtime, reverse=True)
    seen: set[str] = set()
    for at, path in enumerate(paths):
        if cancelled is not None and cancelled():
            return
        if progress is not None:
            progress(at / len(paths), path.name)
        try:
            told = read_summary(path, access)
        except (ReviewError, OSError, ValueError, ArithmeticError) as error:
            made.unread.append((path, str(error)))
            continue
        if told.review_id and told.review_id in seen:
            made.doubled.append(path)
            continue
        seen.add(told.review_id)
        if told.recordings and not told.is_measured:
            made.unmeasured.append(path)
        yield told


def read_summary(path: Path, access: RecordingAccess = STRANGER) -> ReviewSummary:
    """Read one review file and its recordings; raises ReviewError where it cannot be read."""
    state = read_review(path)
    sent = load(state, path, access=access, quick=True)
    return summary_of(state, path, sent)
