"""The recordings of the open review are those reviewed: looked at on opening, compared whole after.

What is in doubt does not come onto the bench; the coach is told what to do about it in one line.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.review.errors import ReviewError
from app.review.parts.media import MediaRef, SetTrace, SetVideo
from app.review.recordings import (
    OtherRecording,
    OutsideRecording,
    OutsideReview,
    RecordingAccess,
    RecordingDoubt,
    confirm,
    is_reviewed,
    name_of,
    place_of,
    quick_standing,
    refer,
)
from app.review.state import ReviewState
from app.review.text import clean_name
from app.window.jobs import Cancelled, Job, Jobs, Progress
from app.window.material import Material, load_footage, load_force
from app.window.message_line import Messages, Offer
from app.window.settings import data_folder

if TYPE_CHECKING:
    from app.review.review import Review


@dataclass(frozen=True)
class Loaded:
    """The recordings of a review as far as they are beyond doubt."""

    material: Material
    problems: tuple[str, ...] = ()
    doubts: tuple[RecordingDoubt, ...] = ()


def access() -> RecordingAccess:
    """What may be read on this machine: the review's own folder, and what was chosen here."""
    return RecordingAccess(data_folder())


def load_recordings(review: Review) -> Loaded:
    """Load what a review names; what is missing or in doubt is said, and the notes open."""
    material, problems = Material(), []
    doubts: list[RecordingDoubt] = []
    for ref in _recordings(review.state):
        if review.path is None:
            continue
        try:
            material = _with(material, ref, _looked_at(ref, review.path))
        except RecordingDoubt as doubt:
            doubts.append(doubt)
        except (ValueError, OSError) as error:
            problems.append(str(error))
    return Loaded(material, tuple(problems), tuple(doubts))


def lost_recordings(state: ReviewState, review_path: Path) -> list[MediaRef]:
    """The recordings that cannot be shown: gone, lying elsewhere, or another one in their place."""
    lost = []
    for ref in _recordings(state):
        try:
            _looked_at(ref, review_path)
        except ReviewError:
            lost.append(ref)
    return lost


def confirm_footage(state: ReviewState, review_path: Path | None, path: Path) -> None:
    """Compare the footage on the bench whole before a picture of it is saved.

    Raises
    ------
    OtherRecording
        It is another one than was reviewed.
    """
    if state.video is not None and review_path is not None:
        confirm(state.video, path, review_path, access())


def _looked_at(ref: MediaRef, review_path: Path) -> Path:
    """Where a recording lies that nothing speaks against; raises ReviewError for no such one."""
    place = place_of(ref, review_path, access())
    if place.outside is not None:
        raise OutsideRecording(ref, review_path, place.outside)
    if place.path is None:
        raise ReviewError(
            f"{name_of(ref.path)} is not where it was; the notes are here all the same. "
            "Put it back beside the review, or use Find a recording."
        )
    if quick_standing(ref, place.path, data_folder()) == "other":
        raise OtherRecording(ref, review_path, place.path)
    return place.path


def _with(material: Material, ref: MediaRef, path: Path) -> Material:
    if ref.kind == "video":
        return replace(material, footage=load_footage(path, ref.capture_fps))
    return replace(material, force=load_force(path, ref.mapping))


def _recordings(state: ReviewState) -> tuple[MediaRef, ...]:
    return tuple(ref for ref in (state.video, state.trace) if ref is not None)


