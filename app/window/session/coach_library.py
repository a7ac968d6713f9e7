"""The coach's library as the window uses it: opened off its thread, when first something is asked.

What it is made with is imported in a job. Where there is no library yet, nothing is imported at
all: `is_there` looks for its file.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

from PySide6.QtCore import QObject, Signal

from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress

if TYPE_CHECKING:
    from app.library.library import Library

T = TypeVar("T")
# As `app.library.address`, which would bring the database with it.
VARIABLE: Final = "STROKESIDE_LIBRARY"
FILE_NAME: Final = "library.db"


class CoachLibrary(QObject):
    """Has the library asked and filled in jobs.

    Attributes
    ----------
    names : of the athletes, as far as they were read
    """

    changed = Signal()  # something was written to it
    named = Signal()  # `names` are others

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.names: tuple[str, ...] = ()
        self._jobs = jobs
        self._lock = threading.Lock()
        self._library: Library | None = None
        self._reads_names = False
        self._turns = threading.Condition()  # what is written first stands first
        self._last_turn = self._turn = 0
        self.changed.connect(self.read_names)

    @property
    def is_there(self) -> bool:
        """Whether there is one that may have something in it."""
        return bool(os.environ.get(VARIABLE)) or own_file().is_file()

    def ask(
        self,
        title: str,
        question: Callable[[Library], Any],
        done: Callable[[Any], None],
        failed: Callable[[Exception], None],
        *,
        writes: bool = False,
        is_wanted: bool = False,
    ) -> Job:
        """Have a question answered off the window's thread.

        Parameters
        ----------
        question : asks the library, in a thread of its own; raises LibraryError
        done, failed : take the answer in, on the window's thread
        writes : it changes the library: `changed` tells afterwards
        is_wanted : it writes a file the coach has asked for, and is shown while it does
        """
        turn = self._take_turn() if writes else 0

        def work(_progress: Progress, _cancelled: Cancelled) -> object:
            if not turn:
                return question(self._opened())
            with self._turns:
                self._turns.wait_for(lambda: self._turn == turn - 1)
            try:
                return question(self._opened())
            finally:
                with self._turns:
                    self._turn = turn
                    self._turns.notify_all()

        def take(answer: object) -> None:
            done(answer)
            if writes:
                self.changed.emit()

        return self._jobs.run(
            title, work, take, failed, is_wanted=is_wanted, is_quiet=not is_wanted
        )

    def now(self, question: Callable[[Library], T]) -> T:
        """Answer a question in the thread this is called from, which is never the window's."""
        return question(self._opened())

    def read_names(self) -> None:
        """Read the athletes' names, to be proposed while one is typed."""
        if self._reads_names or not self.is_there:
            return
        self._reads_names = True
        self.ask("Reading the athletes", _names_in, self._take_names, self._no_names)

    def close(self) -> None:
        """Let go of it."""
        with self._lock:
            library, self._library = self._library, None
        if library is not None:
            library.close()

    def _take_turn(self) -> int:
        self._last_turn += 1
        return self._last_turn

    def _opened(self) -> Library:
        with self._lock:
            if self._library is None:
                try:
                    from app.library.library import Library
                except ImportError as error:
                    raise ValueError(
                        f"The library needs the package {error.name}, which is not installed."
                    ) from error
                self._library = Library.open()
            return self._library

    def _take_names(self, names: Sequence[str]) -> None:
        self._reads_names = False
        if tuple(names) != self.names:
            self.names = tuple(names)
            self.named.emit()

    def _no_names(self, _error: Exception) -> None:
        self._reads_names = False  # whoever fills it, or looks at it, says what is wrong


def own_file() -> Path:
    """Where this user's own library lies."""
    return data_folder() / FILE_NAME


def _names_in(library: Library) -> tuple[str, ...]:
    from app.library.latest import names

    return names(library)
