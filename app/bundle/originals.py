"""The recordings themselves in a bundle, where the coach ticked it: under names of our own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from app.bundle.sources.recordings import Sources
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.parts.state import ReviewState


def with_originals(
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    cancelled: Callable[[], bool] | None,
) -> tuple[str, ...]:
    """Copy footage and force into the folder; return what to say about it.

    Footage is copied without what the phone wrote beside picture and sound. It is left out where
    a face is hidden in the rest, for it would show that face.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if not state.sending.include_originals:
        return ()
    remarks = []
    place = folder / "originals"
    place.mkdir()
    if sources.video is not None:
        if state.blurs:
            remarks.append(words["original_hidden"])
        else:
            remarks += _footage(sources.video, place, words, cancelled)
    trace = sources.trace
    if trace is not None and sources.piece is not None:
        suffix = trace.suffix.lower()
        plain = suffix if suffix.isascii() and len(suffix) <= 6 else ""
        shutil.copyfile(trace, place / f"force{plain}")
    if not any(place.iterdir()):
        place.rmdir()
    return tuple(remarks)


def _footage(
    video: Path, place: Path, words: Words, cancelled: Callable[[], bool] | None
) -> list[str]:
    from app.media.clean_copy import clean_name, copy_without_metadata

    try:
        copy_without_metadata(video, place / f"footage{clean_name(video)}", None, cancelled)
    except MediaError:
        return [words["original_failed"]]
    return []
