"""What could not be saved in its place: a copy beside it, or in the user's data folder."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Final

from app.files.atomic import PRIVATE, write
from app.review.errors import ReviewError
from app.review.file.store import Stamp, create_file, save
from app.review.recordings import rebase
from app.review.state import ReviewState

_LIST: Final = "rescued.json"


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

    def keep(
        self, review: Path, state: ReviewState, assets: Callable[[], Mapping[str, bytes]]
    ) -> bool:
        """Write the state into the copy; False where it cannot be.

        Parameters
        ----------
        review : the file it should have gone into
        assets : gives its voices and pictures, asked for when the copy is made
        """
        if self.path is not None and self._stamp is not None:
            with contextlib.suppress(ReviewError, OSError):
                here = rebase(state, review, self.path)
                self.path, self._stamp = save(self.path, self._stamp, self._held, here, assets())
                self._held = here
                return True
        folders = [review.parent]
        if self._data_folder is not None:
            folders.append(self._data_folder / "rescued")
        for folder in folders:
            with contextlib.suppress(ReviewError, OSError):
                if folder is not review.parent:
                    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
                self._make(folder, review, state, assets())
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
        path = folder / f"{review.stem[:80]} (rescued {now}){review.suffix or '.review'}"
        here = rebase(state, review, path)
        self._stamp = create_file(path, here, assets)
        self.path, self._held = path, here
        if self._data_folder is not None:
            _note(self._data_folder, new=path)


def rescued(data_folder: Path) -> tuple[Path, ...]:
    """Copies that were not yet brought back or removed, the newest last."""
    return tuple(path for path in _listed(data_folder) if path.is_file())


def put_away(data_folder: Path, path: Path) -> None:
    """Take a copy off the list; the file stays where it is."""
    _note(data_folder, gone=path)


def _listed(data_folder: Path) -> list[Path]:
    with contextlib.suppress(OSError, ValueError, RecursionError):
        told = json.loads((data_folder / _LIST).read_text("utf-8"))
        if isinstance(told, list):
            return [Path(name) for name in told if isinstance(name, str)]
    return []


def _note(data_folder: Path, new: Path | None = None, gone: Path | None = None) -> None:
    paths = [p for p in _listed(data_folder) if p not in (new, gone) and p.is_file()]
    if new is not None:
        paths.append(new)
    with contextlib.suppress(OSError):
        data_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        write(data_folder / _LIST, json.dumps([str(p) for p in paths]).encode(), PRIVATE)
