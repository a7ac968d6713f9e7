"""Tidying what dead processes left, while nobody waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from pathlib import Path

from app.window.session.review_session import ReviewSession
from app.window.session.settings import data_folder, default_path


def clean_up(session: ReviewSession) -> threading.Thread:
    """Tidy now, and beside each review that is opened; returns the thread that begins."""
    session.opened.connect(lambda: _beside(session))
    folders = (default_path().parent, data_folder())
    return _aside(lambda: _tidy(folders))


def _beside(session: ReviewSession) -> None:
    path = session.review.path if session.review is not None else None
    if path is not None:
        _aside(lambda: _tidy_beside(path))


def _aside(work: Callable[[], None]) -> threading.Thread:
    thread = threading.Thread(target=work, name="tidying", daemon=True)
    thread.start()
    return thread


def _tidy(folders: Iterable[Path]) -> None:
    from app.housekeeping.tidying import tidy

    tidy(folders)


def _tidy_beside(review: Path) -> None:
    from app.housekeeping.tidying import tidy_beside

    tidy_beside(review)
