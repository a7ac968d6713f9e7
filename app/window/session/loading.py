"""What a loading job brings back: a review, its recordings, and what the coach is told."""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from analysis.force.trace import ColumnMapping
from app.review.left_behind import Recovered
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingDoubt
from app.submission.loaded_film import LoadedFilm
from app.submission.looking import GoneRecording, missing
from app.submission.my_defaults import read_defaults
from app.submission.remarks import Remark
from app.submission.submission import LoadedForce, LoadedSubmission
from app.window.session.footage import Footage, load_footage
from app.window.session.known_recordings import access
from app.window.session.settings import Settings, data_folder
from app.window.tasks.jobs import Cancelled, Progress

if TYPE_CHECKING:
    from analysis.force.intake import Preview
    from app.review.review import Review


NOTHING: Final = Recovered()


class Question(ValueError):
    """A force file whose layout cannot be inferred: ask the coach once."""

    def __init__(self, path: Path, preview: Preview) -> None:
        super().__init__(f"{path.name} does not say how to read it.")
        self.path = path
        self.preview = preview


@dataclass(frozen=True)
class Opened:
    """What a loading job brings back."""

    submission: LoadedSubmission
    footage: Footage | None = None
    review: Review | None = None
    question: Question | None = None
    problems: tuple[str, ...] = ()
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

    review = Review.open(path, cancelled)
    review.protect(data_folder())
    voices, walks = recover(review), recover_walks(review)
    progress(0.2, "Opening the recordings")
    submission, footage = load_recordings(review.state, path)
    gone = [part.missing for part in submission.recordings if part.missing is not None]
    return Opened(
        submission,
        footage,
        review=review,
        problems=(
            *(_said(m) for m in gone if not isinstance(m.error, RecordingDoubt)),
            *filter(None, (submission.mine.problem,)),
        ),
        recovered=voices,
        recovered_walks=walks,
    )


def load_recordings(state: ReviewState, place: Path) -> tuple[LoadedSubmission, Footage | None]:
    """Load what a review names, and open its film; what is missing or in doubt is a remark.

    Nothing is compared whole yet: `KnownRecordings` does it while the coach looks already. So is
    the body worked out only then.
    """
    from app.submission.load import load

    submission = load(state, place, access=access(), quick=True, with_body=False)
    footage: Footage | None = None
    film = submission.film
    if film is not None and film.path is not None:
        try:
            footage = load_footage(film.path, film.ref.capture_fps)
            film = replace(film, known=footage.facts)
        except (ValueError, OSError) as error:
            film = replace(film, path=None, missing=missing(film.ref, error))
        submission = submission.with_recordings(films=(film, *submission.films[1:]))
    if footage is not None and len(submission.films) > 1:
        submission, footage = with_further(submission, footage)
    _ = submission.sections  # cut here, off the window's thread
    return submission, footage


def with_further(
    submission: LoadedSubmission, footage: Footage
) -> tuple[LoadedSubmission, Footage]:
    """Show the further films with the first; one that cannot be shown is a remark and a gap."""
    from app.submission.loaded_film import film_facts

    further = []
    for film in submission.films[1:]:
        if film.path is not None:
            try:
                film = replace(film, known=film_facts(film.path, film.ref.capture_fps))
            except (ValueError, OSError) as error:
                film = replace(film, path=None, missing=missing(film.ref, error))
        further.append(film)
    submission = submission.with_recordings(films=(submission.films[0], *further))
    reel = submission.reel
    if len(reel) < 2:
        return submission, footage
    whole = load_footage(reel[0].path, reel[0].capture_fps, more=reel[1:])
    if (opened := footage.opened.take()) is not None:
        opened.close()
    return submission, whole


