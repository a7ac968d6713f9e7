"""Where the recording a review names lies on this machine, and whether it is the one reviewed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from app.review.parts.media import MediaRef
from app.review.recordings import (
    STRANGER,
    OtherRecording,
    OutsideRecording,
    RecordingAccess,
    find_again,
    is_reviewed,
    name_of,
    place_of,
    quick_standing,
)
from app.review.values.errors import ReviewError
from app.submission.remarks import Code, Remark


class GoneRecording(ReviewError):
    """A recording that lies nowhere this machine may look."""

    def __init__(self, ref: MediaRef, review_path: Path) -> None:
        self.name = name_of(ref.path)
        super().__init__(
            f"The recording {self.name} of {name_of(review_path.name)} is not where it was; put it"
            " back into the folder of that review, and it is found whatever its name."
        )


@dataclass(frozen=True)
class Found:
    """Where a recording lies.

    Attributes
    ----------
    path : a file that may be used, None where there is none
    remark : why there is none, or that another one is meant by the coach's word
    """

    path: Path | None
    remark: Remark | None = None


def look_for(
    ref: MediaRef,
    review_path: Path,
    access: RecordingAccess = STRANGER,
    cancelled: Callable[[], bool] | None = None,
    search: bool = False,
    quick: bool = False,
) -> Found:
    """Look for a recording and compare it with the one reviewed.

    Parameters
    ----------
    access : what may be read on this machine; what lies elsewhere counts as missing
    search : look for it by its content in the review's folder where it moved
    quick : take what nothing speaks against; whoever asks compares it whole afterwards

    Raises
    ------
    ReviewError
        The comparing was stopped.
    """
    place = place_of(ref, review_path, access)
    doubt: ReviewError | None = None
    if place.path is not None:
        try:
            if _is_it(ref, place.path, access, cancelled, quick):
                return Found(place.path)
            if access.other_recording:
                return Found(place.path, Remark(_code("other", ref)))
            doubt = OtherRecording(ref, review_path, place.path)
        except ReviewError as error:
            if cancelled is not None and cancelled():
                raise
            doubt = error  # there, and not to be read
    again = find_again(ref, review_path.parent, cancelled=cancelled) if search else None
    if again is not None:
        return Found(again)
    if doubt is None and place.outside is not None:
        doubt = OutsideRecording(ref, review_path, place.outside)
    return Found(None, missing(ref, doubt or GoneRecording(ref, review_path)))


def find_recording(
    ref: MediaRef,
    review_path: Path,
    cancelled: Callable[[], bool] | None = None,
    access: RecordingAccess = STRANGER,
) -> Path:
    """Where a recording lies now, looked for by its content beside its review if it moved.

    Raises
    ------
    RecordingDoubt
        It is another one, or lies where nobody chose it to.
    ReviewError
        It is not there, with the words what to do.
    """
    found = look_for(ref, review_path, access, cancelled, search=True)
    if found.path is None:
        assert found.remark is not None and found.remark.error is not None
        raise found.remark.error
    return found.path


def missing(ref: MediaRef, why: Exception) -> Remark:
    """Say of a recording that it is not used."""
    return Remark(_code("missing", ref), str(why), why)


def _is_it(
    ref: MediaRef,
    path: Path,
    access: RecordingAccess,
    cancelled: Callable[[], bool] | None,
    quick: bool,
) -> bool:
    if quick:
        return quick_standing(ref, path, access.data_folder) != "other"
    return is_reviewed(ref, path, access.data_folder, cancelled)


def _code(what: str, ref: MediaRef) -> Code:
    codes: dict[tuple[str, str], Code] = {
        ("missing", "video"): "missing_video",
        ("missing", "trace"): "missing_trace",
        ("other", "video"): "other_video",
        ("other", "trace"): "other_trace",
    }
    return codes[what, ref.kind]
