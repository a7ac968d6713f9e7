"""The recordings of a review: where they lie, whether they may be read, whether they are the ones.

A recording is known by its content, and a review's paths are never trusted: they come with the
review, from anybody.
"""

from app.review.recordings.doubts import (
    OtherRecording,
    OutsideRecording,
    OutsideReview,
    RecordingDoubt,
)
from app.review.recordings.fingerprint import changed, refer
from app.review.recordings.places import (
    STRANGER,
    Place,
    RecordingAccess,
    confirm,
    find_again,
    find_other_review,
    locate,
    other_review,
    other_review_path,
    place_of,
    rebase,
    with_paths,
)
from app.review.recordings.stored_paths import name_of
from app.review.recordings.verify import is_reviewed, quick_standing

__all__ = [
    "STRANGER",
    "OtherRecording",
    "OutsideRecording",
    "OutsideReview",
    "Place",
    "RecordingAccess",
    "RecordingDoubt",
    "changed",
    "confirm",
    "find_again",
    "find_other_review",
    "is_reviewed",
    "locate",
    "name_of",
    "other_review",
    "other_review_path",
    "place_of",
    "quick_standing",
    "rebase",
    "refer",
    "with_paths",
]
