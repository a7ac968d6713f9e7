"""Review files for tests, written as a review writes them."""

from collections.abc import Mapping
from pathlib import Path

from app.review.file.store import create_file, read_file, save
from app.review.parts.state import ReviewState


def write_review(path: Path, state: ReviewState, assets: Mapping[str, bytes] | None = None) -> None:
    """Write a new file, or bring one that is there up to a state."""
    if not path.exists():
        create_file(path, state, assets)
        return
    opened = read_file(path)
    save(path, opened.stamp, opened.state, state, assets or {})
