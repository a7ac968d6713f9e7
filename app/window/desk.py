"""The open review and the material it is about: opening, attaching, changing, saving."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from analysis.force.trace import ColumnMapping
from app.review.parts.media import MediaRef
from app.review.state import ReviewState
from app.window import settings as remembered
from app.window.jobs import Cancelled, Jobs, Progress
from app.window.looking_at import look_at
from app.window.material import (
    Footage,
    Force,
    Material,
    Question,
    is_trace_name,
    load_footage,
    load_force,
)
from app.window.message_line import Messages
from app.window.picture.sound_player import make_ready

if TYPE_CHECKING:
    from app.review.change import Change
    from app.review.recordings import RecordingDoubt
    from app.review.review import Review


@dataclass(frozen=True)
class _Opened:
    """What a loading job brings back."""

    material: Material
    video: MediaRef | None = None
    trace: MediaRef | None = None
    review: Review | None = None
    question: Question | None = None
    problems: tuple[str, ...] = ()
    doubts: tuple[RecordingDoubt, ...] = ()
    recovered: tuple[float, ...] = ()  # seconds of voices that a crash had cut off
    recovered_walks: tuple[float, ...] = ()  # and of walkthroughs


class Desk(QObject):
    """Owns the review that is open and what it shows; widgets listen and send changes."""

    material_changed = Signal(object)  # Material
    state_changed = Signal(object, object)  # ReviewState now, ReviewState before
    opening = Signal()  # another review is about to take the place of this one
    opened = Signal()  # a review was opened or begun, or a recording added
    first_frame = Signal(object)  # ShownFrame, before the footage is open
    question_asked = Signal(object)  # Question, or None when it is answered
    doubted = Signal(object, object)  # tuple of RecordingDoubt, tuple of sentences besides

    def __init__(
        self,
        jobs: Jobs,
        messages: Messages,
        settings: remembered.Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._messages = messages
        self._settings = settings
        self._review: Review | None = None
        self._unsubscribe: Callable[[], None] | None = None
        self._material = Material()

    @property
    def review(self) -> Review | None:
        """The open review."""
        return self._review

    @property
    def state(self) -> ReviewState:
        """The open review's state; an empty one when none is open."""
        return self._review.state if self._review is not None else ReviewState()

    @property
    def material(self) -> Material:
        """What lies on the bench."""
        return self._material

    def do(self, change: Change) -> None:
        """Change the review, undoably. Without a review nothing happens."""
        if self._review is None:
            return
        try:
            self._review.do(change)
        except ValueError as error:
            self._messages.warn(str(error))

    def undo(self) -> None:
        """Take the last change back."""
        if self._review is not None and self._review.undo_label:
            self._messages.say(f"Taken back: {self._review.undo_label}.")
            self._review.undo()

    def redo(self) -> None:
        """Do again what was taken back."""
        if self._review is not None and self._review.redo_label:
            self._messages.say(f"Done again: {self._review.redo_label}.")
            self._review.redo()

    def open_paths(self, paths: Iterable[Path]) -> None:
        """Open what was dropped or chosen: a review, footage, force, or footage with force."""
        paths = list(paths)
        reviews = [p for p in paths if p.suffix.lower() == ".review"]
        if reviews:
            self.open_review(reviews[0])
            return
        traces = [p for p in paths if is_trace_name(p)]
        videos = [p for p in paths if not is_trace_name(p)]
        if len(videos) > 1 or len(traces) > 1:
            self._messages.warn(
                "One footage file and one force file make a review; "
                "nothing was opened. Choose one of each."
            )
            return
        video = videos[0] if videos else None
        trace = traces[0] if traces else None
        if self._review is not None and _fills(self._material, video, trace):
            self.attach(video, trace)
        elif video or trace:
            self._begin(video, trace)

    def open_review(self, path: Path) -> None:
        """Open a review file with the recordings it names."""

        def work(progress: Progress, cancelled: Cancelled) -> _Opened:
            from app.review.recording import recover
            from app.review.review import Review
            from app.review.walkthrough_journal import recover_walks

            review = Review.open(path)
            recovered, walks = recover(review), recover_walks(review)
            progress(0.2, "Opening the recordings")
            opened = _with_recordings(review)
            return replace(opened, recovered=recovered, recovered_walks=walks)

        self._jobs.run(f"Opening {path.name}", work, self._take, self.refuse)

    def answer(self, question: Question, mapping: ColumnMapping) -> None:
        """The coach said how to read a force file; remember it for its kind."""
        self._settings.remember_mapping(question.preview.signature, mapping)
        self.question_asked.emit(None)
        self.attach(None, question.path, mapping)

    def close(self) -> None:
        """Let go of the review; all its changes are saved already."""
        if self._unsubscribe is not None:
            self._unsubscribe()
            self._unsubscribe = None
        if self._review is not None:
            self._review.save()
        self._review = None

    def _begin(self, video: Path | None, trace: Path | None) -> None:
        """A new review of these recordings; or the one that lies beside them already."""
        first = video or trace
        if first is None:
            return
        beside = first.with_suffix(".review")
        if beside.is_file():
            self._messages.say(f"{first.name} has a review already; it was opened.")
            self.open_review(beside)
            return

        def work(progress: Progress, cancelled: Cancelled) -> _Opened:
            from app.review.recordings import refer
            from app.review.review import Review

            opened = self._load(video, trace, None, progress)
            if opened.material == Material() and opened.question is None:
                raise ValueError(opened.problems[0])
            path = _place_for(beside)
            state = ReviewState(
                title=first.stem,
                video=refer(video, "video", path) if opened.material.footage and video else None,
                trace=(
                    refer(trace, "trace", path, opened.material.force.mapping)
                    if opened.material.force and trace
                    else None
                ),
            )
            review = Review.create(path, state)
            _chosen(path, state.video, state.trace, opened.material)
            return replace(opened, review=review)

        self._jobs.run(f"Opening {first.name}", work, self._take, self.refuse)

    def attach(
        self, video: Path | None, trace: Path | None, mapping: ColumnMapping | None = None
    ) -> None:
        """Add a recording to the open review, or put it in the place of the one it has."""
        review = self._review
        name = (trace or video or Path()).name
        if review is None or review.path is None:
            return
        place = review.path

        def work(progress: Progress, cancelled: Cancelled) -> _Opened:
            from app.review.recordings import refer

            opened = self._load(video, trace, mapping, progress)
            if opened.problems:
                raise ValueError(opened.problems[0])
            footage, force = opened.material.footage, opened.material.force
            new_video = refer(footage.path, "video", place) if footage else None
            new_trace = refer(force.path, "trace", place, force.mapping) if force else None
            _chosen(place, new_video, new_trace, opened.material)
            return replace(opened, video=new_video, trace=new_trace)

        self._jobs.run(f"Opening {name}", work, self._add, self.refuse)

    def _load(
        self,
        video: Path | None,
        trace: Path | None,
        mapping: ColumnMapping | None,
        progress: Progress,
        capture_fps: float | None = None,
    ) -> _Opened:
        footage: Footage | None = None
        force: Force | None = None
        question: Question | None = None
        problems = []
        if video is not None:
            progress(0.1, f"Reading {video.name}")
            try:
                footage = load_footage(video, capture_fps, *_watching(progress, self._early))
                if footage.has_sound:
                    make_ready()
            except (ValueError, OSError) as error:
                problems.append(str(error))
        if trace is not None:
            progress(0.6, f"Reading {trace.name}")
            try:
                force = load_force(trace, mapping or _known_mapping(trace, self._settings))
            except Question as asked:
                question = asked
            except (ValueError, OSError) as error:
                problems.append(str(error))
        return _Opened(Material(footage, force), question=question, problems=tuple(problems))

    def _take(self, opened: _Opened) -> Iterator[None]:
        """A review with its material came from a loading job: put it on the bench, in turns."""
        review = opened.review
        if review is None:
            return
        self.opening.emit()
        shown = self.state
        self.close()
        self._review = review
        review.on_save_error = self._messages.warn
        self._unsubscribe = review.subscribe(self._changed)
        if review.path is not None:
            self._settings.add_recent(review.path)
        self._material = opened.material
        for step in (self._put_all, self._show_anew, self._welcome):
            yield
            if self._review is not review:
                return  # another one came in between
            step(opened, shown)

    def _put_all(self, opened: _Opened, _shown: ReviewState) -> None:
        self._put(opened.material)

    def _show_anew(self, opened: _Opened, shown: ReviewState) -> None:
        if shown != ReviewState():
            # What the last review showed goes first: who listens looks at what is different only.
            self.state_changed.emit(ReviewState(), shown)
        self.state_changed.emit(self.state, ReviewState())
        self.question_asked.emit(opened.question)

    def _welcome(self, opened: _Opened, _shown: ReviewState) -> None:
        self._report(opened)
        self.opened.emit()

    def _add(self, opened: _Opened) -> None:
        """One more recording came for the open review."""
        from app.review.parts.media import SetTrace, SetVideo

        self.question_asked.emit(opened.question)
        if opened.question is not None:
            return
        self._put(
            Material(
                opened.material.footage or self._material.footage,
                opened.material.force or self._material.force,
            )
        )
        if opened.video is not None:
            self.do(SetVideo(opened.video))
        if opened.trace is not None:
            self.do(SetTrace(opened.trace))
        self._report(opened)
        self.opened.emit()

    def _put(self, material: Material) -> None:
        self._material = material
        self.material_changed.emit(material)

    def _report(self, opened: _Opened) -> None:
        found = (*_recovered(opened.recovered), *_recovered_walks(opened.recovered_walks))
        if opened.doubts:
            self.doubted.emit(opened.doubts, (*found, *opened.problems))
            return
        if opened.problems or found:
            self._messages.warn(" ".join((*found, *opened.problems)))
            return
        footage, force = opened.material.footage, opened.material.force
        intake = force.piece.trace.intake if force is not None else None
        remarks = intake.remarks if intake is not None else ()
        if remarks:
            self._messages.warn(" ".join(remarks))
        elif self._review is not None and self._review.path is not None:
            self._messages.say(f"{self._review.path.name} is open; every change is saved at once.")
        if footage is not None:
            look_at(footage, remarks, lambda: self._material, self._jobs, self._messages)

    def put_away(self, kind: str) -> None:
        """Take footage ("video") or force ("trace") off the bench; the review stays as it is."""
        gone = {"footage": None} if kind == "video" else {"force": None}
        self._put(replace(self._material, **gone))

    def refuse(self, error: Exception) -> None:
        """Say why something was not done; about a recording in doubt, with what can be done."""
        from app.review.recordings import RecordingDoubt

        if isinstance(error, RecordingDoubt):
            self.doubted.emit((error,), ())
        else:
            self._messages.warn(str(error))

    def _early(self, frame: object) -> None:
        """A first look at footage whose frames are still being counted; from the job's thread."""
        self.first_frame.emit(frame)

    def _changed(self, state: ReviewState, before: ReviewState) -> None:
        footage = self._material.footage
        rate = state.video.capture_fps if state.video is not None else None
        if footage is not None and rate != footage.capture_fps:
            self._open_at_rate(footage, rate)
        self.state_changed.emit(state, before)

    def _open_at_rate(self, footage: Footage, capture_fps: float | None) -> None:
        """Open the footage anew on another clock."""

        def work(progress: Progress, cancelled: Cancelled) -> Footage:
            return load_footage(footage.path, capture_fps)

        def use(new: Footage) -> None:
            self._put(replace(self._material, footage=new))

        self._jobs.run(f"Opening {footage.path.name}", work, use, self.refuse)


