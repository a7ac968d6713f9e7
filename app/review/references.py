"""The coach's library of reference strokes: one review file each, with its recordings beside it.

A folder of the user's data holds ID.review, ID.mp4 and, where there is force, ID with the ending
of its file. The footage is a copy of the one stroke, not a reference to where it was filmed: a
library must outlive last year's submissions, and must not keep more of a person than it shows.
"""

from __future__ import annotations

import re
import uuid
from dataclasses import dataclass
from pathlib import Path

from app.review.file.store import read_review
from app.review.parts.change import Change
from app.review.parts.reference import Reference, SetReference
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef, is_reference

REMOVED = "removed"
_LARGEST_BYTES = 64 << 20  # a review with one stroke is far below; more is none of ours


@dataclass(frozen=True)
class KeptReference:
    """A stroke of the library: its id, its review file, and what that holds."""

    id: str
    path: Path
    reference: Reference
    state: ReviewState

    @property
    def stroke(self) -> StrokeRef:
        """What a comparison refers to it by."""
        r = self.reference
        return StrokeRef(self.id, r.catch_s, r.finish_s, r.next_catch_s, r.name)


@dataclass(frozen=True)
class ReferenceList:
    """The strokes of a library by name, and a sentence for each file that was passed over."""

    kept: tuple[KeptReference, ...]
    problems: tuple[str, ...] = ()


def new_reference_id() -> str:
    """Return an id no other stroke of a library has."""
    return uuid.uuid4().hex


def reference_path(library: Path, reference_id: str) -> Path:
    """Where the review of a reference stroke lies, or will.

    Raises
    ------
    ReviewError
        The id is none: a path put in its place must not lead out of the library.
    """
    if not is_reference(reference_id):
        raise ReviewError("There is no such reference stroke in the library.")
    return Path(library) / f"{reference_id}.review"


def read_reference(library: Path, reference_id: str) -> KeptReference:
    """Read one stroke of the library; raises ReviewError when it is not there or damaged."""
    path = reference_path(library, reference_id)
    if not path.is_file():
        if was_removed(library, reference_id):
            raise ReviewError(
                "A reference stroke this compares with was taken out of the library; restore it"
                " among your reference strokes (Ctrl+Shift+K), or choose another one."
            )
        raise ReviewError(
            "A reference stroke this compares with is no longer in the library; choose another one."
        )
    if path.stat().st_size > _LARGEST_BYTES:
        raise ReviewError(f"{path.name} in the library is too large to be a reference stroke.")
    state = read_review(path)
    if state.reference is None:
        raise ReviewError(f"{path.name} in the library says of no stroke that it is a reference.")
    return KeptReference(reference_id, path, state.reference, state)


def list_references(library: Path) -> ReferenceList:
    """List the library. A file that is damaged or none of ours is passed over with a sentence."""
    kept, problems = [], []
    for path in _reviews_in(library):
        try:
            kept.append(read_reference(library, path.stem))
        except (ReviewError, OSError) as error:
            problems.append(f"A reference stroke was passed over: {_sentence(error)}")
    kept.sort(key=lambda k: (k.reference.name.casefold(), k.id))
    return ReferenceList(tuple(kept), tuple(problems))


def add_reference(
    library: Path, reference_id: str, state: ReviewState, reference: Reference
) -> KeptReference:
    """Write the review of a stroke whose recordings lie in the library already.

    Parameters
    ----------
    state : its recordings and line-up; nothing else of it is taken over

    Raises
    ------
    ReviewError
        The file cannot be written, exists already, or the reference lacks what it needs.
    """
    path = reference_path(library, reference_id)
    lean = ReviewState(
        title=reference.name,
        video=state.video,
        trace=state.trace,
        alignment=state.alignment,
        turn=state.turn,
    )
    made = SetReference(reference).apply(lean)
    Review.create(path, made)
    return read_reference(library, reference_id)


def edit_reference(library: Path, reference_id: str, reference: Reference) -> KeptReference:
    """Say anew what a stroke of the library is; raises ReviewError when that cannot be kept."""
    read_reference(library, reference_id)
    review = Review.open(reference_path(library, reference_id))
    problems: list[str] = []
    review.on_save_error = problems.append
    change: Change = SetReference(reference)
    review.do(change)
    if problems:
        raise ReviewError(problems[0])
    return read_reference(library, reference_id)


def remove_reference(library: Path, reference_id: str) -> Path:
    """Move a stroke out of the library into its folder of removed ones; nothing is erased.

    Returns
    -------
    Path
        Where its review lies now.

    Raises
    ------
    ReviewError
        It is not there, or the folder cannot be written; nothing was moved then.
    """
    path = reference_path(library, reference_id)
    if not path.is_file():
        raise ReviewError("That reference stroke is no longer in the library.")
    removed = Path(library) / REMOVED
    try:
        removed.mkdir(exist_ok=True)
        # The review last: as long as it is in its place, so is the stroke.
        files = sorted(Path(library).glob(f"{reference_id}.*"), key=lambda p: p == path)
        for file in files:
            file.replace(removed / file.name)
    except OSError as error:
        raise ReviewError(
            f"The reference stroke could not be moved ({_sentence(error)}); it is still there."
        ) from error
    return removed / path.name


def restore_reference(library: Path, reference_id: str) -> KeptReference:
    """Bring a removed stroke back; raises ReviewError when it is not among the removed."""
    removed = reference_path(Path(library) / REMOVED, reference_id)
    if not removed.is_file():
        raise ReviewError("That reference stroke is not among the removed ones.")
    try:
        for file in sorted(removed.parent.glob(f"{reference_id}.*"), key=lambda p: p == removed):
            file.replace(Path(library) / file.name)
    except OSError as error:
        raise ReviewError(f"The stroke could not be brought back ({_sentence(error)}).") from error
    return read_reference(library, reference_id)


def was_removed(library: Path, reference_id: str) -> bool:
    """Whether the coach took a stroke out of the library."""
    return reference_path(Path(library) / REMOVED, reference_id).is_file()


def _reviews_in(library: Path) -> list[Path]:
    try:
        names = sorted(Path(library).iterdir())
    except OSError:
        return []
    return [p for p in names if re.fullmatch(r"[0-9a-f]{32}\.review", p.name)]


def _sentence(error: Exception) -> str:
    if isinstance(error, OSError):
        return (error.strerror or "the system refused").lower()
    return str(error)
