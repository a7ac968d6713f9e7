"""Saving off the thread that makes the changes: the latest state, as soon as the disk allows."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Final

from app.review.parts.state import ReviewState
from app.review.values.errors import ChangedElsewhere, FileBusy, ReviewError

RETRY_S: Final = 2.0  # after a failure, unless a new change comes before


class Saving(Enum):
    """How far the file is behind."""

    SAVED = "saved"
    UNDER_WAY = "under way"
    WAITING = "waiting"  # another program holds the file
    CHANGED = "changed elsewhere"  # by somebody else: `problem` holds what the file says
    FAILED = "failed"


@dataclass(frozen=True)
class SaveStatus:
    """What became of the newest state.

    Attributes
    ----------
    problem : why it could not be saved, None where it was
    """

    saving: Saving
    problem: ReviewError | None = None


class Saver:
    """Writes states in a thread of its own; of those that come meanwhile only the last.

    Parameters
    ----------
    write : writes a state; raises ReviewError
    told : hears how it went, in the saver's thread
    """

    def __init__(
        self, write: Callable[[ReviewState], None], told: Callable[[SaveStatus], None]
    ) -> None:
        self._write = write
        self._told = told
        self._turn = threading.Condition()
        self._pending: ReviewState | None = None
        self._status = SaveStatus(Saving.SAVED)
        self._tries = 0  # how many writings ended
        self._now = False  # somebody waits: do not sit out the pause after a failure
        self._writing = False
        self._closing = False
        self._thread = threading.Thread(target=self._run, name="saving", daemon=True)
        self._thread.start()

    @property
    def status(self) -> SaveStatus:
        """How far the file is behind now."""
        with self._turn:
            return self._status

    @property
    def is_writing(self) -> bool:
        """Whether a state is being written now, or waits for another program to let go."""
        with self._turn:
            return self._writing

    def submit(self, state: ReviewState) -> None:
        """Write this state next; never waits."""
        with self._turn:
            self._pending = state
            if self._status.saving in (Saving.SAVED, Saving.CHANGED):
                self._status = SaveStatus(Saving.UNDER_WAY)
            self._now = True
            self._turn.notify_all()

    def flush(self, timeout_s: float) -> SaveStatus:
        """Wait until what was submitted is saved, or could not be."""
        with self._turn:
            if self._pending is not None:
                self._now = True
                self._turn.notify_all()
            # One under way may have begun before what is waited for was known.
            enough = self._tries + (2 if self._writing else 1)

            def ended() -> bool:
                return self._pending is None or self._tries >= enough

            self._turn.wait_for(ended, timeout_s)
            return self._status

    def withdraw(self, timeout_s: float) -> None:
        """Write nothing of what was submitted so far, once a writing under way has ended."""
        with self._turn:
            self._pending = None
            self._turn.wait_for(lambda: not self._writing, timeout_s)
            self._pending = None

    def close(self) -> None:
        """End the thread; what is not saved by then is not."""
        with self._turn:
            self._closing = True
            self._turn.notify_all()
        self._thread.join()

    def _run(self) -> None:
        while (state := self._next()) is not None:
            problem: ReviewError | None = None
            try:
                self._write(state)
            except ReviewError as error:
                problem = error
            except Exception as error:  # noqa: BLE001 - a dead thread would save nothing any more
                problem = ReviewError(f"Saving went wrong in a way it should not ({error!r}).")
                problem.__cause__ = error
            self._took(state, problem)

    def _next(self) -> ReviewState | None:
        """The state to write next; None when there is to be no more writing."""
        with self._turn:
            while not self._closing:
                if self._pending is not None and self._now:
                    break
                # After a failure the same state is tried again by itself.
                waits = RETRY_S if self._pending is not None else None
                if not self._turn.wait(waits) and self._pending is not None:
                    break
            self._now = False
            self._writing = not self._closing
            return None if self._closing else self._pending

    def _took(self, state: ReviewState, problem: ReviewError | None) -> None:
        with self._turn:
            self._tries += 1
            self._writing = False
            if problem is None:
                if self._pending is state:
                    self._pending = None
                saving = Saving.SAVED if self._pending is None else Saving.UNDER_WAY
            elif isinstance(problem, ChangedElsewhere):
                saving = Saving.CHANGED
                if self._pending is state:
                    self._pending = None  # what is merged is submitted anew
            else:
                saving = Saving.WAITING if isinstance(problem, FileBusy) else Saving.FAILED
            self._status = status = SaveStatus(saving, problem)
            self._turn.notify_all()
        try:
            self._told(status)
        except Exception:  # noqa: BLE001 - a listener that is gone must not end all saving
            threading.excepthook(
                threading.ExceptHookArgs((*sys.exc_info(), threading.current_thread()))
            )
