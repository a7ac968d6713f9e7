"""One review being worked on: its state, its undo, its file, and who wants to know of changes."""

from __future__ import annotations

import contextlib
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from app.review.changes import Change
from app.review.check import check_state
from app.review.errors import ReviewError
from app.review.file.store import (
    Sounds,
    read_logo,
    read_sound,
    read_with_revision,
    sound_ids,
    write_review,
)
from app.review.recordings import rebase
from app.review.state import ReviewState

Callback = Callable[[ReviewState, ReviewState], None]


@dataclass(frozen=True)
class _Step:
    """A change with the states around it."""

    change: Change
    before: ReviewState
    after: ReviewState


class Review:
    """The work of one coach on one submission.

    Every change goes through `do`, is saved at once and can be undone. Use it from one thread;
    `state` is frozen and may be handed to any other.

    Parameters
    ----------
    state : where the work starts
    path : the review file, or None for a review that has none yet
    """

    def __init__(self, state: ReviewState, path: Path | None = None) -> None:
        check_state(state)
        self._state = state
        self._path = path
        self._revision: str | None = None
        self._done: list[_Step] = []
        self._undone: list[_Step] = []
        self._sealed = False
        self._dirty = False
        # What was spoken since opening stays here too: a file that failed gets it later.
        self._sounds: dict[str, bytes] = {}
        self._logos: dict[str, bytes] = {}
        self._unused: frozenset[str] = frozenset()
        self._subscribers: list[Callback] = []
        self._news: deque[tuple[ReviewState, ReviewState]] = deque()
        self._telling = False
        self.on_save_error: Callable[[str], None] | None = None

    @classmethod
    def create(cls, path: Path, state: ReviewState, *, replace_existing: bool = False) -> Review:
        """Write a new review file and return the review.

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
        review = cls(state, path)
        review._revision = write_review(path, state)
        return review

    @classmethod
    def open(cls, path: Path) -> Review:
        """Open a review file; raises ReviewError when it cannot be read."""
        path = Path(path)
        state, revision = read_with_revision(path)
        review = cls(state, path)
        review._revision = revision
        review._unused = sound_ids(path, unused=True)
        if state.sending.logo_id:
            with contextlib.suppress(ReviewError):  # the page does without
                review._logos[state.sending.logo_id] = read_logo(path, state.sending.logo_id)
        return review

    def keep_sound(self, sound_id: str, wav: bytes) -> None:
        """Take samples of a voice in; the change that refers to them writes them with it."""
        self._sounds[sound_id] = wav

    def sound(self, sound_id: str) -> bytes:
        """Return the samples of a voice as a WAV file; raises ReviewError when they are gone."""
        if sound_id in self._sounds:
            return self._sounds[sound_id]
        if self._path is None:
            raise ReviewError("The sound of this voice note is not here; record it anew.")
        return read_sound(self._path, sound_id)

    def keep_logo(self, logo_id: str, png: bytes) -> None:
        """Take a logo in; the change that names it writes it with it."""
        self._logos[logo_id] = png

    def logo(self) -> bytes | None:
        """Return the logo that is sent as PNG, None where there is none."""
        return self._logos.get(self._state.sending.logo_id)

    @property
    def state(self) -> ReviewState:
        """What the review holds now."""
        return self._state

    @property
    def path(self) -> Path | None:
        """The review file."""
        return self._path

    @property
    def unsaved(self) -> bool:
        """Whether something is not in the file yet."""
        return self._dirty

    @property
    def undo_label(self) -> str | None:
        """What `undo` would take back, or None."""
        return self._done[-1].change.label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """What `redo` would bring back, or None."""
        return self._undone[-1].change.label if self._undone else None

    def do(self, change: Change, save: bool = True) -> None:
        """Make a change, save it and tell everyone.

        Parameters
        ----------
        save : False while a hand is still dragging; call `save` when it lets go

        Raises
        ------
        ReviewError
            The change cannot be made; nothing was changed.
        """
        before = self._state
        after = change.apply(before)
        if after == before:
            return
        if change.is_work:
            after = replace(after, draft=False)
        check_state(after)
        last = self._done[-1] if self._done else None
        if last is not None and not self._sealed and change.merges_with(last.change):
            self._done.pop()
            if after != last.before:  # typed and taken away again is nothing to undo
                self._done.append(_Step(change, last.before, after))
        else:
            self._done.append(_Step(change, before, after))
        self._sealed = False
        self._undone.clear()
        self._move_to(after, save)

    def undo(self) -> None:
        """Take back the last change; nothing happens when there is none."""
        if self._done:
            step = self._done.pop()
            self._undone.append(step)
            self._sealed = True
            self._move_to(step.before)

    def redo(self) -> None:
        """Bring back the change last taken back; nothing happens when there is none."""
        if self._undone:
            step = self._undone.pop()
            self._done.append(step)
            self._sealed = True
            self._move_to(step.after)

    def seal(self) -> None:
        """End a run of merging changes: what is typed next is an undo step of its own."""
        self._sealed = True

    def save(self) -> bool:
        """Save what is not in the file yet.

        Returns
        -------
        bool
            False when it could not be saved. The review keeps everything in memory, tells
            `on_save_error` one sentence, and tries again with the next change.
        """
        if self._path is None or not self._dirty:
            return not self._dirty
        try:
            sounds = Sounds(self._sounds, self._unused, logos=self._logos)
            self._revision = write_review(self._path, self._state, self._revision, sounds)
        except ReviewError as error:
            if self.on_save_error is not None:
                self.on_save_error(
                    f"{error} Your work is kept here and saved with the next change."
                )
            return False
        self._dirty = False
        self._unused = frozenset()  # from now on undo may want each of them
        return True

    def save_as(self, path: Path) -> None:
        """Go on in another file; raises ReviewError, with the old file still in use.

        Paths of recordings are stored as seen from the review, so all states are told the move.
        """
        path, old = Path(path), self._path

        def moved(state: ReviewState) -> ReviewState:
            return state if old is None else rebase(state, old, path)

        state = moved(self._state)
        sounds = Sounds(self._sounds, copy_from=old, logos=self._logos)
        self._revision = write_review(path, state, sounds=sounds)
        self._path, self._dirty = path, False
        for steps in (self._done, self._undone):
            steps[:] = [_Step(s.change, moved(s.before), moved(s.after)) for s in steps]
        previous, self._state = self._state, state
        if state != previous:
            self._tell(state, previous)

    def subscribe(self, callback: Callback) -> Callable[[], None]:
        """Call `callback(state, previous)` after every change; the result ends that."""
        self._subscribers.append(callback)

        def unsubscribe() -> None:
            if callback in self._subscribers:
                self._subscribers.remove(callback)

        return unsubscribe

    def _move_to(self, state: ReviewState, save: bool = True) -> None:
        previous, self._state = self._state, state
        self._dirty = True
        # First the disk, then the screen: a failing widget must not cost a note.
        if save:
            self.save()
        self._tell(state, previous)

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
