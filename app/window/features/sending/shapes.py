"""The shapes a bundle is sent in: what a phone opens at a touch stands first."""

from __future__ import annotations

from typing import Final

from app.bundle.options import Shape
from app.review.parts.state import ReviewState

# Shape, its name, what it is good for.
SHAPES: Final[tuple[tuple[Shape, str, str], ...]] = (
    ("page", "One web page", "A single file that opens at a touch, on a phone too; no originals"),
    ("zip", "One .zip", "Everything in one file, the originals too, for a computer"),
    ("folder", "Folder", "Opens anywhere; to be packed or put on a stick"),
)


def row_of(shape: Shape) -> int:
    """Which of `SHAPES` it is."""
    return next(row for row, (one, _name, _help) in enumerate(SHAPES) if one == shape)


def usual_shape(state: ReviewState) -> Shape:
    """What is sent when nothing else is chosen: a page, which cannot carry the recordings."""
    return "zip" if state.sending.include_originals else "page"
