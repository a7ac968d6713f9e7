"""Review files for tests, written as a review writes them."""

from collections.abc import Mapping
from pathlib import Path

from app.review.file.store import create_file, read_file, save
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ChangedElsewhere


def write_review(path: Path, state: ReviewState, assets: Mapping[str, bytes] | None = None) -> None:
    """Write a new file, or bring one that is there up to a state."""
    if not path.exists():
        create_file(path, state, assets)
        return
    opened = read_file(path)
    save(path, opened.stamp, opened.state, state, assets or {})


def save_as(review: Review, path: Path) -> tuple[str, ...]:
    """Go on in another file, as the window does it in a job."""
    try:
        moved = review.write_as(path)
    except ChangedElsewhere as changed:  # its own file
        review.take_in(changed.theirs)
        return ()
    lost = review.go_on(moved)
    review.save()
    return lost
