"""Start of the window.

Order: settings of the interpreter, the application and its palette, the window, then what to
open: the review named, else the newest one, else the sample.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

# Decoding and the window share one interpreter; short turns keep playing smooth while some
# other thread runs Python code.
SWITCH_INTERVAL_S = 0.0005


def open_window(paths: Sequence[Path], argv: list[str] | None = None) -> int:
    """Open the bench on what is named, and stay until it is closed; returns the exit status."""
    from PySide6.QtWidgets import QApplication

    from app.window.clean_up import clean_up
    from app.window.crash import CrashWatch
    from app.window.features.review_file.opening import Opening
    from app.window.main_window import MainWindow
    from app.window.session.settings import Settings
    from app.window.warm_up import warm_up
    from app.window.widgets.theme import dress

    sys.setswitchinterval(SWITCH_INTERVAL_S)
    app = QApplication.instance() or QApplication(argv or sys.argv[:1])
    if not isinstance(app, QApplication):
        raise RuntimeError("Another kind of Qt application is running.")
    app.setApplicationName("strokeside")
    dress(app)
    settings = Settings()
    window = MainWindow(settings)
    watch = CrashWatch(window.messages)
    window.resize(1280, 800)
    window.show()
    warm_up(window.jobs.process_pool.prepare)
    clean_up(window.session)
    recent = settings.recent_reviews()
    if paths:
        window.session.open_paths(paths)
    elif recent:
        window.session.open_review(recent[0])
    else:
        window[Opening].open_sample()
    status = app.exec()
    watch.stop()
    return status


if __name__ == "__main__":
    sys.exit(open_window([Path(name) for name in sys.argv[1:]]))
