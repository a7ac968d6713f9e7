"""What a coach does to the library of reference strokes, each step with its way back.

The library is no review: it lies in files of its own, so its undo is kept here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from app.review.parts.reference import Reference
from app.review.references import (
    REMOVED,
    KeptReference,
    ReferenceList,
    edit_reference,
    list_references,
    read_reference,
    remove_reference,
    restore_reference,
)

Deed = Literal["edit", "remove", "restore"]
_BACK: dict[Deed, Deed] = {"edit": "edit", "remove": "restore", "restore": "remove"}


@dataclass(frozen=True)
class LibraryStep:
    """One thing done to one stroke.

    Attributes
    ----------
    name : how the stroke was called then
    words : what is said of it, before and after an edit
    """

    deed: Deed
    reference_id: str
    name: str
    words: tuple[Reference, Reference] | None = None

    @property
    def label(self) -> str:
        """The step for an undo button."""
        verb = {"edit": "change", "remove": "remove", "restore": "restore"}[self.deed]
        return f"{verb} “{self.name}”"

    @property
    def back(self) -> LibraryStep:
        """The step that takes this one back."""
        words = None if self.words is None else (self.words[1], self.words[0])
        return replace(self, deed=_BACK[self.deed], words=words)


class ReferenceLibrary:
    """The library with undo. A step that fails leaves files and undo as they were."""

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)
        self._done: list[LibraryStep] = []
        self._undone: list[LibraryStep] = []

    @property
    def undo_label(self) -> str | None:
        """What undo would take back."""
        return self._done[-1].label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """What redo would do again."""
        return self._undone[-1].label if self._undone else None

    def kept(self) -> ReferenceList:
        """The strokes of the library."""
        return list_references(self.folder)

    def removed(self) -> ReferenceList:
        """The strokes that were taken out of it."""
        return list_references(self.folder / REMOVED)

    def edit(self, reference_id: str, reference: Reference) -> KeptReference:
        """Say anew what a stroke is; raises ReviewError when that cannot be kept."""
        old = read_reference(self.folder, reference_id)
        if old.reference == reference:
            return old
        step = LibraryStep("edit", reference_id, old.reference.name, (old.reference, reference))
        self._run(step)
        return read_reference(self.folder, reference_id)

    def remove(self, reference_id: str) -> None:
        """Take a stroke out; its clip, force and words are kept. Raises ReviewError."""
        name = read_reference(self.folder, reference_id).reference.name
        self._run(LibraryStep("remove", reference_id, name))

    def restore(self, reference_id: str) -> KeptReference:
        """Bring a removed stroke back; raises ReviewError when it is not among the removed."""
        kept = restore_reference(self.folder, reference_id)
        self._note(LibraryStep("restore", reference_id, kept.reference.name))
        return kept

    def undo(self) -> LibraryStep | None:
        """Take the last step back and return it; raises ReviewError when that cannot be."""
        if not self._done:
            return None
        step = self._done[-1]
        _carry_out(self.folder, step.back)
        self._undone.append(self._done.pop())
        return step

    def redo(self) -> LibraryStep | None:
        """Do again what was taken back and return it; raises ReviewError when that cannot be."""
        if not self._undone:
            return None
        step = self._undone[-1]
        _carry_out(self.folder, step)
        self._done.append(self._undone.pop())
        return step

    def _run(self, step: LibraryStep) -> None:
        _carry_out(self.folder, step)
        self._note(step)

    def _note(self, step: LibraryStep) -> None:
        self._done.append(step)
        self._undone.clear()


def _carry_out(folder: Path, step: LibraryStep) -> None:
    if step.deed == "remove":
        remove_reference(folder, step.reference_id)
    elif step.deed == "restore":
        restore_reference(folder, step.reference_id)
    elif step.words is not None:
        edit_reference(folder, step.reference_id, step.words[1])
