"""Everything about one athlete as one archive, for the athlete or another machine."""

from __future__ import annotations

import json
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from app.files.atomic import PRIVATE, replacing
from app.files.plain import is_plain_folder
from app.library.errors import LibraryError
from app.library.files import AthleteFiles, files_of
from app.library.library import Library
from app.library.past import Past, past_of
from app.review.backups import copy_review
from app.review.recordings import RecordingAccess
from app.review.values.text import readable

RECORD: Final = "athlete.json"
FORMAT: Final = 1
MOST_OF_BUNDLE: Final = 5_000  # files of one bundle that are taken along
# A fixed moment, the earliest a .zip can name: the same content gives the same bytes.
_MOMENT: Final = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Exported:
    """What was written.

    Attributes
    ----------
    entries : names in the archive
    missing : sentences about what could not be taken along
    """

    path: Path
    entries: tuple[str, ...]
    bytes: int
    missing: tuple[str, ...]


def export_athlete(
    library: Library,
    athlete_id: str,
    target: Path,
    access: RecordingAccess,
    look_in: Sequence[Path] = (),
    *,
    replace: bool = False,
    cancelled: Callable[[], bool] = lambda: False,
) -> Exported:
    """Write one .zip: the library's record as JSON, review files, recordings, bundles sent.

    Parameters
    ----------
    target : must not exist yet, unless it is to be replaced
    access : which recordings may be read on this machine
    cancelled : asked while it writes; nothing is left of it then

    Raises
    ------
    LibraryError
        There is no such athlete, or the archive cannot be written; nothing is left of it.
    """
    if not target.name:
        raise LibraryError(f"{target} is a folder; name the archive to be written in it.")
    target = target if target.suffix.lower() == ".zip" else target.with_name(target.name + ".zip")
    if target.exists() and not replace:
        raise LibraryError(f"{target.name} exists already and was left as it is.")
    past = past_of(library, athlete_id)
    files = files_of(past, access, look_in)
    missing = [
        *(f"The review {name} was not found." for name in files.lost),
        *(f"{name} names somebody else by now." for name in files.unlike),
        *(f"The recording {name} was not found." for name in files.missing),
    ]
    try:
        with replacing(target, PRIVATE) as part, zipfile.ZipFile(part, "w") as archive:
            named = _put_files(archive, past, files, cancelled)
            record = json.dumps(_record(past, named, missing), indent=1)
            archive.writestr(_entry(RECORD), record)
            entries = tuple(archive.namelist())
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise LibraryError(f"{target.name} could not be written ({reason}).") from error
    return Exported(target, entries, target.stat().st_size, tuple(missing))


def _put_files(
    archive: zipfile.ZipFile, past: Past, files: AthleteFiles, cancelled: Callable[[], bool]
) -> dict[str, str]:
    """Put the files in; gives the name in the archive by review, or by recording."""
    named: dict[str, str] = {}
    with tempfile.TemporaryDirectory(prefix="strokeside-") as folder:
        for at, (review_id, path) in enumerate(files.reviews.items(), 1):
            copy = Path(folder) / "copy.review"
            copy_review(path, copy)  # whole, also while a window is saving it
            named[review_id] = f"reviews/{at:03d} {readable(path.name)}"
            _write(archive, named[review_id], copy, cancelled, zipfile.ZIP_DEFLATED)
    for at, path in enumerate(files.recordings, 1):
        name = f"recordings/{at:03d} {readable(path.name)}"
        _write(archive, name, path, cancelled)
        named[str(path)] = name
    for review in past.reviews:
        for bundle in review.bundles:
            for name, path in _of_bundle(bundle.id, bundle.path):
                _write(archive, readable(name), path, cancelled)
    return named


def _of_bundle(bundle_id: str, said: str) -> Iterator[tuple[str, Path]]:
    """The plain files of a bundle, where it still lies there."""
    if not said:
        return
    path = Path(said)
    if path.is_file() and not path.is_symlink():
        yield f"bundles/{bundle_id[:8]}/{path.name}", path
    elif is_plain_folder(path) and (path / "index.html").is_file():
        inside = sorted(p for p in path.rglob("*") if p.is_file() and not p.is_symlink())
        for one in inside[:MOST_OF_BUNDLE]:
            yield f"bundles/{bundle_id[:8]}/{one.relative_to(path).as_posix()}", one


def _write(
    archive: zipfile.ZipFile,
    name: str,
    path: Path,
    cancelled: Callable[[], bool],
    packing: int = zipfile.ZIP_STORED,
) -> None:
    entry = _entry(name, packing)
    entry.file_size = path.stat().st_size
    with path.open("rb") as source, archive.open(entry, "w") as into:
        while piece := source.read(1 << 20):
            if cancelled():
                raise LibraryError("The archive was not finished; nothing is left of it.")
            into.write(piece)


def _entry(name: str, packing: int = zipfile.ZIP_DEFLATED) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _MOMENT)
    entry.compress_type = packing
    entry.external_attr = 0o600 << 16
    return entry


def _record(past: Past, named: dict[str, str], missing: Sequence[str]) -> dict[str, Any]:
    reviews = []
    for review in past.reviews:
        told = asdict(review)
        del told["path"]  # of this machine
        for bundle in told["bundles"]:
            del bundle["path"]
        told["file"] = named.get(review.review_id)
        reviews.append(told)
    return {
        "strokeside_athlete": FORMAT,
        "athlete": asdict(past.athlete),
        "known_as": list(past.names),
        "reviews": reviews,
        "missing": list(missing),
    }
