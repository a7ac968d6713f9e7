"""Why a recording is not simply taken: it is another one, or lies where nobody chose it to."""

from __future__ import annotations

from pathlib import Path

from app.review.parts.media import MediaRef
from app.review.recordings.stored_paths import name_of
from app.review.values.errors import ReviewError


class RecordingDoubt(ReviewError):
    """A recording, or another review, that is not used without the coach's word.

    Attributes
    ----------
    review_path : the review that refers to it
    path : where it lies
    """

    def __init__(self, words: str, review_path: Path, path: Path) -> None:
        super().__init__(words)
        self.review_path = Path(review_path)
        self.path = path


class OtherRecording(RecordingDoubt):
    """Another recording lies under the name of the one that was reviewed."""

    def __init__(self, ref: MediaRef, review_path: Path, path: Path) -> None:
        super().__init__(
            f"{name_of(ref.path)} is another recording than the one reviewed, so it is not used;"
            " notes and marks are kept. Find the right one, or take this one deliberately as new"
            " footage."
            if ref.kind == "video"
            else f"{name_of(ref.path)} is another recording than the one reviewed, so it is not"
            " used; notes and marks are kept. Find the right one, or take this one deliberately as"
            " new force.",
            review_path,
            path,
        )
        self.ref = ref


class OutsideRecording(RecordingDoubt):
    """A recording whose stored path leads out of the review's own folder."""

    def __init__(self, ref: MediaRef, review_path: Path, path: Path) -> None:
        super().__init__(
            f"The recording lies outside the review's folder: {path}. Use it?", review_path, path
        )
        self.ref = ref


class OutsideReview(RecordingDoubt):
    """Another review that a comparison names, outside the own folder."""

    def __init__(self, review_path: Path, path: Path) -> None:
        super().__init__(
            f"The other review of a comparison lies outside this review's folder: {path}. Use it?",
            review_path,
            path,
        )
