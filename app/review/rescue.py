"""What could not be saved in its place: a copy beside it, or in the user's data folder."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Final

from app.files.atomic import PRIVATE, write
from app.files.locks import take
from app.files.plain import read_plain
from app.review.file.store import Stamp, create_file, save
from app.review.free_name import held_name
from app.review.parts.state import ReviewState
from app.review.recordings import rebase
from app.review.values.errors import ReviewError

_LIST: Final = "rescued.json"
_MOST_BYTES: Final = 1_000_000  # of the list; what is longer was not written here
_MOST_LISTED: Final = 200
_LOCK_TRIES: Final = 100  # held for the writing of one small file
_LOCK_PAUSE_S: Final = 0.02


class Rescue:
    """The copy of one review whose file cannot be written.

    Parameters
    ----------
    data_folder : where the list of all such copies lies, and a copy that has no other place; None
        for beside the review or not at all
    """

    def __init__(self, data_folder: Path | None) -> None:
        self._data_folder = data_folder
        self.path: Path | None = None
        self._stamp: Stamp | None = None
        self._held = ReviewState()

    def keep(self, review: Path, state: ReviewState, assets: Mapping[str, bytes]) -> bool:
        """Write the state into the copy; False where it cannot be.

        Parameters
        ----------
        review : the file it should have gone into
        assets : its voices and pictures, asked for those that the copy has not yet
        """
        if self.path is not None and self._stamp is not None:
            with contextlib.suppress(ReviewError, OSError):
                here = rebase(state, review, self.path)
                self.path, self._stamp = save(self.path, self._stamp, self._held, here, assets)
                self._held = here
                return True
        # Beside it first, though never in a folder made anew: one that is gone is where a disk was
        # mounted, and what lies there is out of sight once the disk is back.
        with contextlib.suppress(ReviewError, OSError):
            self._make(review.parent, review, state, assets)
            return True
        if self._data_folder is not None:
            folder = self._data_folder / "rescued"
            with contextlib.suppress(ReviewError, OSError):
                folder.mkdir(parents=True, exist_ok=True, mode=0o700)
                self._make(folder, review, state, assets)
                return True
        return False

    def forget(self) -> None:
        """Remove the copy: what it holds is in the review now."""
        if self.path is not None:
            with contextlib.suppress(OSError):
                self.path.unlink(missing_ok=True)
            if self._data_folder is not None:
                _note(self._data_folder, gone=self.path)
        self.path = self._stamp = None

    def _make(
        self, folder: Path, review: Path, state: ReviewState, assets: Mapping[str, bytes]
    ) -> None:
        now = datetime.now().strftime("%Y-%m-%d %H.%M.%S")
        with held_name(folder / review.name, f"rescued {now}") as path:
            here = rebase(state, review, path)
            self._stamp = create_file(path, here, assets)
        self.path, self._held = path, here
        if self._data_folder is not None:
            _note(self._data_folder, new=path)


def rescued(data_folder: Path) -> tuple[Path, ...]:
    """Copies that were not yet brought back or removed, the newest last."""
    return tuple(path for path in _listed(data_folder) if _is_file(path))


def put_away(data_folder: Path, path: Path) -> None:
    """Take a copy off the list; the file stays where it is."""
    _note(data_folder, gone=path)


def _listed(data_folder: Path) -> list[Path]:
    with contextlib.suppress(OSError, ValueError, RecursionError):
        told = json.loads(read_plain(data_folder / _LIST, _MOST_BYTES))
        if isinstance(told, list):
            paths = [Path(name) for name in told if isinstance(name, str)]
            return [path for path in paths if path.is_absolute()]
    return []


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name longer than any, or one that is none
        return False


def _note(data_folder: Path, new: Path | None = None, gone: Path | None = None) -> None:
    with contextlib.suppress(OSError):
        data_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    with _alone(data_folder):
        _note_alone(data_folder, new, gone)


@contextlib.contextmanager
def _alone(data_folder: Path) -> Iterator[None]:
    """Keep other windows from the list: of two that add a copy at once, one would be forgotten."""
    lock = None
    with contextlib.suppress(OSError):  # without locks the list is as good as it can be
        for _ in range(_LOCK_TRIES):
            lock = take(data_folder / f"{_LIST}.lock")
            if lock is not None:
                break
            time.sleep(_LOCK_PAUSE_S)
    try:
        yield
    finally:
        if lock is not None:
            lock.release()


def _note_alone(data_folder: Path, new: Path | None, gone: Path | None) -> None:
    # A copy on a disk that is not there just now is still a copy.
    paths = [p for p in _listed(data_folder) if p not in (new, gone) and not _is_gone(p)]
    if new is not None:
        paths.append(new.absolute())
    with contextlib.suppress(OSError):
        said = json.dumps([str(p) for p in paths[-_MOST_LISTED:]])
        write(data_folder / _LIST, said.encode(), PRIVATE)


def _is_gone(path: Path) -> bool:
    try:
        return path.parent.is_dir() and not path.is_file()
    except (OSError, ValueError):
        return True
