"""A review and its file: which it is, what it holds, and what to do when it cannot be written."""

from __future__ import annotations

import contextlib
import sqlite3
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from app.review.backups import BackupShelf, copy_review
from app.review.file.delta import kept_apart
from app.review.file.guard import LONGEST_VALUE
from app.review.file.store import (
    Opened,
    Stamp,
    UndoStep,
    asset_size,
    create_file,
    find,
    finish,
    read_asset,
    read_file,
    save,
    wanted_assets,
)
from app.review.free_name import held_name
from app.review.merging import Merged, merged
from app.review.open_mark import OpenMark
from app.review.parts.about import new_review_id
from app.review.parts.state import ReviewState
from app.review.recordings import rebase
from app.review.rescue import Rescue
from app.review.values.errors import ChangedElsewhere, FileBusy, ReviewError
from app.review.values.text import plain

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
        self._tried: ReviewState | None = None  # of a saving that was said to have failed
        # Marks of every state of the file that this review holds already.
        self._known = set() if stamp is None else {stamp.revision}
        self._turn = threading.RLock()
        self._shelf: BackupShelf | None = None
        self._backed_up = False
        self._busy = 0
        self._rescue = Rescue(None)
        self._data_folder: Path | None = None
        self._open: OpenMark | None = None

    @classmethod
    def open(cls, path: Path, cancelled: Callable[[], bool] | None) -> tuple[Keeping, Opened]:
        """Read a file; raises ReviewError when it cannot be read."""
        opened = read_file(path, cancelled)
        return cls(path, opened.state, opened.stamp), opened

    def create(self, state: ReviewState) -> None:
        """Write the file anew; raises ReviewError."""
        if self.path is not None:
            self._took(self.path, create_file(self.path, state, self.assets), state)
            self._backed_up = True  # there is nothing earlier to keep

    def protect(self, data_folder: Path) -> None:
        """Keep earlier versions and rescue copies, and tell others that the review is open."""
        self._shelf = BackupShelf(data_folder / "backups")
        self._rescue = Rescue(data_folder)
        self._data_folder = data_folder
        self._mark_open()

    def let_go(self) -> None:
        """Tell others that the review is open here no longer."""
        if self._open is not None:
            self._open.release()

    def _mark_open(self) -> None:
        """Under the identity it has now."""
        self.let_go()
        if self._data_folder is not None and self._saved.review_id:
            self._open = OpenMark(self._data_folder, self._saved.review_id)

    @property
    def rescued(self) -> Path | None:
        """Where what could not be saved lies meanwhile."""
        return self._rescue.path

    def asset(self, asset_id: str, most_bytes: int = LONGEST_VALUE) -> bytes:
        """A voice or a picture; raises ReviewError when none of that size is to be found."""
        if asset_id in self.assets:
            return self.assets[asset_id]
        if self.path is None:
            raise ReviewError("A recording of this review is not here; record it anew.")
        try:
            return read_asset(self._place(), asset_id, most_bytes)
        except ReviewError:
            for backup in self._backups():
                with contextlib.suppress(ReviewError):
                    return read_asset(backup, asset_id, most_bytes)
            raise

    def asset_or_none(self, asset_id: str, most_bytes: int) -> bytes | None:
        """A picture the page can do without; larger than any, it is not read."""
        with contextlib.suppress(ReviewError):
            return self.asset(asset_id, most_bytes) if asset_id else None
        return None

    def size_of(self, asset_id: str) -> int:
        """Bytes of a voice or a picture, 0 where it is not there."""
        if asset_id in self.assets:
            return len(self.assets[asset_id])
        with contextlib.suppress(ReviewError):
            if self.path is not None:
                return asset_size(self._place(), asset_id)
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
            if self.path is None:
                return
            try:
                if self._stamp is None:
                    refuse_taken(self.path)
                    self.create(state)
                else:
                    self._bring_up(self._place(), self._stamp, state)
            except ChangedElsewhere:
                raise
            except ReviewError as error:
                self._busy += 1
                if not isinstance(error, FileBusy) or self._busy >= BUSY_TRIES:
                    self._rescue.keep(self.path, state, _OnDemand(self.asset))
                raise
            self._backed_up = True
            self._busy = 0
            self._rescue.forget()

    def sentence(self, error: ReviewError) -> str:
        """What went wrong with a saving, and where the work is meanwhile."""
        kept = self._rescue.path
        where = f" A copy of it lies in {plain(str(kept), 300)}." if kept is not None else ""
        return f"{error} Your work is kept here and saved as soon as that is possible.{where}"

    def is_news(self, changed: ChangedElsewhere) -> bool:
        """Whether what somebody else saved was not merged yet."""
        with self._turn:
            return self._stamp is not None and changed.expected in ("", self._stamp.revision)

    def lay_aside(self, state: ReviewState) -> Path | None:
        """Put a state into the copy for what cannot be saved; None where that cannot be done."""
        with self._turn:
            if self.path is None:
                return None
            kept = self._rescue.keep(self.path, state, _OnDemand(self.asset))
            return self._rescue.path if kept else None

    def merge(self, state: ReviewState, theirs: Opened) -> Merged:
        """Join a state with what somebody else saved; the next `write` writes both.

        Where both had set one thing differently, what the other program wrote is kept as a file
        beside the review. Where an earlier state of this very review was put back, as folders that
        are kept the same on two machines do, nothing of it is new.
        """
        with self._turn:
            is_earlier = theirs.stamp.revision in self._known
            both = merged(theirs.state if is_earlier else self._saved, state, theirs.state)
            if both.overruled and self.path is not None:
                # Whatever hinders the copy, the work itself is not to be lost for it.
                with contextlib.suppress(ReviewError, sqlite3.Error, OSError):
                    with held_name(self.path, "changed elsewhere") as copy:
                        copy_review(self.path, copy)
                    both = replace(both, copy=copy)
            if self.path is not None:
                self._took(self.path, theirs.stamp, theirs.state)
            return both

    def move_to(
        self, path: Path, state: ReviewState, also: frozenset[str] = frozenset()
    ) -> tuple[ReviewState, tuple[str, ...]]:
        """Go on in another file, with every voice and picture that can still be read.

        Parameters
        ----------
        also : ids of voices and pictures that undo may want

        Returns
        -------
        state, sentences
            The state as seen from there, and what could not be carried over.

        Raises
        ------
        ReviewError
            The new file cannot be written; the old one is still in use. `ChangedElsewhere` when
            it is the review's own file, and somebody else saved it since: merge first.
        """
        with self._turn:
            self._refuse_news(path)
            moved = state if self.path is None else rebase(state, self.path, path)
            if self.path is not None and self.path.exists() and self.path != path:
                moved = replace(moved, review_id=new_review_id())
            needed = kept_apart(state)
            carried = self._collected(needed | also)
            lost = needed - carried.keys()
            self._took(path, create_file(path, moved, carried), moved)
            self._mark_open()
            self._rescue.forget()
            self._backed_up = True
            said = f"{len(lost)} recording(s) could not be read and were not carried over."
            return moved, (said,) if lost else ()

    def finish(self, state: ReviewState, undo: tuple[UndoStep, ...]) -> None:
        """Put the file in order at the end of a session; raises ReviewError."""
        with self._turn:
            if self.path is not None and self._stamp is not None and state is self._saved:
                finish(self.path, self._stamp, undo, wanted_assets(state, undo))

    def _refuse_news(self, path: Path) -> None:
        """Write over nothing that somebody else saved in the own file meanwhile."""
        if self.path is None or self._stamp is None or not _is_one_name(path, self.path):
            return
        try:
            theirs = read_file(path)
        except ReviewError:
            return  # gone, damaged or no review: it is written anew
        is_own = theirs.state.review_id == self._saved.review_id
        if is_own and theirs.stamp.revision not in self._known:
            raise ChangedElsewhere(
                f"{plain(path.name)} was changed by another program since.", theirs
            )

    def _took(self, path: Path, stamp: Stamp, state: ReviewState) -> None:
        """Note what the file holds now."""
        self.path, self._stamp, self._saved, self._tried = path, stamp, state, None
        self._known.add(stamp.revision)

    def _bring_up(self, path: Path, stamp: Stamp, state: ReviewState) -> None:
        """Save; a saving that was said to have failed and had not is no news."""
        self._back_up(path)
        before, self._tried = self._tried, state
        assets = _OnDemand(self.asset)
        try:
            self._took(*save(path, stamp, self._saved, state, assets), state)
        except ChangedElsewhere as changed:
            if before is None or changed.theirs.state != before:
                raise
            self._took(path, changed.theirs.stamp, before)
            self._took(*save(path, changed.theirs.stamp, before, state, assets), state)

    def _place(self) -> Path:
        """Where the file is now, also where it was renamed meanwhile."""
        if self.path is None:
            raise ReviewError("This review has no file yet.")
        if self._stamp is not None:
            with contextlib.suppress(ReviewError):
                return find(self.path, self._stamp)
        return self.path

    def _collected(self, ids: Iterable[str]) -> dict[str, bytes]:
        """Voices and pictures by their ids, without those that cannot be read any more."""
        found: dict[str, bytes] = {}
        for asset_id in ids:
            with contextlib.suppress(ReviewError):
                found[asset_id] = self.asset(asset_id)
        return found

    def _back_up(self, path: Path) -> None:
        """Before the first change of a session: a copy of what was there. It costs no note."""
        if self._backed_up or self._shelf is None:
            return
        try:
            self._shelf.keep(path, self._saved.review_id)
        except FileBusy:
            return  # so is the saving: both are tried again
        except ReviewError:
            pass  # no room, or no identity
        self._backed_up = True

    def _backups(self) -> Iterable[Path]:
        if self._shelf is None or not self._saved.review_id:
            return ()
        return (backup.path for backup in self._shelf.list(self._saved.review_id))


def refuse_taken(path: Path) -> None:
    """Write over nothing; raises ReviewError where a file has the name already."""
    if path.exists():
        name = plain(path.name)
        raise ReviewError(f"{name} exists already and was left as it is; choose another name.")


def _is_one_name(a: Path, b: Path) -> bool:
    """Whether two paths are the same file by its own name, also where case does not matter."""
    if a.absolute() == b.absolute():
        return True
    with contextlib.suppress(OSError):
        return a.name.casefold() == b.name.casefold() and not a.is_symlink() and a.samefile(b)
    return False


class _OnDemand(Mapping[str, bytes]):
    """Voices and pictures that are looked for when a saving finds that its file lacks them."""

    def __init__(self, find: Callable[[str], bytes]) -> None:
        self._find = find

    def __getitem__(self, asset_id: str) -> bytes:
        try:
            return self._find(asset_id)
        except ReviewError:
            raise KeyError(asset_id) from None

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0
