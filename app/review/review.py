"""One review being worked on: its state, its undo, its file, and who wants to know of changes."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.review.file.store import Opened
from app.review.filed import Filed
from app.review.history import History
from app.review.keeping import Keeping, refuse_taken
from app.review.listeners import Callback, Listeners
from app.review.merging import Merged
from app.review.moving import Moved
from app.review.parts.about import new_review_id
from app.review.parts.change import Change
from app.review.parts.check import check_change, check_state
from app.review.parts.state import ReviewState
from app.review.saver import Saver, SaveStatus, Saving
from app.review.values.errors import ChangedElsewhere, FileBusy, ReviewError

FLUSH_S = 10.0  # how long closing waits for a slow disk
_MERGES = 50  # each time somebody else got on, so that this ends


class Review(Filed):
    """The work of one coach on one submission.

    Every change goes through `do`, is saved and can be undone. Use it from one thread; `state` is
    frozen and may be handed to any other. Saving is done before `do` returns, or in the background
    once `save_in_background` was called.

    Parameters
    ----------
    state : where the work starts
    path : the review file, or None for a review that has none yet
    """

    def __init__(self, state: ReviewState, path: Path | None = None) -> None:
        check_state(state)
        super().__init__(state, Keeping(path, state))
        self._saver: Saver | None = None
        self._history = History()
        self._dirty = False
        self._changed = False  # anything since it was opened, also what was taken back again
        self._when_saved: list[Callable[[], None]] = []
        self._listeners = Listeners()
        self.on_save_error: Callable[[str], None] | None = None
        self.on_merge: Callable[[Merged], None] | None = None

    @classmethod
    def create(cls, path: Path, state: ReviewState, *, replace_existing: bool = False) -> Review:
        """Write a new review file and return the review; it gets an identity if it has none.

        Raises
        ------
        ReviewError
            The file exists already, or cannot be written.
        """
        path = Path(path)
        if not replace_existing:
            refuse_taken(path)
        review = cls(replace(state, review_id=state.review_id or new_review_id()), path)
        review._keeping.create(review._state)
        return review

    @classmethod
    def open(cls, path: Path, cancelled: Callable[[], bool] | None = None) -> Review:
        """Open a review file.

        Parameters
        ----------
        cancelled : asked while it is read; True ends it

        Raises
        ------
        ReviewError
            It cannot be read (`DamagedReview` where recovering it can help), or cancelled.
        """
        keeping, opened = Keeping.open(Path(path), cancelled)
        review = cls(opened.state, Path(path))
        review._keeping = keeping
        review._history = History(opened.undo)
        return review

    def save_in_background(self, told: Callable[[SaveStatus], None]) -> None:
        """From now on save in a thread; `told` hears how it went, in that thread.

        Whoever hears hands the status to `settle` in the review's own thread.
        """
        if self._saver is None and self._keeping.path is not None:
            self._saver = Saver(self._keeping.write, told)
            if self._dirty:
                self._saver.submit(self._state)

    def settle(self, status: SaveStatus) -> None:
        """Take in how a saving in the background went; old news is passed over."""
        if status.saving is Saving.SAVED:
            if not self.unsaved:
                self._saved()
        elif isinstance(status.problem, ChangedElsewhere):
            # One that is being written meets the same news, and may sit before a held file.
            is_writing = self._saver is not None and self._saver.is_writing
            if not is_writing and self._keeping.is_news(status.problem):
                self.take_in(status.problem.theirs)
        elif status.problem is not None and self.unsaved and self.on_save_error is not None:
            self.on_save_error(self._keeping.sentence(status.problem))

    def when_saved(self, then: Callable[[], None]) -> None:
        """Call something once all that was changed up to now is in the file."""
        self._when_saved.append(then)
        if not self.unsaved:
            self._saved()

    @property
    def state(self) -> ReviewState:
        """What the review holds now."""
        return self._state

    @property
    def unsaved(self) -> bool:
        """Whether something is not in the file yet."""
        if self._saver is not None:
            return self._saver.status.saving is not Saving.SAVED
        return self._dirty

    @property
    def undo_label(self) -> str | None:
        """What `undo` would take back, or None."""
        return self._history.undo_label

    @property
    def redo_label(self) -> str | None:
        """What `redo` would bring back, or None."""
        return self._history.redo_label

    def do(self, change: Change, save: bool = True) -> None:
        """Make a change, save it and tell everyone.

        Parameters
        ----------
        save : False while more changes follow at once; call `save` after the last

        Raises
        ------
        ReviewError
            The change cannot be made, and nothing was changed; or, where saving is not done in the
            background and nobody listens to `on_save_error`, it could not be saved.
        """
        before = self._state
        after = change.apply(before)
        if after == before:
            return
        if change.is_work:
            after = replace(after, draft=False)
        check_change(after, before)
        self._history.record(change, before, after)
        self._move_to(after, save)

    def undo(self) -> None:
        """Take back the last change; nothing happens when there is none.

        Raises
        ------
        ReviewError
            A change of an earlier session cannot be taken back any more; nothing was changed.
        """
        if (before := self._history.undo(self._state, self._keeping.asset)) is not None:
            self._move_to(before)

    def redo(self) -> None:
        """Bring back the change last taken back; nothing happens when there is none."""
        if (after := self._history.redo()) is not None:
            self._move_to(after)

    def seal(self) -> None:
        """End a run of merging changes: what is typed next is an undo step of its own."""
        self._history.seal()

    def save(self, patience_s: float = FLUSH_S) -> bool:
        """Save what is not in the file yet, and wait for it.

        Parameters
        ----------
        patience_s : how long to wait for a saving in the background; 0 only hurries it

        Returns
        -------
        bool
            False when it could not be saved: `on_save_error` hears why, and it is tried again.
        """
        previous = self._state
        if self._saver is not None:
            return self._flush(self._saver, patience_s)
        try:
            return self._save_here()
        finally:
            if self._state is not previous:  # somebody else's work came in
                self._listeners.tell(self._state, previous)

    def write_as(self, path: Path) -> Moved:
        """Write all of it into another file, from any thread; `go_on` has to follow.

        Raises
        ------
        ReviewError
            The old file is still in use; `ChangedElsewhere` is to be handed to `take_in`.
        """
        old, written = self.path, self._state
        wanted = self._history.wanted_assets()
        state, lost = self._keeping.move_to(Path(path), written, wanted)
        return Moved(old, Path(path), written, state, lost)

    def go_on(self, moved: Moved) -> tuple[str, ...]:
        """Go on in the file that was written; what was changed meanwhile goes into it too.

        Returns
        -------
        tuple of str
            Sentences about voices and pictures that could not be carried over.
        """
        previous = self._state
        self._state = moved.seen(previous)
        self._history.move(moved.old, moved.path, moved.state.review_id)
        self._dirty = previous is not moved.written
        if self._saver is not None:
            # One that waited to try again still names things as the old file saw them.
            self._saver.submit(self._state)
        elif self._dirty:
            self._save_here()
        if self._state != previous:
            self._listeners.tell(self._state, previous)
        if not self.unsaved:
            self._saved()
        return moved.lost

    def take_in(self, theirs: Opened) -> Merged:
        """Join what somebody else saved meanwhile with what was changed here, and save both."""
        previous = self._state
        if self._saver is not None:
            self._saver.withdraw(FLUSH_S)  # what is written next must hold theirs, too
        both = self._join(theirs)
        try:
            if self._saver is not None:
                self._saver.submit(both.state)
            else:
                self._dirty = True
                self._save_here()
        finally:
            self._listeners.tell(self._state, previous)
        return both

    def close(self) -> bool:
        """Save what is left, put the file in order, and let go of it.

        False when something could not be saved; ask before closing (see `rescue_path`).
        """
        saved = False
        with contextlib.suppress(ReviewError):
            saved = self.save()
        if self._saver is not None:
            self._saver.close()
            self._saver = None
            self._dirty = not saved
        if saved and self._changed and self._keeping.path is not None:
            with contextlib.suppress(ReviewError):  # done when it is closed the next time
                undo = self._history.to_store(self._state, self._keeping.size_of)
                self._keeping.finish(self._state, undo)
        self._keeping.let_go()
        return saved

    def subscribe(self, callback: Callback) -> Callable[[], None]:
        """Call `callback(state, previous)` after every change; the result ends that."""
        return self._listeners.add(callback)

    def _flush(self, saver: Saver, patience_s: float) -> bool:
        """Wait for the background, and merge as often as somebody else saves in between."""
        for _again in range(_MERGES):
            problem = saver.flush(patience_s).problem
            if not isinstance(problem, ChangedElsewhere):
                break
            if not self._keeping.is_news(problem):
                saver.submit(self._state)
                continue
            self.take_in(problem.theirs)
        return saver.flush(patience_s).saving is Saving.SAVED

    def _save_here(self) -> bool:
        """Save in this thread, together with what somebody else saved meanwhile."""
        if not self._dirty or self._keeping.path is None:
            return not self._dirty
        try:
            _merging(lambda: self._keeping.write(self._state), self._join)
        except ReviewError as error:
            if self.on_save_error is None:
                raise
            self.on_save_error(self._keeping.sentence(error))
            return False
        self._dirty = False
        self._saved()
        return True

    def _join(self, theirs: Opened) -> Merged:
        """Make the state that of both; what was done here is taken back without the other's."""
        both = self._keeping.merge(self._state, theirs)
        self._history.join(self._state, both.state)
        self._state = both.state
        if self.on_merge is not None:
            self.on_merge(both)
        return both

    def _saved(self) -> None:
        while self._when_saved:
            _tidied(self._when_saved.pop(0))

    def _move_to(self, state: ReviewState, save: bool = True) -> None:
        previous, self._state = self._state, state
        self._dirty = self._changed = True
        # First on its way to the disk, then the screen: a failing widget must not cost a note.
        problem: ReviewError | None = None
        if self._saver is not None:
            self._saver.submit(state)
        elif save:
            try:
                self._save_here()
            except ReviewError as error:
                problem = error
        self._listeners.tell(self._state, previous)
        if problem is not None:
            raise problem


def _tidied(then: Callable[[], None]) -> None:
    """Tidying that fails is said, and costs no change its way to the screen."""
    try:
        then()
    except Exception:  # noqa: BLE001 - whatever it is
        sys.excepthook(*sys.exc_info())


def _merging(write: Callable[[], None], join: Callable[[Opened], object]) -> None:
    """Write, and join what somebody else saved in between as often as that happens."""
    for _again in range(_MERGES):
        try:
            return write()
        except ChangedElsewhere as changed:
            join(changed.theirs)
    raise FileBusy("Another program goes on changing this review; close that one.")
