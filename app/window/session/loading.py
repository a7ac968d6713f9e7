"""What a loading job brings back: a review, its recordings, and what the coach is told."""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from analysis.force.trace import ColumnMapping
from app.review.left_behind import Recovered
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.window.session.open_recordings import (
    Footage,
    Force,
    OpenRecordings,
    Question,
    load_footage,
    load_force,
)
from app.window.session.settings import Settings, data_folder
from app.window.tasks.jobs import Cancelled, Progress

if TYPE_CHECKING:
    from app.review.recordings import RecordingDoubt
    from app.review.review import Review


NOTHING: Final = Recovered()


@dataclass(frozen=True)
class Opened:
    """What a loading job brings back."""

    recordings: OpenRecordings
    video: MediaRef | None = None
    trace: MediaRef | None = None
    review: Review | None = None
    question: Question | None = None
    problems: tuple[str, ...] = ()
    doubts: tuple[RecordingDoubt, ...] = ()
    recovered: Recovered = NOTHING  # seconds of voices that a crash had cut off
    recovered_walks: Recovered = NOTHING  # and of walkthroughs

    @property
    def found(self) -> tuple[str, ...]:
        """Sentences about what a crash had cut off."""
        said: list[str] = []
        if self.recovered:
            said.append(
                "What was being said when the bench stopped last time is a note now "
                f"({_seconds(self.recovered)})."
            )
        if self.recovered_walks:
            said.append(
                "The walkthrough under way when the bench stopped last time was kept "
                f"({_seconds(self.recovered_walks)})."
            )
        return (*said, *self.recovered.left, *self.recovered_walks.left)


def open_review(path: Path, progress: Progress, cancelled: Cancelled) -> Opened:
    """Open a review file with what a crash left beside it and the recordings it names.

    Raises
    ------
    ReviewError
        It cannot be read, or cancelled.
    """
    from app.review.recording import recover
    from app.review.review import Review
    from app.review.walkthrough_journal import recover_walks
    from app.window.session.known_recordings import load_recordings

    review = Review.open(path, cancelled)
    review.protect(data_folder())
    voices, walks = recover(review), recover_walks(review)
    progress(0.2, "Opening the recordings")
    loaded = load_recordings(review)
    return Opened(
        loaded.recordings,
        review=review,
        problems=loaded.problems,
        doubts=loaded.doubts,
        recovered=voices,
        recovered_walks=walks,
    )


def new_review(opened: Opened, video: Path | None, trace: Path | None, beside: Path) -> Review:
    """Make the review of recordings that were loaded.

    Raises
    ------
    ReviewError
        No file can be made.
    """
    from app.review.recordings import refer
    from app.review.review import Review

    path = _place_for(beside)
    footage, force = opened.recordings.footage, opened.recordings.force
    state = ReviewState(
        title=beside.stem,
        video=refer(video, "video", path) if footage and video else None,
        trace=refer(trace, "trace", path, force.mapping) if force and trace else None,
    )
    review = Review.create(path, state)
    review.protect(data_folder())
    remember_places(path, state, opened.recordings)
    return review


def load(
    video: Path | None,
    trace: Path | None,
    mapping: ColumnMapping | None,
    settings: Settings,
    progress: Progress,
    early: Callable[[object], None],
) -> Opened:
    """Load footage and force; what cannot be read becomes a problem.

    Parameters
    ----------
    early : gets a first look at footage whose frames are still being counted
    """
    footage: Footage | None = None
    force: Force | None = None
    question: Question | None = None
    problems = []
    if video is not None:
        progress(0.1, f"Reading {video.name}")
        try:
            footage = load_footage(video, None, lambda s: progress(0.1 + 0.5 * s, ""), early)
            if footage.has_sound:
                _load_sound_parts()
        except (ValueError, OSError) as error:
            problems.append(str(error))
    if trace is not None:
        progress(0.6, f"Reading {trace.name}")
        try:
            force = load_force(trace, mapping or _known_mapping(trace, settings))
        except Question as asked:
            question = asked
        except (ValueError, OSError) as error:
            problems.append(str(error))
    return Opened(OpenRecordings(footage, force), question=question, problems=tuple(problems))


def remember_places(review: Path, state: ReviewState, recordings: OpenRecordings) -> None:
    """Remember that the coach chose these recordings for a review on this machine."""
    from app.window.session.known_recordings import access

    if state.video is not None and recordings.footage is not None:
        access().chose(review, state.video, recordings.footage.path)
    if state.trace is not None and recordings.force is not None:
        access().chose(review, state.trace, recordings.force.path)


def _known_mapping(trace: Path, settings: Settings) -> ColumnMapping | None:
    from analysis.force.intake import preview

    return settings.mapping(preview(trace).signature)


def _seconds(lengths_s: tuple[float, ...]) -> str:
    return " and ".join(f"{length:.0f} s" for length in lengths_s)


def _place_for(beside: Path) -> Path:
    """Where a new review goes: beside the footage, or among the user's data if that is closed."""
    import os

    if os.access(beside.parent, os.W_OK):
        return beside
    folder = data_folder() / "reviews"
    folder.mkdir(parents=True, exist_ok=True)
    place = folder / beside.name
    number = 2
    while place.exists():
        place = folder / f"{beside.stem} {number}.review"
        number += 1
    return place


def _load_sound_parts() -> None:
    """Load Qt's sound parts; takes a tenth of a second, so not on the window's thread."""
    with contextlib.suppress(ImportError):
        importlib.import_module("PySide6.QtMultimedia")