def begin(
    video: Path | None,
    trace: Path | None,
    mapping: ColumnMapping | None,
    place: Path,
    settings: Settings,
    progress: Progress,
    early: Callable[[object], None],
) -> Opened:
    """Take in footage and force for a review; what cannot be read becomes a problem.

    Parameters
    ----------
    place : where the review lies, or will lie
    early : gets a first look at footage whose frames are still being counted
    """
    from analysis.force.intake import MappingNeeded
    from app.submission.load import begin_film, begin_force

    footage: Footage | None = None
    question: Question | None = None
    problems: list[str] = []
    films: tuple[LoadedFilm, ...] = ()
    forces: tuple[LoadedForce, ...] = ()
    if video is not None:
        progress(0.1, f"Reading {video.name}")
        try:
            footage = load_footage(video, None, lambda s: progress(0.1 + 0.5 * s, ""), early)
            films = (begin_film(video, place, footage.facts),)
            if footage.facts.has_sound:
                _load_sound_parts()
        except (ValueError, OSError) as error:
            footage, problems = None, [str(error)]
    if trace is not None:
        progress(0.6, f"Reading {trace.name}")
        try:
            known = mapping or _known_mapping(trace, settings)
            forces = (begin_force(trace, place, known),)
        except MappingNeeded as needed:
            question = Question(trace, needed.preview)
        except (ValueError, OSError) as error:
            problems.append(str(error))
    submission = LoadedSubmission(ReviewState(), place, films, forces, mine=read_defaults())
    return Opened(submission, footage, question=question, problems=tuple(problems))


def take_in(
    video: Path | None,
    trace: Path | None,
    mapping: ColumnMapping | None,
    place: Path,
    settings: Settings,
    progress: Progress,
    early: Callable[[object], None],
) -> Opened:
    """Read recordings for a review that lies at `place`; raises ValueError, a sentence."""
    opened = begin(video, trace, mapping, place, settings, progress, early)
    if opened.problems:
        raise ValueError(opened.problems[0])
    remember_places(opened.submission)
    return opened


def begin_review(
    video: Path | None,
    trace: Path | None,
    place: Path,
    settings: Settings,
    progress: Progress,
    early: Callable[[object], None],
) -> Opened:
    """Read recordings and make a review of them at `place`; raises ValueError, a sentence."""
    opened = begin(video, trace, None, place, settings, progress, early)
    if not opened.submission.recordings and opened.question is None:
        raise ValueError(opened.problems[0])
    new = new_review(opened)
    settings.add_recent(new.submission.review_path)
    return new


def new_review(opened: Opened) -> Opened:
    """Make the review of recordings that were taken in.

    Raises
    ------
    ReviewError
        No file can be made.
    """
    from app.review.review import Review

    begun = opened.submission
    film, force, path = begun.film, begun.force, begun.review_path
    named = ReviewState(video=film.ref if film else None, trace=force.ref if force else None)
    state = begun.mine.begun(named)
    submission = begun.in_state(state)
    review = Review.create(path, state)
    review.protect(data_folder())
    remember_places(submission)
    _ = submission.sections  # cut here, off the window's thread
    problems = (*opened.problems, *filter(None, (begun.mine.problem,)))
    return replace(opened, submission=submission, review=review, problems=problems)


def remember_places(submission: LoadedSubmission) -> None:
    """Remember that the coach chose these recordings for a review on this machine."""
    for part in submission.recordings:
        if part.path is not None and part.missing is None:
            access().chose(submission.review_path, part.ref, part.path)


def _said(gone: Remark) -> str:
    """Say on opening why a recording is not there."""
    from analysis.force.intake import MappingNeeded

    if isinstance(gone.error, GoneRecording):
        return (
            f"{gone.error.name} is not where it was; the notes are here all the same. "
            "Put it back beside the review, or use Find a recording."
        )
    if isinstance(gone.error, MappingNeeded):
        return f"{gone.error.preview.name} does not say how to read it."
    return gone.said


def _known_mapping(trace: Path, settings: Settings) -> ColumnMapping | None:
    from analysis.force.intake import preview

    return settings.mapping(preview(trace).signature)


def _seconds(lengths_s: tuple[float, ...]) -> str:
    return " and ".join(f"{length:.0f} s" for length in lengths_s)


def place_for(beside: Path) -> Path:
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
