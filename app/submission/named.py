"""What somebody names as a submission: files, folders and packed ones, down to the recordings."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from app.review.values.text import clean_name
from app.submission.kinds import FILM_ENDINGS, recordings_in
from app.submission.load import SubmissionError


@contextmanager
def recordings_of(named: Sequence[Path], keep_in: Path | None) -> Iterator[tuple[Path, ...]]:
    """Give the recordings that are meant by files, folders and .zip files, films in their order.

    A folder stands for the films and force files in it, a .zip with a film in it for what it holds;
    a .zip without one is a packed force file. Films of one folder or .zip come in the order they
    were recorded, or where that is not known in the order of their names.

    Parameters
    ----------
    keep_in : where a .zip is unpacked for good, into a folder of its own; None where what it held
        is not needed afterwards. Of work that fails nothing is left

    Raises
    ------
    SubmissionError
        A folder holds no recordings, or cannot be read.
    UnpackingError
        A .zip cannot be taken.
    """
    with TemporaryDirectory(prefix="strokeside-") as passing:
        place = Path(passing) if keep_in is None else keep_in
        unpacked: list[Path] = []
        try:
            yield tuple(file for path in named for file in _meant(path, place, unpacked))
        except BaseException:
            for folder in unpacked:
                shutil.rmtree(folder, ignore_errors=True)
            raise


def _meant(path: Path, place: Path, unpacked: list[Path]) -> Sequence[Path]:
    if path.is_dir():
        return _of_folder(path)
    if not _holds_films(path):
        return (path,)
    from app.submission.unpacking import unpack

    folder = unpack(path, place)
    unpacked.append(folder)
    return _of_folder(folder)


def _of_folder(folder: Path) -> list[Path]:
    try:
        there = [path for path in recordings_in(folder) if path.suffix.lower() != ".review"]
    except OSError as error:
        raise SubmissionError(
            f"The folder {clean_name(folder.name)} cannot be read ({error.strerror}); nothing was "
            "written: name the files in it."
        ) from None
    if not there:
        raise SubmissionError(
            f"There is no film and no force recording in {clean_name(folder.name)}; nothing was "
            "written: name the folder they lie in, or the files."
        )
    return _in_order(there)


def _in_order(there: list[Path]) -> list[Path]:
    from app.submission.pairing import in_order

    films = [path for path in there if path.suffix.lower() in FILM_ENDINGS]
    return [*in_order(films), *(path for path in there if path not in films)]


def _holds_films(path: Path) -> bool:
    if path.suffix.lower() != ".zip":
        return False
    from app.submission.unpacking import recordings_of_zip

    return any(Path(name).suffix.lower() in FILM_ENDINGS for name in recordings_of_zip(path))
