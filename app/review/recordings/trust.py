"""What the coach chose on this machine: where a review's recordings lie, which reviews it sees.

A review comes from anywhere and may name any file of this machine. So a place outside its own
folder counts only once the coach chose it here, and that is kept here, never in the review.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final

from app.review.parts.media import MediaRef
from app.review.recordings.small_json import change_json, keep_newest, read_json, section

FILE: Final = "chosen-recordings.json"
_MOST_REVIEWS: Final = 4000


def chosen_place(data_folder: Path | None, review_path: Path, ref: MediaRef) -> Path | None:
    """Where the coach said a recording of a review lies."""
    kept = _of_review(data_folder, "recordings", review_path).get(_content(ref))
    return Path(kept) if isinstance(kept, str) and "\0" not in kept else None


def keep_place(data_folder: Path | None, review_path: Path, ref: MediaRef, path: Path) -> None:
    """Remember that the coach chose where a recording of a review lies."""
    _keep(data_folder, "recordings", review_path, _content(ref), os.path.realpath(path))


def is_chosen_review(data_folder: Path | None, review_path: Path, other: Path) -> bool:
    """Whether the coach chose another review for the comparisons of this one."""
    return os.path.realpath(other) in _of_review(data_folder, "reviews", review_path)


def keep_review(data_folder: Path | None, review_path: Path, other: Path) -> None:
    """Remember that the coach chose another review for the comparisons of this one."""
    _keep(data_folder, "reviews", review_path, os.path.realpath(other), True)


def _of_review(data_folder: Path | None, part: str, review_path: Path) -> dict[str, Any]:
    if data_folder is None:
        return {}
    reviews = read_json(data_folder / FILE).get(part)
    kept = reviews.get(os.path.realpath(review_path)) if isinstance(reviews, dict) else None
    return kept if isinstance(kept, dict) else {}


def _keep(
    data_folder: Path | None, part: str, review_path: Path, key: str, value: str | bool
) -> None:
    if data_folder is None:
        return

    def change(data: dict[str, Any]) -> None:
        reviews = section(data, part)
        section(reviews, os.path.realpath(review_path))[key] = value
        keep_newest(reviews, _MOST_REVIEWS)

    change_json(data_folder / FILE, change)


def _content(ref: MediaRef) -> str:
    return f"{ref.sha256}:{ref.size}"
