"""Where the recordings of a review lie, and whether they may be taken from there."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import trust
from app.review.recordings.doubts import OtherRecording, OutsideReview
from app.review.recordings.fingerprint import Cancelled, normal
from app.review.recordings.stored_paths import from_stored, name_of, to_stored
from app.review.recordings.verify import is_reviewed, quick_standing, remember
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef, is_other_review


@dataclass(frozen=True)
class RecordingAccess:
    """What may be read for a review, on this machine and in this run.

    Attributes
    ----------
    data_folder : of this user, where it is remembered what was chosen and compared; None
        remembers nothing
    stored_places : the coach said that the paths stored in the review are to be used
    chosen : files named for this run, resolved
    other_recording : the coach said that another recording under the old name is to be used
    """

    data_folder: Path | None = None
    stored_places: bool = False
    chosen: frozenset[Path] = frozenset()
    other_recording: bool = False

    def naming(self, *paths: Path) -> RecordingAccess:
        """The same with files that were named for this run."""
        return replace(self, chosen=self.chosen | {Path(os.path.realpath(p)) for p in paths})

    def chose(self, review_path: Path, ref: MediaRef, path: Path) -> None:
        """Remember that the coach chose a recording, whose content was read for `ref` just now."""
        trust.keep_place(self.data_folder, review_path, ref, path)
        with contextlib.suppress(OSError):
            if Path(path).stat().st_size == ref.size:
                remember(Path(path), ref.sha256, self.data_folder)

    def allow(self, review_path: Path, ref: MediaRef, path: Path) -> None:
        """Remember that the coach said yes to a place; what lies there was not read yet."""
        trust.keep_place(self.data_folder, review_path, ref, path)

    def allow_review(self, review_path: Path, other: Path) -> None:
        """Remember that the coach chose another review for comparisons."""
        trust.keep_review(self.data_folder, review_path, other)


STRANGER: Final = RecordingAccess()  # nothing but the review's own folder


@dataclass(frozen=True)
class Place:
    """Where a recording stands.

    Attributes
    ----------
    path : a file that may be read, resolved; None where there is none
    outside : where the stored path leads to, where that is outside and nobody chose it
    """

    path: Path | None = None
    outside: Path | None = None


def place_of(ref: MediaRef, review_path: Path, access: RecordingAccess = STRANGER) -> Place:
    """Find where a recording lies; nothing outside is touched before the coach chose it.

    Of two places the one whose content is not plainly another's is taken.
    """
    chosen = trust.chosen_place(access.data_folder, review_path, ref)
    inside, outside = _stored_place(ref.path, Path(review_path))
    if outside is not None and _may_use(outside, access):
        inside, outside = _resolved(outside), None
    files = [p for p in (chosen, inside) if p is not None and _is_file(p)]
    right = [p for p in files if not _plainly_other(ref, p, access)] if len(files) > 1 else files
    if files:
        return Place((right or files)[0])
    return Place(outside=outside)


def locate(ref: MediaRef, review_path: Path, access: RecordingAccess = STRANGER) -> Path | None:
    """Return where a recording may be read, if a file is there; `confirm` compares it."""
    return place_of(ref, review_path, access).path


def confirm(
    ref: MediaRef,
    path: Path,
    review_path: Path,
    access: RecordingAccess = STRANGER,
    cancelled: Cancelled | None = None,
) -> None:
    """Compare a recording whole before it is shown to anybody else.

    Raises
    ------
    OtherRecording
        It is another one, and the coach did not say that this one is meant.
    ReviewError
        It cannot be read, or that was cancelled.
    """
    if access.other_recording or is_reviewed(ref, path, access.data_folder, cancelled):
        return
    raise OtherRecording(ref, review_path, path)


def other_review(path: Path, review_path: Path) -> str:
    """The source of a stroke that lies in another review; raises ReviewError for no usable path."""
    return to_stored(Path(path).absolute(), _folder(Path(review_path)))


def other_review_path(source: str, review_path: Path) -> Path:
    """Where the other review of a stroke's source should lie; raises ReviewError for nowhere."""
    path = from_stored(source, _folder(Path(review_path)))
    if path is None:
        raise ReviewError(
            f"The review {name_of(source)} lies on another machine; choose it again here."
        )
    return path


