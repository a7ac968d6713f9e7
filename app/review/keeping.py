"""A review and its file: which it is, what it holds, and what to do when it cannot be written."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from app.files.free_name import free_beside
from app.review.backups import BackupShelf, copy_review
from app.review.errors import ChangedElsewhere, FileBusy, ReviewError
from app.review.file.delta import kept_apart
from app.review.file.store import (
    Opened,
    Stamp,
    UndoStep,
    asset_size,
    create_file,
    finish,
    read_asset,
    read_file,
    save,
    wanted_assets,
)
from app.review.merging import Merged, merged
from app.review.parts.about import new_review_id
from app.review.recordings import rebase
from app.review.rescue import Rescue
from app.review.state import ReviewState

# Another program holds a file for a moment only, as a rule; after so many tries a copy is made.
BUSY_TRIES: Final = 3


class Keeping:
    """The file of a review. Every method may be called from any thread.

    Attributes
    ----------
    path : where the file lies now, None for a review that has none
    assets : voices and pictures taken in since opening, by their ids
    """

    def __init__(self, path: Path | None, state: ReviewState, stamp: Stamp | None = None) -> None:
        self.path = path
        self.assets: dict[str, bytes] = {}
        self._stamp = stamp
        self._saved = state
        self._written: set[str] = set()
        self._turn = threading.RLock()
        self._shelf: BackupShelf | None = None
        self._backed_up = False
        self._busy = 0
        self._rescue = Rescue(None)

    @classmethod
    def open(cls, path: Path, cancelled: Callable[[], bool] | None) -> tuple[Keeping, Opened]:
        """Read a file; raises ReviewError when it cannot be read."""
        opened = read_file(path, cancelled)
        return cls(path, opened.state, opened.stamp), opened

    def create(self, state: ReviewState) -> None:
        """Write the file anew; raises ReviewError."""
        if self.path is not None:
            self._stamp = create_file(self.path, state, self.assets)
            self._saved = state
            self._backed_up = True  # there is nothing earlier to keep

    def protect(self, data_folder: Path) -> None:
        """Keep earlier versions, and rescue copies where there is no other place."""
        self._shelf = BackupShelf(data_folder / "backups")
        self._rescue = Rescue(data_folder)

    @property
    def rescued(self) -> Path | None:
        """Where what could not be saved lies meanwhile."""
        return self._rescue.path

    def asset(self, asset_id: str) -> bytes:
        """A voice or a picture; raises ReviewError when it is nowhere to be found."""
        if asset_id in self.assets:
            return self.assets[asset_id]
        if self.path is None:
            raise ReviewError("A recording of this review is not here; record it anew.")
        try:
            return read_asset(self.path, asset_id)
        except ReviewError:
            for backup in self._backups():
                with contextlib.suppress(ReviewError):
                    return read_asset(backup, asset_id)
            raise

    def size_of(self, asset_id: str) -> int:
        """Bytes of a voice or a picture, 0 where it is not there."""
        if asset_id in self.assets:
            return len(self.assets[asset_id])
        with contextlib.suppress(ReviewError):
            if self.path is not None:
                return asset_size(self.path, asset_id)
        return 0

    def write(self, state: ReviewState) -> None:
        """Bring the file up to a state.

        Raises
        ------
        ReviewError
            It could not be written; where that is not just for a moment, a copy was made (see
            `rescued`). `ChangedElsewhere` when somebody else saved the review: merge first.
        """
        with self._turn:
            if self.path is None or self._stamp is None:
                return
            self._back_up()
            new = {id_: data for id_, data in self.assets.items() if id_ not in self._written}
            try:
                place = save(self.path, self._stamp, self._saved, state, new)
            except ChangedElsewhere:
                raise
            except ReviewError as error:
                self._busy += 1
                if not isinstance(error, FileBusy) or self._busy >= BUSY_TRIES:
                    self._rescue.keep(self.path, state, lambda: self._collected(state))
                raise
            self.path, self._stamp = place
            self._saved = state
            self._written |= new.keys()
            self._busy = 0
            self._rescue.forget()

    def lay_aside(self, state: ReviewState) -> Path | None:
        """Put a state into the copy for what cannot be saved; None where that cannot be done."""
        with self._turn:
            if self.path is None:
                return None
            kept = self._rescue.keep(self.path, state, lambda: self._collected(state))
            return self._rescue.path if kept else None

    def merge(self, state: ReviewState, theirs: Opened) -> Merged:
        """Join a state with what somebody else saved; the next `write` writes both.

        Where both had set one thing differently, what the other program wrote is kept as a file
        beside the review.
        """
        with self._turn:
            both = merged(self._saved, state, theirs.state)
            if both.overruled and self.path is not None:
                copy = free_beside(self.path, "changed elsewhere")
                with contextlib.suppress(Exception):
                    copy_review(self.path, copy)
                    both = replace(both, copy=copy)
            self._saved, self._stamp = theirs.state, theirs.stamp
            return both

    def move_to(
        self, path: Path, state: ReviewState, undo: Iterable[UndoStep]
    ) -> tuple[ReviewState, tuple[str, ...]]:
        """Go on in another file, with every voice and picture that can still be read.

        Returns
        -------
        state, sentences
            The state as seen from there, and what could not be carried over.

        Raises
        ------
        ReviewError
            The new file cannot be written; the old one is still in use.
        """
        with self._turn:
            moved = state if self.path is None else rebase(state, self.path, path)
            if self.path is not None and self.path.exists() and self.path != path:
                moved = replace(moved, review_id=new_review_id())
            undo = tuple(undo)
            lost: list[str] = []
            carried = self._collected(state, undo, lost)
            stamp = create_file(path, moved, carried, undo)
            self._rescue.forget()
            self.path, self._stamp, self._saved = path, stamp, moved
            self._written = set(self.assets)
            self._backed_up = True
            said = f"{len(lost)} recording(s) could not be read and were not carried over."
            return moved, (said,) if lost else ()

    def finish(self, state: ReviewState, undo: tuple[UndoStep, ...]) -> None:
        """Put the file in order at the end of a session; raises ReviewError."""
        with self._turn:
            if self.path is not None and self._stamp is not None and state is self._saved:
                finish(self.path, self._stamp, undo, wanted_assets(state, undo))

    def _collected(
        self, state: ReviewState, undo: Iterable[UndoStep] = (), lost: list[str] | None = None
    ) -> Mapping[str, bytes]:
        """The voices and pictures a state refers to; ids of those that are gone into `lost`."""
        found: dict[str, bytes] = {}
        needed = kept_apart(state)
        for asset_id in needed | (wanted_assets(state, undo) if undo else frozenset()):
            try:
                found[asset_id] = self.asset(asset_id)
            except ReviewError:
                if asset_id in needed and lost is not None:
                    lost.append(asset_id)
        return found

    def _back_up(self) -> None:
        """Before the first change of a session: a copy of what was there. It costs no note."""
        if self._backed_up or self._shelf is None or self.path is None:
            return
        self._backed_up = True
        with contextlib.suppress(ReviewError):
            self._shelf.keep(self.path, self._saved.review_id)

    def _backups(self) -> Iterable[Path]:
        if self._shelf is None or not self._saved.review_id:
            return ()
        return (backup.path for backup in self._shelf.list(self._saved.review_id))
