"""What can go wrong with a review, told in one sentence."""

from __future__ import annotations

from typing import Any


class ReviewError(ValueError):
    """A review, change or file that cannot be used. The message is one sentence for the user."""


class DamagedReview(ReviewError):
    """The file is damaged: recovering it, or an earlier version, can help."""


class FileBusy(ReviewError):
    """Another program holds the file just now: trying again can help."""


class FileLost(ReviewError):
    """The file is no longer where it was, or another one lies there: another name can help."""


class ChangedElsewhere(ReviewError):
    """Somebody else saved the review since.

    Attributes
    ----------
    theirs : what the file holds now, an `Opened` of `app/review/file/store.py`
    expected : revision of what it should have held; tells news that were dealt with already
    """

    def __init__(self, sentence: str, theirs: Any, expected: str = "") -> None:
        super().__init__(sentence)
        self.theirs = theirs
        self.expected = expected
