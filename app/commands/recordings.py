"""Which recordings a command may read and send: those reviewed, from where somebody chose."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.answer import CommandError
from app.review.values.text import clean_text

if TYPE_CHECKING:
    from app.review.parts.media import MediaRef
    from app.review.parts.state import ReviewState
    from app.review.recordings import RecordingAccess
    from app.review.values.stroke_ref import StrokeRef


def access() -> RecordingAccess:
    """What is remembered on this machine; nothing more is allowed."""
    from app.files.user_folders import data_folder
    from app.review.recordings import RecordingAccess

    return RecordingAccess(data_folder())


def access_for(state: ReviewState, options: argparse.Namespace) -> RecordingAccess:
    """Return what may be read to send a review, once all of it was looked at and compared.

    Raises
    ------
    CommandError
        A recording, or another review, lies where nobody chose it to, or is another one.
    ReviewError
        One of them cannot be read.
    """
    from app.review.recordings import RecordingAccess, find_again, name_of

    known = access()
    folder: Path | None = options.recordings_from
    if folder is not None:
        if not folder.is_dir():
            raise CommandError(f"There is no folder {name_of(str(folder))} to look in.")
        for ref in _recordings(state):
            found = find_again(ref, folder)
            if found is not None:
                known.chose(options.review, ref, found)
    allowed = RecordingAccess(
        known.data_folder, options.trust_paths, other_recording=options.other_recording
    )
    _check_all(state, options.review, allowed)
    return allowed


def _check_all(state: ReviewState, review: Path, allowed: RecordingAccess) -> None:
    """Look at the recordings of a review and of those it compares with."""
    from app.review.file.store import read_review
    from app.review.recordings import OutsideReview, find_other_review
    from app.review.values.errors import ReviewError
    from app.review.values.stroke_ref import is_other_review

    for ref in _recordings(state):
        _check(ref, review, allowed)
    for source in dict.fromkeys(s.source for s in _sent_strokes(state)):
        if not is_other_review(source):
            continue
        try:
            other = find_other_review(source, review, allowed)
        except OutsideReview as doubt:
            raise _outside("Another review it compares with", doubt.path) from None
        except ReviewError:
            continue  # it is gone: the page says so
        if allowed.stored_places:
            allowed.allow_review(review, other)
        for ref in _recordings(read_review(other)):
            _check(ref, other, allowed)


def _check(ref: MediaRef, review: Path, allowed: RecordingAccess) -> None:
    from app.review.recordings import OtherRecording, confirm, name_of, place_of

    place = place_of(ref, review, allowed)
    if place.outside is not None:
        raise _outside("The recording", place.outside)
    if place.path is None:
        return  # it is missing: the page says so
    try:
        confirm(ref, place.path, review, allowed)
    except OtherRecording:
        raise CommandError(
            f"{name_of(ref.path)} is another recording than the one reviewed; nothing was written,"
            " and the review is as it was. Put the right one back, name its folder with"
            " --recordings-from, or send this one deliberately with --other-recording."
        ) from None
    if allowed.stored_places:
        allowed.allow(review, ref, place.path)


def _outside(what: str, path: Path) -> CommandError:
    return CommandError(
        f"{what} lies outside the review's folder: {clean_text(str(path))}. Nothing was read or"
        " written. Use it with --trust-paths, or name the folder of the recordings with"
        " --recordings-from."
    )


def _recordings(state: ReviewState) -> Iterator[MediaRef]:
    from app.review.parts.films import all_recordings

    return iter(all_recordings(state))


def _sent_strokes(state: ReviewState) -> Iterator[StrokeRef]:
    from app.review.parts.sending import sent_comparisons, sent_self_test

    for comparison in sent_comparisons(state):
        yield from (comparison.left, comparison.right)
    test = sent_self_test(state)
    for item in () if test is None else test.items:
        yield item.stroke
