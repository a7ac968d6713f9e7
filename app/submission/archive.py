"""A review with its recordings as one file, to be opened on another machine.

A .zip: `review/NAME.review`, written anew so that it names its recordings beside it and no place of
this machine; `review/recordings/NAME` for each; `archive.json`, which says of each file how long it
is and its SHA-256. Nothing of the review or its recordings is changed.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from analysis.force.endings import READ
from app.files.alive import own_name
from app.files.atomic import PRIVATE, replacing
from app.files.cleaning import beside
from app.files.private import private_folder
from app.review.file.delta import kept_apart
from app.review.file.store import create_file, read_asset, read_review
from app.review.parts.films import all_recordings
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import OtherRecording, RecordingAccess, name_of, place_of, with_paths
from app.review.recordings.fingerprint import open_regular
from app.review.values.errors import ReviewError
from app.review.values.text import clean_name, plain
from app.submission.kinds import FILM_ENDINGS
from app.submission.unpacking import MOST_BYTES, harmless_name, own_names

RECORD: Final = "archive.json"
KEY: Final = "strokeside_archive"
FORMAT: Final = 1
FOLDER: Final = "review"
RECORDINGS: Final = "recordings"
ENDING: Final = ".review"
_MOMENT: Final = (1980, 1, 1, 0, 0, 0)  # the same content gives the same bytes
_CHUNK: Final = 1 << 20

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]


class ArchiveError(ReviewError):
    """An archive that cannot be written or opened; one sentence for the user."""


@dataclass(frozen=True)
class Archived:
    """What was written.

    Attributes
    ----------
    recordings : names in the archive
    bytes : of the archive
    missing : sentences about what could not be taken along
    """

    path: Path
    recordings: tuple[str, ...]
    bytes: int
    missing: tuple[str, ...]


def archive_review(
    review: Path,
    target: Path,
    access: RecordingAccess,
    *,
    replace: bool = False,
    progress: Progress = lambda _share, _doing: None,
    cancelled: Cancelled = lambda: False,
) -> Archived:
    """Write a review as it is saved, with its recordings, into one file: whole or not at all.

    Parameters
    ----------
    target : gets the ending .zip where it has another
    access : which recordings may be read on this machine
    replace : whether a file that is there may go

    Raises
    ------
    ArchiveError, ReviewError
        The review cannot be read, a recording is another one by now, or the file cannot be
        written; nothing is left of it.
    """
    target = target if target.suffix.lower() == ".zip" else target.with_name(target.name + ".zip")
    state = read_review(review)
    places, missing = _found(state, review, access)
    _refuse_target(target, replace, [review, *(path for _ref, path in places)])
    if sum(ref.size for ref, _path in places) > MOST_BYTES:
        raise ArchiveError(
            f"The recordings of {clean_name(review.name)} are larger than {MOST_BYTES >> 30} GB "
            "together, more than one archive takes; nothing was written. Copy their folder instead."
        )
    names = own_names(_name(ref) for ref, _path in places)
    beside(target)  # what was killed here may be as large as all of it
    try:
        with (
            replacing(target, PRIVATE) as part,
            _for_a_while() as copy,
            zipfile.ZipFile(part, "w") as archive,
        ):
            missing += _write_review(state, review, copy, dict(zip(places, names, strict=True)))
            packing = _Packing(archive, places, progress, cancelled)
            told = [packing.put(f"{FOLDER}/{_review_name(review)}", copy)]
            for (ref, path), name in zip(places, names, strict=True):
                told.append(packing.put(f"{FOLDER}/{RECORDINGS}/{name}", path, ref))
            record = {KEY: FORMAT, "files": told, "missing": missing}
            archive.writestr(_entry(RECORD), json.dumps(record, indent=1))
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise ArchiveError(
            f"{clean_name(target.name)} could not be written ({reason}); nothing is left of it. "
            "Choose another place, or make room."
        ) from error
    return Archived(target, tuple(names), target.stat().st_size, tuple(missing))


@contextlib.contextmanager
def _for_a_while() -> Iterator[Path]:
    """A place for the copy of a review that nobody else reads; tidied away if this is killed."""
    copy = private_folder() / own_name(".archive", f".part{ENDING}")
    try:
        yield copy
    finally:
        copy.unlink(missing_ok=True)


def _found(
    state: ReviewState, review: Path, access: RecordingAccess
) -> tuple[list[tuple[MediaRef, Path]], list[str]]:
    """The recordings that are here, and sentences about the others."""
    found: dict[str, tuple[MediaRef, Path]] = {}
    missing = []
    for ref in all_recordings(state):
        place = place_of(ref, review, access)
        if place.path is not None:
            found[ref.path] = (ref, place.path)
        elif place.outside is not None:
            missing.append(
                f"{name_of(ref.path)} is not in it: it lies outside the review's folder, and "
                "nobody chose it on this machine yet."
            )
        else:
            missing.append(f"{name_of(ref.path)} is not in it: it is not where it was.")
    return list(found.values()), missing


def _refuse_target(target: Path, replace: bool, sources: Sequence[Path]) -> None:
    name = clean_name(target.name)
    if target.exists():
        for path in sources:
            with contextlib.suppress(OSError):
                if target.samefile(path):
                    raise ArchiveError(f"{name} is part of the review; choose another name.")
        if not replace or not target.is_file():
            raise ArchiveError(f"{name} exists already and was left as it is.")
    if not target.parent.is_dir():
        raise ArchiveError(f"There is no folder {clean_name(target.parent.name)}; make it first.")


def _name(ref: MediaRef) -> str:
    """The name of a recording in the archive; one that says nothing gets an ending of its kind."""
    name = harmless_name(name_of(ref.path)).lstrip(".") or ref.kind
    if ref.kind == "video":
        return name if Path(name).suffix in FILM_ENDINGS else harmless_name(f"{name}.mp4")
    return name if Path(name).suffix in READ else harmless_name(f"{name}.txt")


def _review_name(review: Path) -> str:
    name = harmless_name(f"{review.stem}{ENDING}")
    return name if name.endswith(ENDING) else f"piece{ENDING}"


def _write_review(
    state: ReviewState, review: Path, copy: Path, named: dict[tuple[MediaRef, Path], str]
) -> list[str]:
    """Write the review anew, with nothing of this machine and nothing that was taken back."""
    within = {ref.path: f"{RECORDINGS}/{name}" for (ref, _path), name in named.items()}
    moved = with_paths(state, lambda stored: within.get(stored, name_of(stored)), name_of)
    assets: dict[str, bytes] = {}
    lost = 0
    for asset_id in sorted(kept_apart(state)):
        try:
            assets[asset_id] = read_asset(review, asset_id)
        except ReviewError:
            lost += 1
    create_file(copy, moved, assets)
    said = [f"{lost} voice(s) or picture(s) of the review could not be read."] if lost else []
    if moved.comparisons != state.comparisons or moved.self_test != state.self_test:
        said.append("Other reviews it compares with are not in it; send them on their own.")
    return said


class _Packing:
    """Puts files into the archive, and says how far it is."""

    def __init__(
        self,
        archive: zipfile.ZipFile,
        places: Sequence[tuple[MediaRef, Path]],
        progress: Progress,
        cancelled: Cancelled,
    ) -> None:
        self._archive, self._progress, self._cancelled = archive, progress, cancelled
        self._all = sum(ref.size for ref, _path in places) or 1
        self._done = 0

    def put(self, name: str, path: Path, ref: MediaRef | None = None) -> dict[str, Any]:
        """Put a file in as it is; gives what the record says of it.

        Raises
        ------
        ArchiveError
            That was cancelled.
        OtherRecording
            It is not the recording that was reviewed.
        """
        with open_regular(path) as source, self._archive.open(_entry(name, path), "w") as into:
            size, digest = self._copy(source, into, 0.0 if ref is None else 1.0)
        if ref is not None and (size, digest) != (ref.size, ref.sha256):
            raise OtherRecording(ref, path, path)
        return {"name": name, "size": size, "sha256": digest}

    def _copy(self, source: IO[bytes], into: IO[bytes], weight: float) -> tuple[int, str]:
        whole, size = hashlib.sha256(), 0
        while chunk := source.read(_CHUNK):
            if self._cancelled():
                raise ArchiveError("Archiving was cancelled; nothing is left of it.")
            into.write(chunk)
            whole.update(chunk)
            size += len(chunk)
            self._done += int(len(chunk) * weight)
            self._progress(min(1.0, self._done / self._all), "")
        return size, whole.hexdigest()


def _entry(name: str, path: Path | None = None) -> zipfile.ZipInfo:
    """An entry that is not packed further: films are already, and what swells looks like a bomb."""
    entry = zipfile.ZipInfo(name, _MOMENT)
    entry.compress_type = zipfile.ZIP_STORED
    entry.external_attr = 0o600 << 16
    if path is not None:
        entry.file_size = path.stat().st_size
    return entry


def title_of(review: Path) -> str:
    """The name an archive of a review is proposed under."""
    return f"{plain(review.stem, 80)} with recordings.zip"
