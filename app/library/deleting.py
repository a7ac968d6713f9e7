"""Deleting an athlete: files, rows, caches and earlier versions; and saying what remains elsewhere.

Files go first and the rows that know of them last, so that a deleting that was interrupted can be
done again.
"""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from glob import escape
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, delete, exists, select

from app.files.plain import is_plain_file, is_plain_folder
from app.library.errors import LibraryError
from app.library.files import ENDING, AthleteFiles, files_of, identity_at, review_files
from app.library.library import Library
from app.library.past import Past, past_of
from app.library.people import name_key
from app.library.remembered import forget_reviews
from app.library.tables import ATHLETE, RECORDING, REVIEW, SUBMISSION
from app.review.backups import BackupShelf
from app.review.file.store import read_review
from app.review.open_mark import is_open
from app.review.parts.films import all_recordings
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess
from app.review.recordings.fingerprint import fingerprint
from app.review.rescue import put_away, rescued
from app.review.values.errors import ReviewError

BESIDE: Final = (".voice", ".walkthrough")  # folders that live beside a review
SIDE_FILES: Final = ("-journal", "-wal", "-shm")


@dataclass(frozen=True)
class Deletion:
    """What deleting an athlete takes away, before anything is done.

    Attributes
    ----------
    past : what the library knows of them
    files : of theirs on this machine
    media : recordings that would go if the coach agrees
    shared_media : recordings other reviews use as well; they stay
    versions : earlier versions, rescued copies, and reviews beside that name them as well
    remains : sentences about what this cannot reach
    whole : the athlete goes with all of it; else some reviews go, and `past` has those alone
    """

    past: Past
    files: AthleteFiles
    media: tuple[Path, ...]
    shared_media: tuple[Path, ...]
    versions: tuple[Path, ...]
    remains: tuple[str, ...]
    whole: bool = True


@dataclass(frozen=True)
class Deleted:
    """What was done.

    Attributes
    ----------
    removed : files and folders that are gone
    failed : (path, reason) of those that could not be removed
    remains : sentences about what is elsewhere
    """

    removed: tuple[Path, ...]
    failed: tuple[tuple[Path, str], ...]
    remains: tuple[str, ...]


@dataclass(frozen=True)
class Places:
    """The folders of this user in which something of an athlete may lie.

    Attributes
    ----------
    config : where the settings lie; None where there are none to be looked into
    """

    data: Path
    cache: Path
    config: Path | None = None


def look(
    library: Library,
    athlete_id: str,
    places: Places,
    look_in: Sequence[Path] = (),
    only: Collection[str] | None = None,
) -> Deletion:
    """See what deleting would take away; nothing is changed.

    Parameters
    ----------
    look_in : folders in which moved reviews and recordings are looked for
    only : identities of the reviews that are to go; None for the athlete with all of them

    Raises
    ------
    LibraryError
        There is no such athlete, or they are another coach's.
    """
    past = past_of(library, athlete_id)
    if past.athlete.owner != library.coach:
        raise LibraryError(
            f"{past.athlete.name} is an athlete of {past.athlete.owner}, who alone can delete "
            "them; nothing was changed."
        )
    whole = only is None
    gone = past.reviews if only is None else tuple(r for r in past.reviews if r.review_id in only)
    stay = {r.review_id for r in past.reviews} - {r.review_id for r in gone}
    past = replace(past, reviews=gone)
    files = files_of(past, RecordingAccess(places.data), look_in)
    strays = _strays(past, files, places, look_in) if whole else ()
    others = _used_by_others(library, athlete_id, stay) | _used_near(
        files, {*files.reviews.values(), *strays}, places, look_in
    )
    media: list[Path] = []
    shared: list[Path] = []
    for path in files.recordings:
        with contextlib.suppress(ReviewError):
            (shared if fingerprint(path).sha256 in others else media).append(path)
    return Deletion(
        past, files, tuple(media), tuple(shared), (*_versions(past, files, places), *strays),
        _remains(library, past, files, shared, places), whole,
    )  # fmt: skip


