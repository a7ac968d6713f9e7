"""What dead processes left, tidied away at the start of the window and of the commands."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from app.bundle.workshop import clear_abandoned
from app.files import cleaning


def tidy(folders: Iterable[Path] = (), review: Path | None = None) -> None:
    """Remove what was left among the temporary files, in folders of ours, and beside a review.

    Nothing here is worth a word to the coach: what cannot be removed stays.

    Parameters
    ----------
    folders : where settings and data of the user lie
    review : the review that is opened
    """
    cleaning.at_start(folders)
    if review is not None:
        tidy_beside(review)


def tidy_beside(review: Path) -> None:
    """Remove what a saving or a bundle that was killed left beside a review."""
    cleaning.beside(review)
    clear_abandoned(review.parent)
