"""What a coach drops or chooses, sorted into a review, footage and force."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from app.review.values.text import clean_name
from app.submission.kinds import is_trace_name, recordings_in


@dataclass(frozen=True)
class SortedFiles:
    """A review, or footage and force, or one of the two."""

    review: Path | None = None
    video: Path | None = None
    trace: Path | None = None


def sort_files(paths: Iterable[Path]) -> SortedFiles:
    """Tell what is what; of a folder, what lies in it.

    Raises
    ------
    ValueError
        It is nothing that can be opened, or too much; one sentence says which.
    """
    try:
        found = [f for p in paths for f in (recordings_in(p) if p.is_dir() else [p])]
    except OSError as error:
        raise ValueError(f"The folder cannot be read ({error.strerror}); try another.") from None
    if not found:
        raise ValueError("There is no footage, force file or review in this folder.")
    reviews = [p for p in found if p.suffix.lower() == ".review"]
    if reviews:
        return SortedFiles(review=reviews[0])
    traces = [p for p in found if is_trace_name(p)]
    videos = [p for p in found if not is_trace_name(p)]
    for many in (videos, traces):
        if len(many) > 1:
            names = ", ".join(clean_name(p.name) for p in many)
            raise ValueError(
                "One footage file and one force file make a review; nothing was opened. Choose "
                f"one of {names}."
            )
    return SortedFiles(None, videos[0] if videos else None, traces[0] if traces else None)
