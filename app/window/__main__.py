"""Start of the window.

Order: settings of the interpreter, the application and its palette, the window; when it has been
painted, the bench in it, step by step, and then what to open: the review named, else the athletes
of the library, else the newest review, else the sample.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

# Decoding and the window share one interpreter; short turns keep playing smooth while some
# other thread runs Python code.
SWITCH_INTERVAL_S = 0.0005
SIZE = (1280, 800)  # logical pixels, where the screen has them


def open_window(paths: Sequence[Path], argv: list[str] | None = None) -> int:
    """Open the bench on what is named, and stay until it is closed; returns the exit status."""
    from PySide6.QtCore import QSize
    from PySide6.QtWidgets import QApplication

    from app.window.crash import STARTING, WORKING, CrashWatch
    from app.window.main_window import MainWindow
    from app.window.starting import Starting
    from app.window.widgets.theme import dress

    sys.setswitchinterval(SWITCH_INTERVAL_S)
    app = QApplication.instance() or QApplication(argv or sys.argv[:1])
    if not isinstance(app, QApplication):
        raise RuntimeError("Another kind of Qt application is running.")
    app.setApplicationName("strokeside")
    dress(app)
    window = MainWindow(in_steps=True)
    watch = CrashWatch(window.opening_page)
    watch.words = STARTING

    def begin() -> None:
        watch.teller, watch.words = window.messages, WORKING
        _open(window, paths)

    starting = Starting(window, begin)
    window.resize(QSize(*SIZE).boundedTo(window.screen().availableSize()))
    window.show()
    status = app.exec()
    starting.stop()
    watch.stop()
    return status


def _open(window: MainWindow, paths: Sequence[Path]) -> None:
    """Open what is to be opened on a bench that has been made, unless something was dropped."""
    from app.window.clean_up import clean_up
    from app.window.features.athletes.first_screen import FirstScreen
    from app.window.features.review_file.opening import Opening
    from app.window.session.incoming_files import IncomingFiles
    from app.window.session.settings import Settings
    from app.window.warm_up import warm_up

    warm_up(window.jobs.process_pool.prepare)
    clean_up(window.session)
    recent = window[Settings].recent_reviews()

    def otherwise() -> None:
        if recent:
            window.session.open_review(recent[0])
        else:
            window[Opening].open_sample()

    if window.dropped:
        window.drop(window.dropped)
    elif paths:
        window[IncomingFiles].open(paths)
    else:
        window[FirstScreen].begin(otherwise)


if __name__ == "__main__":
    sys.exit(open_window([Path(name) for name in sys.argv[1:]]))