def delete_athlete(
    library: Library, deletion: Deletion, places: Places, media: Collection[Path] = ()
) -> Deleted:
    """Delete what was looked at.

    Parameters
    ----------
    media : the recordings the coach agrees to lose; others stay

    Raises
    ------
    LibraryError
        One of the reviews is open in a window, and nothing was changed: its next saving would bring
        the athlete back. Or the rows could not be deleted; the files are gone then, and it can be
        done again.
    """
    past, files = deletion.past, deletion.files
    _refuse_open(deletion, places)
    agreed = [path for path in deletion.media if path in set(media)]
    removed: list[Path] = []
    failed: list[tuple[Path, str]] = []
    own = _with_real(files.reviews.values())
    for path in (*_beside(own), *agreed, *own, *deletion.versions):
        _remove(path, removed, failed)
    shelf = BackupShelf(places.data / "backups")
    for review in past.reviews:
        with contextlib.suppress(ReviewError):
            if not shelf.list(review.review_id):  # what is left names somebody else
                shelf.forget(review.review_id)
    for path in deletion.versions:
        put_away(places.data, path)
    _clear(places.cache)
    known = [Path(r.path) for r in past.reviews if r.path and "\0" not in r.path]
    ids = [review.review_id for review in past.reviews]
    every_place = [*known, *files.reviews.values(), *deletion.versions]
    forget_reviews(places.data, places.config, ids, every_place, files.recordings)
    with library.writing() as connection:
        _delete_rows(connection, past.athlete.id, None if deletion.whole else ids)
    write_over(library)
    stay = [f"{path} stays: you did not agree to lose it." for path in deletion.media
            if path not in agreed]  # fmt: skip
    return Deleted(tuple(removed), tuple(failed), (*stay, *deletion.remains))


def _refuse_open(deletion: Deletion, places: Places) -> None:
    ids = {review.review_id: review.title for review in deletion.past.reviews}
    ids |= {identity_at(path): path.name for path in deletion.versions}
    for review_id, name in ids.items():
        if review_id and is_open(places.data, review_id):
            raise LibraryError(
                f"{name or 'One of the reviews'} is open in a window; close it there, then delete "
                "again. Nothing was deleted."
            )


def _delete_rows(connection: Connection, athlete_id: str, only: Collection[str] | None) -> None:
    """Delete an athlete, or some of their reviews with the submissions no other one is of."""
    if only is None:
        connection.execute(delete(ATHLETE).where(ATHLETE.c.id == athlete_id))
        return
    connection.execute(
        delete(REVIEW).where(REVIEW.c.athlete_id == athlete_id, REVIEW.c.id.in_(only))
    )
    still = exists().where(
        REVIEW.c.submission_id == SUBMISSION.c.id, REVIEW.c.athlete_id == athlete_id
    )
    connection.execute(delete(SUBMISSION).where(SUBMISSION.c.athlete_id == athlete_id, ~still))


def write_over(library: Library) -> None:
    """See to it that a library's file holds nothing of deleted rows; a club's cleans itself."""
    if library.is_club:
        return
    with library.engine.connect() as connection:
        connection.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _used_by_others(library: Library, athlete_id: str, stay: Collection[str]) -> frozenset[str]:
    """Recordings that reviews of other athletes, or those of this one that stay, are about."""
    mine = select(RECORDING.c.sha256).where(RECORDING.c.athlete_id == athlete_id)
    query = select(RECORDING.c.sha256).where(
        RECORDING.c.athlete_id != athlete_id, RECORDING.c.sha256.in_(mine)
    )
    kept = (
        select(RECORDING.c.sha256)
        .join(
            REVIEW,
            (REVIEW.c.submission_id == RECORDING.c.submission_id)
            & (REVIEW.c.athlete_id == RECORDING.c.athlete_id),
        )
        .where(RECORDING.c.athlete_id == athlete_id, REVIEW.c.id.in_(stay))
    )
    with library.reading() as connection:
        found = set(connection.execute(query).scalars())
        return frozenset(found | set(connection.execute(kept).scalars()))


def _versions(past: Past, files: AthleteFiles, places: Places) -> tuple[Path, ...]:
    """Earlier versions, what a review was in an older format, and rescued copies.

    Those that name somebody else by now are theirs; what cannot be read counts as the athlete's.
    """
    keys = {name_key(past.athlete.name), *(name_key(n) for n in past.names)}
    shelf = BackupShelf(places.data / "backups")
    found: list[Path] = []
    ids = {review.review_id for review in past.reviews}
    for review_id in sorted(ids):
        with contextlib.suppress(ReviewError):
            found += [backup.path for backup in shelf.list(review_id)]
    found += [path for path in rescued(places.data) if identity_at(path) in ids]
    for path in files.reviews.values():  # see `older_copy`
        older = path.parent.glob(f"{escape(path.stem)}.schema-*{escape(path.suffix)}")
        found += sorted(p for p in older if is_plain_file(p))
    return tuple(path for path in found if not _names_another(path, keys))


