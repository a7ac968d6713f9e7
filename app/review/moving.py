"""A review that goes on in another file: how it is seen from there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from app.review.parts.state import ReviewState
from app.review.recordings import rebase


@dataclass(frozen=True)
class Moved:
    """What was written into another file.

    Attributes
    ----------
    old : the file so far, None where there was none
    written, state : what was written, as it was seen from the old file and from the new one
    lost : sentences about what could not be carried over
    """

    old: Path | None
    path: Path
    written: ReviewState
    state: ReviewState
    lost: tuple[str, ...] = ()

    def seen(self, state: ReviewState) -> ReviewState:
        """A state as it is seen from the new file."""
        if state is self.written:
            return self.state
        if self.old is not None:
            state = rebase(state, self.old, self.path)
        return replace(state, review_id=self.state.review_id)