def find_other_review(source: str, review_path: Path, access: RecordingAccess = STRANGER) -> Path:
    """Where another review may be read: in the own folder, or where the coach chose it.

    Raises
    ------
    OutsideReview
        It lies elsewhere, and nobody chose it on this machine.
    ReviewError
        It is not there.
    """
    path = other_review_path(source, review_path)
    inside, outside = _stored_place(source, Path(review_path))
    if outside is not None:
        chosen = trust.is_chosen_review(access.data_folder, review_path, outside)
        if not chosen and not _may_use(outside, access):
            raise OutsideReview(review_path, outside)
        inside = _resolved(outside)
    if inside is None or not _is_file(inside):
        raise ReviewError(
            f"The review {name_of(path.name)} this compares with is not where it was; choose it"
            " again."
        )
    return inside


def find_again(ref: MediaRef, folder: Path, *, cancelled: Cancelled | None = None) -> Path | None:
    """Search a folder and those in it for a recording by its content, whatever its name.

    Files that cannot be read are passed over, and so are links that lead out of the folder. A
    file of the old name is looked at first.
    """
    name = ref.path.replace("\\", "/").split("/")[-1]
    for path in sorted(_files_of_size(Path(folder), ref.size), key=lambda p: p.name != name):
        if cancelled is not None and cancelled():
            return None
        with contextlib.suppress(ReviewError):
            if is_reviewed(ref, path, None, cancelled):
                return path
    return None


def rebase(state: ReviewState, old_review: Path, new_review: Path) -> ReviewState:
    """Return a state whose recordings are referred to from another review file."""

    def again(stored: str) -> str:
        with contextlib.suppress(ReviewError):
            there = from_stored(stored, _folder(old_review))
            if there is not None:
                return to_stored(there, _folder(new_review))
        return stored  # a path of another machine stays what it is

    return with_paths(state, again, again)


def with_paths(
    state: ReviewState, recording: Callable[[str], str], review: Callable[[str], str]
) -> ReviewState:
    """Return a state that refers to its recordings and to other reviews by other stored paths."""

    def moved(ref: MediaRef | None) -> MediaRef | None:
        return None if ref is None else replace(ref, path=recording(ref.path))

    def seen(stroke: StrokeRef) -> StrokeRef:
        if not is_other_review(stroke.source):
            return stroke
        return replace(stroke, source=review(stroke.source))

    test = state.self_test
    if test is not None:
        items = tuple(replace(item, stroke=seen(item.stroke)) for item in test.items)
        test = replace(test, items=items)
    films = tuple(replace(f, ref=replace(f.ref, path=recording(f.ref.path))) for f in state.films)
    return replace(
        state,
        video=moved(state.video),
        trace=moved(state.trace),
        films=films,
        comparisons=tuple(
            replace(c, left=seen(c.left), right=seen(c.right)) for c in state.comparisons
        ),
        self_test=test,
    )


def _stored_place(stored: str, review_path: Path) -> tuple[Path | None, Path | None]:
    """Return where a stored path leads to inside the review's folder, or else outside of it."""
    folder = _folder(review_path)
    try:
        there = from_stored(stored, folder)
    except ReviewError:
        return None, None
    if there is None:
        return None, None
    home = _resolved(folder)
    if home is None or not (there.is_relative_to(folder) or there.is_relative_to(home)):
        return None, there
    resolved = _resolved(there)
    if resolved is None:
        return None, None
    # A link in the folder can lead anywhere.
    return (resolved, None) if resolved.is_relative_to(home) else (None, resolved)


def _may_use(outside: Path, access: RecordingAccess) -> bool:
    if access.stored_places:
        return True
    return bool(access.chosen) and Path(os.path.realpath(outside)) in access.chosen


def _plainly_other(ref: MediaRef, path: Path, access: RecordingAccess) -> bool:
    try:
        return quick_standing(ref, path, access.data_folder) == "other"
    except ReviewError:
        return True


def _folder(review_path: Path) -> Path:
    return normal(Path(review_path).absolute().parent)


def _resolved(path: Path) -> Path | None:
    try:
        return path.resolve()
    except (OSError, ValueError, RuntimeError):  # too long, no name, or links in a circle
        return None


def _is_file(path: Path) -> bool:
    """Whether a regular file is there: no folder, pipe or device."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _files_of_size(folder: Path, size: int) -> Iterator[Path]:
    home = _resolved(folder)
    for here, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            path = Path(here, name)
            with contextlib.suppress(OSError):
                if not path.is_file() or path.stat().st_size != size:
                    continue
                true = _resolved(path)
                if true is not None and home is not None and true.is_relative_to(home):
                    yield path