def _strays(
    past: Past, files: AthleteFiles, places: Places, look_in: Sequence[Path]
) -> tuple[Path, ...]:
    """Reviews that name the athlete and that the library does not know, such as copies."""
    keys = {name_key(past.athlete.name), *(name_key(n) for n in past.names)}
    others = _near(files, set(files.reviews.values()), places, look_in)
    return tuple(path for path, state in others if name_key(state.athlete) in keys)


def _used_near(
    files: AthleteFiles, going: set[Path], places: Places, look_in: Sequence[Path]
) -> frozenset[str]:
    """Recordings of reviews that stay, lie near, and that the library need not know of."""
    others = _near(files, going, places, look_in)
    return frozenset(ref.sha256 for _path, state in others for ref in all_recordings(state))


def _near(
    files: AthleteFiles, known: set[Path], places: Places, look_in: Sequence[Path]
) -> Iterator[tuple[Path, ReviewState]]:
    """Other reviews where the athlete's files lie, and where the program keeps some."""
    folders = {path.parent for path in (*files.reviews.values(), *files.recordings)}
    folders |= {places.data / "reviews", places.data / "rescued"}
    near = (p for folder in folders if folder.is_dir() for p in folder.glob(f"*{ENDING}"))
    for path in sorted({*near, *review_files(look_in)}):
        if path not in known and is_plain_file(path) and ".schema-" not in path.name:
            with contextlib.suppress(ReviewError):
                yield path, read_review(path)


def _names_another(path: Path, keys: Collection[str]) -> bool:
    with contextlib.suppress(ReviewError):
        key = name_key(read_review(path).athlete)
        return bool(key) and key not in keys
    return False


def _with_real(reviews: Iterable[Path]) -> list[Path]:
    """Reviews, and where one is a link, first the file that was read through it."""
    found: dict[Path, None] = {}
    for path in reviews:
        if path.is_symlink():
            found[path.resolve()] = None
        found[path] = None
    return list(found)


def _beside(reviews: Iterable[Path]) -> list[Path]:
    """What lives beside a review: unsaved voices and walkthroughs, SQLite's own files."""
    found = []
    for path in reviews:
        found += [path.with_suffix(ending) for ending in BESIDE]
        found += [path.with_name(path.name + ending) for ending in SIDE_FILES]
    return [path for path in found if path.is_file() or is_plain_folder(path)]


def _remove(path: Path, removed: list[Path], failed: list[tuple[Path, str]]) -> None:
    try:
        if is_plain_folder(path):
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
        removed.append(path)
    except OSError as error:
        failed.append((path, (error.strerror or "the system refused").lower()))


def _clear(folder: Path) -> None:
    """Empty the caches: what is in them may be of anybody, and is made anew when it is needed."""
    if not is_plain_folder(folder):  # a link may lead to anything
        return
    with contextlib.suppress(OSError):
        for path in folder.iterdir():
            if is_plain_folder(path):
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)


def _remains(
    library: Library, past: Past, files: AthleteFiles, shared: Sequence[Path], places: Places
) -> tuple[str, ...]:
    said = [
        f"The bundle of {bundle.sent_at[:10]} is with whoever it was sent to"
        + (f", and at {bundle.path}." if bundle.path else ".")
        for review in past.reviews
        for bundle in review.bundles
    ]
    said += [f"The review {name} was not found; delete it by hand." for name in files.lost]
    said += [f"{name} names somebody else by now; it stays." for name in files.unlike]
    said += [f"The recording {name} was not found where it was." for name in files.missing]
    said += [f"{path} stays: another review uses it." for path in shared]
    if places.cache.is_symlink():
        said.append(f"{places.cache} leads elsewhere and is not emptied; do that by hand.")
    said.append(
        "Copies you made yourself, backups of your disk, reference strokes you kept, the log of "
        "errors, and other reviews that compare with these are not reached from here."
    )
    if library.is_club:
        said.append("Backups of the club's database, and other coaches' machines, keep theirs.")
    return tuple(said)
