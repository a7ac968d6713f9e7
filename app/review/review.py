"""One review being worked on: its state, its undo, its file, and who wants to know of changes."""

from __future__ import annotations

import contextlib
from collections import deque
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.review.change import Change
from app.review.check import check_change, check_state
from app.review.errors import ChangedElsewhere, FileBusy, ReviewError
from app.review.file.store import Opened, UndoStep
from app.review.keeping import Keeping
from app.review.merging import Merged, merged
from app.review.moving import Moved
from app.review.parts.about import new_review_id
from app.review.saver import Saver, SaveStatus, Saving
from app.review.state import ReviewState
from app.review.undoing import Step, taken_back, to_store

Callback = Callable[[ReviewState, ReviewState], None]
FLUSH_S = 10.0  # how long closing waits for a slow disk
_MERGES = 5  # tries to save between the savings of somebody else


class Review:
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
        self._state = state
        self._keeping = Keeping(path, state)
        self._saver: Saver | None = None
        self._done: list[Step] = []
        self._undone: list[Step] = []
        self._sealed = False
        self._dirty = False
        self._changed = False  # anything since it was opened, also what was taken back again
        self._when_saved: list[Callable[[], None]] = []
        self._subscribers: list[Callback] = []
        self._news: deque[tuple[ReviewState, ReviewState]] = deque()
        self._telling = False
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
        if path.exists() and not replace_existing:
            raise ReviewError(
                f"{path.name} exists already and was left as it is; choose another name."
            )
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
        review._done = [Step(step.label, stored=step) for step in opened.undo]
        return review

    def protect(self, data_folder: Path) -> None:
        """Keep earlier versions, and what cannot be saved in its place, in the user's folder."""
        self._keeping.protect(data_folder)

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
            if self._saver is not None and self._saver.status is status:
                self.take_in(status.problem.theirs)
        elif status.problem is not None and self.unsaved and self.on_save_error is not None:
            self.on_save_error(self._sentence(status.problem))

    def when_saved(self, then: Callable[[], None]) -> None:
        """Call something once all that was changed up to now is in the file."""
        self._when_saved.append(then)
        if not self.unsaved:
            self._saved()

    def keep_sound(self, sound_id: str, wav: bytes) -> None:
        """Take samples of a voice in; the change that refers to them writes them with it."""
        self._keeping.assets[sound_id] = wav

    def sound(self, sound_id: str) -> bytes:
        """Return the samples of a voice as a WAV file; raises ReviewError when they are gone."""
        return self._keeping.asset(sound_id)

    def keep_logo(self, logo_id: str, png: bytes) -> None:
        """Take a logo in; the change that names it writes it with it."""
        self._keeping.assets[logo_id] = png

    def logo(self) -> bytes | None:
        """Return the logo that is sent as PNG, None where there is none."""
        if not self._state.sending.logo_id:
            return None
        try:
            return self._keeping.asset(self._state.sending.logo_id)
        except ReviewError:  # the page does without
            return None

    @property
    def state(self) -> ReviewState:
        """What the review holds now."""
        return self._state

    @property
    def path(self) -> Path | None:
        """The review file; it follows one that is renamed within its folder."""
        return self._keeping.path

    @property
    def rescue_path(self) -> Path | None:
        """Where what could not be saved in its place lies meanwhile."""
        return self._keeping.rescued

    @property
    def unsaved(self) -> bool:
        """Whether something is not in the file yet."""
        if self._saver is not None:
            return self._saver.status.saving is not Saving.SAVED
        return self._dirty

    @property
    def undo_label(self) -> str | None:
        """What `undo` would take back, or None."""
        return self._done[-1].label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """What `redo` would bring back, or None."""
        return self._undone[-1].label if self._undone else None

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
        last = self._done[-1] if self._done else None
        step = Step(change.label, change, before, after)
        if last is not None and last.change is not None and self._goes_on(change, last.change):
            self._done.pop()
            step = replace(step, before=last.before)
        if after != step.before:  # typed and taken away again is nothing to undo
            self._done.append(step)
        self._sealed = False
        self._undone.clear()
        self._move_to(after, save)

    def undo(self) -> None:
        """Take back the last change; nothing happens when there is none.

        Raises
        ------
        ReviewError
            A change of an earlier session cannot be taken back any more; nothing was changed.
        """
        if not self._done:
            return
        step = self._done[-1]
        try:
            before = taken_back(self._state, step, self._keeping.asset)
        except (ReviewError, KeyError) as error:
            self._done.clear()
            raise ReviewError("That change can no longer be taken back.") from error
        self._done.pop()
        self._undone.append(replace(step, before=before, after=self._state))
        self._sealed = True
        self._move_to(before)

    def redo(self) -> None:
        """Bring back the change last taken back; nothing happens when there is none."""
        if self._undone and (after := self._undone[-1].after) is not None:
            self._done.append(self._undone.pop())
            self._sealed = True
            self._move_to(after)

    def seal(self) -> None:
        """End a run of merging changes: what is typed next is an undo step of its own."""
        self._sealed = True

    def save(self, patience_s: float = FLUSH_S) -> bool:
        """Save what is not in the file yet, and wait for it.

        Parameters
        ----------
        patience_s : how long to wait for a saving in the background; 0 only hurries it

        Returns
        -------
        bool
            False when it could not be saved. The review keeps everything in memory, tells
            `on_save_error` one sentence, and tries again with the next change.
        """
        if self._saver is not None:
            status = self._saver.flush(patience_s)
            if isinstance(status.problem, ChangedElsewhere):
                self.take_in(status.problem.theirs)
                status = self._saver.flush(patience_s)
            return status.saving is Saving.SAVED
        previous = self._state
        try:
            return self._save_here()
        finally:
            if self._state is not previous:
                self._tell(self._state, previous)

    def save_as(self, path: Path) -> tuple[str, ...]:
        """Go on in another file, whatever state the old one is in.

        Returns
        -------
        tuple of str
            Sentences about voices and pictures that could not be carried over.

        Raises
        ------
        ReviewError
            The new file cannot be written; the old one is still in use.
        """
        lost = self.go_on(self.write_as(path))
        if self._saver is not None:
            self._saver.flush(FLUSH_S)
        return lost

    def write_as(self, path: Path) -> Moved:
        """The slow half of `save_as`, which may run in any thread; `go_on` has to follow.

        Raises
        ------
        ReviewError
            The new file cannot be written; the old one is still in use.
        """
        old, written = self.path, self._state
        state, lost = self._keeping.move_to(Path(path), written, ())
        return Moved(old, Path(path), written, state, lost)

    def go_on(self, moved: Moved) -> tuple[str, ...]:
        """The quick half of `save_as`; what was changed meanwhile goes into the new file too."""
        previous = self._state
        self._state = moved.seen(previous)
        self._done = [moved.of_step(step) for step in self._done if moved.has_step(step)]
        self._undone.clear()
        self._dirty = previous is not moved.written
        if self._saver is not None:
            # One that waited to try again still names things as the old file saw them.
            self._saver.submit(self._state)
        elif self._dirty:
            self._save_here()
        if self._state != previous:
            self._tell(self._state, previous)
        if not self.unsaved:
            self._saved()
        return moved.lost

    def lay_aside(self) -> Path | None:
        """Put what is unsaved into a copy now, from any thread; None where that cannot be done."""
        return self._keeping.lay_aside(self._state)

    def take_in(self, theirs: Opened) -> Merged:
        """Join what somebody else saved meanwhile with what was changed here, and save both."""
        previous = self._state
        both = self._join(theirs)
        if self._saver is not None:
            self._saver.submit(both.state)
        else:
            self._dirty = True
            self._save_here()
        self._tell(self._state, previous)
        return both

    def close(self) -> bool:
        """Save what is left, put the file in order, and let go of it.

        Returns
        -------
        bool
            False when something could not be saved; ask before closing (see `rescue_path`).
        """
        saved = True
        with contextlib.suppress(ReviewError):
            saved = False
            saved = self.save()
        if self._saver is not None:
            self._saver.close()
            self._saver = None
            self._dirty = not saved
        if saved and self._changed and self._keeping.path is not None:
            with contextlib.suppress(ReviewError):  # done when it is closed the next time
                self._keeping.finish(self._state, self._stored_undo())
        return saved

    def subscribe(self, callback: Callback) -> Callable[[], None]:
        """Call `callback(state, previous)` after every change; the result ends that."""
        self._subscribers.append(callback)

        def unsubscribe() -> None:
            if callback in self._subscribers:
                self._subscribers.remove(callback)

        return unsubscribe

    def _goes_on(self, change: Change, last: Change) -> bool:
        return not self._sealed and change.merges_with(last)

    def _save_here(self) -> bool:
        """Save in this thread, together with what somebody else saved meanwhile."""
        if not self._dirty or self._keeping.path is None:
            return not self._dirty
        try:
            for _again in range(_MERGES):
                try:
                    self._keeping.write(self._state)
                    break
                except ChangedElsewhere as changed:
                    self._join(changed.theirs)
            else:
                raise FileBusy("Another program goes on changing this review; close that one.")
        except ReviewError as error:
            if self.on_save_error is None:
                raise
            self.on_save_error(self._sentence(error))
            return False
        self._dirty = False
        self._saved()
        return True

    def _join(self, theirs: Opened) -> Merged:
        """Make the state that of both; what was done here is taken back without the other's."""
        both = self._keeping.merge(self._state, theirs)
        base, self._undone = self._state, []
        self._done = [
            replace(
                step,
                before=merged(base, step.before, both.state).state,
                after=merged(base, step.after, both.state).state,
            )
            for step in self._done
            if step.before is not None and step.after is not None
        ]
        self._state = both.state
        if self.on_merge is not None:
            self.on_merge(both)
        return both

    def _stored_undo(self) -> tuple[UndoStep, ...]:
        return to_store(self._done, self._state, self._keeping.size_of)

    def _saved(self) -> None:
        waiting, self._when_saved = self._when_saved, []
        for then in waiting:
            then()

    def _sentence(self, error: ReviewError) -> str:
        kept = self._keeping.rescued
        where = f" A copy of it lies in {kept.name}." if kept is not None else ""
        return f"{error} Your work is kept here and saved as soon as that is possible.{where}"

    def _move_to(self, state: ReviewState, save: bool = True) -> None:
        previous, self._state = self._state, state
        self._dirty = self._changed = True
        # First the disk, then the screen: a failing widget must not cost a note.
        problem: ReviewError | None = None
        if self._saver is not None:
            self._saver.submit(state)
        elif save:
            try:
                self._save_here()
            except ReviewError as error:
                problem = error
        self._tell(self._state, previous)
        if problem is not None:
            raise problem

    def _tell(self, state: ReviewState, previous: ReviewState) -> None:
        """Tell everyone in order, even when a listener itself makes a change."""
        self._news.append((state, previous))
        if self._telling:
            return
        self._telling = True
        try:
            while self._news:
                news = self._news.popleft()
                for callback in tuple(self._subscribers):
                    callback(*news)
        finally:
            self._telling = False
            self._news.clear()
