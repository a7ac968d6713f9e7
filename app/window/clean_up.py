"""Tidying what dead processes left, while nobody waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from pathlib import Path

from app.window.desk import Desk
from app.window.settings import data_folder, default_path


def clean_up(desk: Desk) -> threading.Thread:
    """Tidy now, and beside each review that is opened; returns the thread that begins."""
    desk.opened.connect(lambda: _beside(desk))
    folders = (default_path().parent, data_folder())
    return _aside(lambda: _tidy(folders))


def _beside(desk: Desk) -> None:
    path = desk.review.path if desk.review is not None else None
    if path is not None:
        _aside(lambda: _tidy_beside(path))


def _aside(work: Callable[[], None]) -> threading.Thread:
    thread = threading.Thread(target=work, name="tidying", daemon=True)
    thread.start()
    return thread


def _tidy(folders: Iterable[Path]) -> None:
    from app.tidying import tidy

    tidy(folders)


def _tidy_beside(review: Path) -> None:
    from app.tidying import tidy_beside

    tidy_beside(review)