def _fills(material: Material, video: Path | None, trace: Path | None) -> bool:
    """Whether this fills what a review still lacks."""
    if video is not None and trace is not None:
        return False
    if trace is not None:
        return material.force is None
    return video is not None and material.footage is None


def _known_mapping(trace: Path, settings: remembered.Settings) -> ColumnMapping | None:
    from analysis.force.intake import preview

    return settings.mapping(preview(trace).signature)


def _with_recordings(review: Review) -> _Opened:
    """Load what a review names, as far as it is beyond doubt."""
    from app.window.known_recordings import load_recordings

    loaded = load_recordings(review)
    return _Opened(loaded.material, review=review, problems=loaded.problems, doubts=loaded.doubts)


def _chosen(
    review: Path, video: MediaRef | None, trace: MediaRef | None, material: Material
) -> None:
    """Remember that the coach chose these recordings for a review on this machine."""
    from app.window.known_recordings import access

    if video is not None and material.footage is not None:
        access().chose(review, video, material.footage.path)
    if trace is not None and material.force is not None:
        access().chose(review, trace, material.force.path)


def _recovered(lengths_s: tuple[float, ...]) -> tuple[str, ...]:
    if not lengths_s:
        return ()
    seconds = " and ".join(f"{length:.0f} s" for length in lengths_s)
    return (f"What was being said when the bench stopped last time is a note now ({seconds}).",)


def _recovered_walks(lengths_s: tuple[float, ...]) -> tuple[str, ...]:
    if not lengths_s:
        return ()
    seconds = " and ".join(f"{length:.0f} s" for length in lengths_s)
    return (f"The walkthrough under way when the bench stopped last time was kept ({seconds}).",)


def _watching(
    progress: Progress, early: Callable[[object], None]
) -> tuple[Callable[[float], None], Callable[[object], None]]:
    """How far the counting of the frames is, as a share of the whole opening; a first look."""
    return lambda share: progress(0.1 + 0.5 * share, ""), early


def _place_for(beside: Path) -> Path:
    """Where a new review goes: beside the footage, or among the user's data if that is closed."""
    import os

    if os.access(beside.parent, os.W_OK):
        return beside
    folder = remembered.data_folder() / "reviews"
    folder.mkdir(parents=True, exist_ok=True)
    place = folder / beside.name
    number = 2
    while place.exists():
        place = folder / f"{beside.stem} {number}.review"
        number += 1
    return place
