"""The steps of a review that can be taken back, and those that can be brought back."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from app.review.file.store import UndoStep
from app.review.merging import merged
from app.review.parts.change import Change
from app.review.parts.state import ReviewState
from app.review.recordings import rebase
from app.review.undoing import Assets, Step, taken_back, to_store, wanted_by
from app.review.values.errors import ReviewError
from app.review.values.part import UNREADABLE


class History:
    """Undo and redo.

    Parameters
    ----------
    stored : steps of the session before, the last one last
    """

    def __init__(self, stored: Iterable[UndoStep] = ()) -> None:
        self._done = [Step(step.label, stored=step) for step in stored]
        self._undone: list[Step] = []
        self._sealed = False

    @property
    def undo_label(self) -> str | None:
        """What `undo` would take back, or None."""
        return self._done[-1].label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """What `redo` would bring back, or None."""
        return self._undone[-1].label if self._undone else None

    def seal(self) -> None:
        """End a run of merging changes."""
        self._sealed = True

    def record(self, change: Change, before: ReviewState, after: ReviewState) -> None:
        """Take in a change that was made."""
        step = Step(change.label, change, before, after)
        last = self._done[-1] if self._done else None
        if last is not None and last.change is not None and self._goes_on(change, last.change):
            self._done.pop()
            step = replace(step, before=last.before)
        if after != step.before:  # typed and taken away again is nothing to undo
            self._done.append(step)
        self._sealed = False
        self._undone.clear()

    def undo(self, state: ReviewState, asset: Assets) -> ReviewState | None:
        """The state before the last step, None where there is no step.

        Raises
        ------
        ReviewError
            That cannot be told any more, and nothing before it can.
        """
        if not self._done:
            return None
        step = self._done[-1]
        try:
            before = taken_back(state, step, asset)
        except UNREADABLE as error:
            self._done.clear()
            raise ReviewError("That change can no longer be taken back.") from error
        self._done.pop()
        self._undone.append(replace(step, before=before, after=state))
        self._sealed = True
        return before

    def redo(self) -> ReviewState | None:
        """The state after the step last taken back, None where there is none."""
        if not self._undone:
            return None
        step = self._undone.pop()
        self._done.append(step)
        self._sealed = True
        return step.after

    def join(self, base: ReviewState, both: ReviewState) -> None:
        """Let every step take back what was done here alone, now that `base` became `both`."""
        self._undone.clear()
        self._done = [
            replace(
                step,
                before=merged(base, step.before, both).state,
                after=merged(base, step.after, both).state,
                stored=None,
            )
            for step in self._done
            if step.before is not None and step.after is not None
        ]

    def move(self, old: Path | None, new: Path, review_id: str) -> None:
        """Let the steps name the recordings as they are seen from another file."""
        self._undone.clear()
        moved: list[Step] = []
        for step in self._done:
            if step.before is not None and step.after is not None:
                before, after = (
                    replace(s if old is None else rebase(s, old, new), review_id=review_id)
                    for s in (step.before, step.after)
                )
                moved.append(replace(step, before=before, after=after, stored=None))
            elif old is not None and old.parent == new.parent:
                moved.append(step)  # another folder would be seen from the wrong place
        self._done = moved

    def wanted_assets(self) -> frozenset[str]:
        """Voices and pictures that taking back any step may want."""
        return wanted_by(self._done)

    def to_store(self, state: ReviewState, size_of: Callable[[str], int]) -> tuple[UndoStep, ...]:
        """The last steps as the file keeps them (see `undoing.to_store`)."""
        return to_store(self._done, state, size_of)

    def _goes_on(self, change: Change, last: Change) -> bool:
        return not self._sealed and change.merges_with(last)
