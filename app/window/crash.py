"""What happens when the program itself is at fault: said once, written down, nothing lost."""

from __future__ import annotations

import contextlib
import faulthandler
import sys
import threading
import traceback
from pathlib import Path
from types import TracebackType
from typing import Protocol

from PySide6.QtCore import QStandardPaths

WORKING = (
    "Something went wrong inside the bench. The review is saved up to the last change; you can go "
    "on. Details are in {log}."
)
STARTING = (
    "Strokeside could not be opened. Your reviews were not touched; close this window and try "
    "again. Details are in {log}."
)


class Teller(Protocol):
    """What says things to the coach."""

    def warn(self, text: str) -> None:
        """Tell the coach about a problem."""


def state_folder() -> Path:
    """Where the log of faults lies."""
    where = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericStateLocation)
    return Path(where) / "strokeside"


class CrashWatch:
    """Takes over unhandled errors for as long as the window lives.

    Attributes
    ----------
    teller : who says that something went wrong
    words : what is said then, with the place of the log
    """

    def __init__(self, teller: Teller, folder: Path | None = None) -> None:
        self.teller = teller
        self.words = WORKING
        self._folder = folder or state_folder()
        self._before = (sys.excepthook, threading.excepthook)
        self._file = None
        with contextlib.suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            # A fault below Python leaves its traceback here.
            self._file = (self._folder / "fault.log").open("a", encoding="utf-8")
            faulthandler.enable(self._file)
        sys.excepthook = self._tell
        threading.excepthook = lambda args: self._tell(
            args.exc_type, args.exc_value or args.exc_type(), args.exc_traceback
        )

    def stop(self) -> None:
        """Give the hooks back."""
        sys.excepthook, threading.excepthook = self._before
        if self._file is not None:
            faulthandler.disable()
            self._file.close()
            self._file = None

    def _tell(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        if issubclass(kind, KeyboardInterrupt):
            self._before[0](kind, error, trace)
            return
        log = self._folder / "errors.log"
        with contextlib.suppress(OSError), log.open("a", encoding="utf-8") as file:
            traceback.print_exception(kind, error, trace, file=file)
        # The window may be going down with it.
        with contextlib.suppress(RuntimeError):
            self.teller.warn(self.words.format(log=log))
