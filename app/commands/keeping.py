"""What the commands leave in the library, where there is one: never typed, never in the way."""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.bundle.sources.last_time import LastTime
    from app.bundle.write import BundleResult
    from app.review.parts.state import ReviewState
    from app.review.recordings import RecordingAccess

NOT_KEPT = "The library does not know of it: {why}"


def has_library() -> bool:
    """Whether there is a library to fill; a command makes none by itself."""
    from app.files.user_folders import data_folder

    return bool(os.environ.get("STROKESIDE_LIBRARY")) or (data_folder() / "library.db").exists()


def keep_review(path: Path) -> tuple[str, ...]:
    """Keep a review that was written; gives a sentence where that could not be done."""
    if not has_library():
        return ()
    from app.commands.recordings import access
    from app.library.errors import LibraryError
    from app.library.library import Library
    from app.library.rebuild import read_summary
    from app.library.record import store

    try:
        with Library.open() as library:
            store(library, [read_summary(path, access())])
    except LibraryError as error:
        return (NOT_KEPT.format(why=error),)
    return ()


def keep_bundle(state: ReviewState, path: Path, result: BundleResult) -> tuple[str, ...]:
    """Keep that a bundle was written, and its review with it."""
    said = keep_review(path)
    if said or not has_library():
        return said
    from app.library.errors import LibraryError
    from app.library.library import Library
    from app.library.record import new_bundle_id, record_bundle
    from app.library.summaries import SentBundle
    from app.review.answers import bundle_mark

    bundle = SentBundle(
        new_bundle_id(),
        datetime.now(UTC).isoformat(timespec="milliseconds"),
        str(result.path.absolute()),
        bundle_mark(state),
        state.sending.language,
        state.draft,
        result.bytes,
    )
    with suppress(LibraryError), Library.open() as library:  # it was there a moment ago
        record_bundle(library, state.review_id, bundle)
    return ()


def last_time_of(state: ReviewState, path: Path, may_read: RecordingAccess) -> LastTime | None:
    """What became of what the athlete was told last time, as the library knows it.

    None where there is no library, it does not know the athlete, or the coach leaves it out.
    """
    from app.review.parts.sending import LAST_TIME

    if not state.athlete.strip() or LAST_TIME in state.sending.left_out or not has_library():
        return None
    from app.last_time.times import times_of
    from app.library.errors import LibraryError
    from app.library.library import Library
    from app.submission.load import load

    if keep_review(path):  # which says why, once the bundle is written
        return None
    with suppress(LibraryError), Library.open() as library:
        sent = load(state, path, access=may_read)
        found = times_of(
            state.athlete, state.review_id, sent, state.held_against, may_read, library
        )
        return None if found is None else found.last
    return None
