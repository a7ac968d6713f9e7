"""Where the files of an athlete lie on this machine, by identity and content, not by name."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.library.past import Past
from app.library.people import name_key
from app.review.file.guard import connect
from app.review.file.store import read_review
from app.review.parts.about import identity
from app.review.parts.films import all_recordings
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess, find_again, is_reviewed, place_of
from app.review.values.errors import ReviewError

ENDING: Final = ".review"
MOST_FILES: Final = 200_000  # of a folder that is searched


@dataclass(frozen=True)
class AthleteFiles:
    """What lies on this machine.

    Attributes
    ----------
    reviews : by identity
    recordings : of those reviews, each once
    lost : titles and last places of reviews that were not found
    unlike : reviews at whose place lies one that names somebody else by now
    missing : names of recordings that were not found, or are others by now
    """

    reviews: dict[str, Path]
    recordings: tuple[Path, ...]
    lost: tuple[str, ...] = ()
    unlike: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def files_of(past: Past, access: RecordingAccess, look_in: Sequence[Path] = ()) -> AthleteFiles:
    """Find the files of an athlete; each is opened and compared, none is believed by its name.

    Parameters
    ----------
    access : what may be read on this machine
    look_in : folders to search for what moved
    """
    keys = {name_key(past.athlete.name), *(name_key(n) for n in past.names)}
    reviews: dict[str, Path] = {}
    lost, unlike, missing = [], [], []
    recordings: dict[Path, None] = {}
    moved = _Searched(look_in)
    for review in past.reviews:
        path = find_review(review.review_id, Path(review.path) if review.path else None, moved)
        if path is None:
            lost.append(f"{review.title or review.review_id} ({review.path or 'never saved'})")
            continue
        try:
            state = read_review(path)
        except ReviewError:
            lost.append(f"{path.name} (cannot be read)")
            continue
        if name_key(state.athlete) not in keys:
            unlike.append(path.name)
            continue
        reviews[review.review_id] = path
        for name, found in recordings_of(state, path, access, look_in):
            if found is None:
                missing.append(name)
            else:
                recordings[found] = None
    return AthleteFiles(reviews, tuple(recordings), tuple(lost), tuple(unlike), tuple(missing))


def recordings_of(
    state: ReviewState, path: Path, access: RecordingAccess, look_in: Sequence[Path] = ()
) -> Iterator[tuple[str, Path | None]]:
    """Give each recording of a review with its place; None where the one reviewed is not there."""
    for ref in all_recordings(state):
        name = ref.path.replace("\\", "/").rsplit("/", 1)[-1]
        found = None
        with contextlib.suppress(ReviewError):
            at = place_of(ref, path, access).path
            if at is not None and is_reviewed(ref, at, access.data_folder):
                found = at
        for folder in look_in if found is None else ():
            found = found or find_again(ref, folder)
        yield name, found


def identity_at(path: Path) -> str:
    """The identity of the review that lies at a path, "" where there is none."""
    with contextlib.suppress(ReviewError, sqlite3.Error, OSError), connect(path) as connection:
        row = connection.execute("SELECT value FROM meta WHERE key = 'review_id'").fetchone()
        if row is not None and isinstance(row[0], str):
            return identity(row[0])
    return ""


class _Searched:
    """Reviews in some folders by their identity; looked through once, and only when asked."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self._folders = folders
        self._found: dict[str, Path] | None = None

    def at(self, review_id: str) -> Path | None:
        if self._found is None:
            self._found = {identity_at(path): path for path in review_files(self._folders)}
        return self._found.get(review_id)


def find_review(review_id: str, last: Path | None, moved: _Searched) -> Path | None:
    """Find a review: where it was last, or wherever its identity is found."""
    if last is not None and identity_at(last) == review_id:
        return last
    return moved.at(review_id)


def locate(review_id: str, last: Path | None, look_in: Sequence[Path] = ()) -> Path | None:
    """Find one review that may have moved; None where it is in none of these folders."""
    return find_review(review_id, last, _Searched(look_in))


def review_files(folders: Iterable[Path]) -> Iterator[Path]:
    """Give the review files in folders and in those inside, by name; links are not followed."""
    left = MOST_FILES
    for folder in folders:
        for place, inside, names in os.walk(folder):
            inside[:] = sorted(name for name in inside if not name.startswith("."))
            for name in sorted(names):
                left -= 1
                if left < 0:
                    return
                if name.lower().endswith(ENDING) and not name.startswith("."):
                    path = Path(place) / name
                    if path.is_file() and not path.is_symlink():
                        yield path