class KnownRecordings(QObject):
    """Compares what lies on the bench whole, in the background, and asks where there is a doubt."""

    def __init__(
        self,
        jobs: Jobs,
        messages: Messages,
        find: Callable[[], None],
        reopen: Callable[[Path], None],
        change: Callable[[SetVideo | SetTrace], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._jobs, self._messages = jobs, messages
        self._find, self._reopen, self._change = find, reopen, change
        self._job: Job | None = None

    def check(
        self, review: Review | None, material: Material, put_away: Callable[[str], None]
    ) -> None:
        """Compare the recordings on the bench whole; one that is another is put away.

        Parameters
        ----------
        put_away : called with the kind of each recording that is another one
        """
        if self._job is not None:
            self._job.cancel()
            self._job = None
        if review is None or review.path is None:
            return
        place = review.path
        waiting = [p for p in _on_bench(review.state, material) if not _is_known(*p)]
        if not waiting:
            return

        def work(progress: Progress, cancelled: Cancelled) -> list[OtherRecording]:
            others = []
            for ref, path in waiting:
                with contextlib.suppress(ReviewError):  # it went away: the picture says so
                    if not is_reviewed(ref, path, data_folder(), cancelled):
                        others.append(OtherRecording(ref, place, path))
            return others

        def told(others: list[OtherRecording]) -> None:
            self._job = None
            for other in others:
                put_away(other.ref.kind)
            if others:
                self.ask(others)

        names = " and ".join(clean_name(path.name) for _ref, path in waiting)
        self._job = self._jobs.run(f"Comparing {names}", work, told, self._refuse)

    def look_again(
        self, state: ReviewState, before: ReviewState, compare: Callable[[], None]
    ) -> None:
        """Compare anew where undo, redo or a yes made another recording the one reviewed."""
        refs = ((state.video, before.video), (state.trace, before.trace))
        if any(new and old and new.sha256 != old.sha256 for new, old in refs):
            compare()

    def ask(self, doubts: Iterable[RecordingDoubt], *also: str) -> None:
        """Say what is in doubt, with what can be done about it."""
        doubts = tuple(doubts)
        offers: list[Offer] = []
        outside = tuple(d for d in doubts if not isinstance(d, OtherRecording))
        others = tuple(d for d in doubts if isinstance(d, OtherRecording))
        if outside:
            offers.append(Offer("Use it", lambda: self.use(outside)))
        if others:
            offers.append(Offer("Find the right one …", self._find))
        for other in others:
            offers.append(self._offer_to_take(other))
        self._messages.warn(" ".join((*also, *map(str, doubts))), *offers)

    def use(self, doubts: Iterable[RecordingDoubt]) -> None:
        """The coach said yes to where they lie."""
        again = None
        for doubt in doubts:
            if isinstance(doubt, OutsideReview):
                access().allow_review(doubt.review_path, doubt.path)
            elif isinstance(doubt, OutsideRecording):
                access().allow(doubt.review_path, doubt.ref, doubt.path)
            again = doubt.review_path
        if again is not None:
            self._reopen(again)

    def take_as_new(self, other: OtherRecording) -> None:
        """The coach said that another recording is meant; it can be undone."""
        ref, place = other.ref, other.review_path

        def work(progress: Progress, cancelled: Cancelled) -> MediaRef:
            new = refer(other.path, ref.kind, place, ref.mapping, cancelled=cancelled)
            access().chose(place, new, other.path)
            return new

        def use(new: MediaRef) -> None:
            self._change(SetVideo(new) if new.kind == "video" else SetTrace(new))
            self._reopen(place)

        self._jobs.run(f"Reading {clean_name(other.path.name)}", work, use, self._refuse)

    def _offer_to_take(self, other: OtherRecording) -> Offer:
        what = "footage" if other.ref.kind == "video" else "force"
        return Offer(f"Take it as new {what}", lambda: self.take_as_new(other))

    def _refuse(self, error: Exception) -> None:
        self._messages.warn(str(error))


def _on_bench(state: ReviewState, material: Material) -> list[tuple[MediaRef, Path]]:
    pairs = []
    if state.video is not None and material.footage is not None:
        pairs.append((state.video, material.footage.path))
    if state.trace is not None and material.force is not None:
        pairs.append((state.trace, material.force.path))
    return pairs


def _is_known(ref: MediaRef, path: Path) -> bool:
    try:
        return quick_standing(ref, path, data_folder()) == "same"
    except ReviewError:
        return False
