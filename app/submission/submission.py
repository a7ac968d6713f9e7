"""What an athlete sent, as it was read: every part of the program sees the same one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from app.review.parts.media import MediaRef
from app.review.recordings import RecordingDoubt
from app.submission.clock import ReviewClock, Standing
from app.submission.findings import RaisedFindings, raise_findings
from app.submission.remarks import Remark
from app.submission.sections import sections_of

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.force.piece import PieceAnalysis, Spread
    from analysis.measures.measures import Measures
    from analysis.sections.section import Section
    from analysis.signals.stroke import Stroke
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class FilmFacts:
    """What is known of a film without showing it.

    Attributes
    ----------
    duration_s : on the clock of the review: real seconds where a capture rate was told
    fps : frames a second on that clock
    width, height : pixels, upright
    """

    duration_s: float
    fps: float
    width: int
    height: int
    has_sound: bool


@dataclass(frozen=True)
class LoadedFilm:
    """A film of a submission.

    Attributes
    ----------
    path : on this machine, None where it is missing or may not be used
    missing : why it is not at hand, None where it is
    known : its facts, where they are known already
    """

    ref: MediaRef
    path: Path | None = None
    missing: Remark | None = None
    known: FilmFacts | None = None

    @cached_property
    def facts(self) -> FilmFacts | None:
        """Its facts, None where it is missing; opened once for them and closed again.

        Raises
        ------
        MediaError
            It cannot be shown; the message says why.
        """
        if self.known is not None or self.path is None:
            return self.known
        return film_facts(self.path, self.ref.capture_fps)


def film_facts(path: Path, capture_fps: float | None = None) -> FilmFacts:
    """Open a film for its facts and close it again.

    Parameters
    ----------
    capture_fps : the rate a slow-motion recording was made at; times are then real seconds

    Raises
    ------
    MediaError
        It cannot be shown; the message says why.
    """
    from app.media.video import VideoFile

    with VideoFile.open(path, capture_fps=capture_fps) as video:
        return FilmFacts(video.duration_s, video.fps, video.width, video.height, video.has_sound)


@dataclass(frozen=True, eq=False)
class LoadedForce:
    """A force recording of a submission.

    Attributes
    ----------
    path : on this machine, None where it is missing or may not be used
    piece : cut and measured, None where it is missing or cannot be read
    missing : why it is not at hand, None where it is
    """

    ref: MediaRef
    path: Path | None = None
    piece: PieceAnalysis | None = None
    missing: Remark | None = None

    @cached_property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure by its name; empty where there is no piece."""
        if self.piece is None:
            return {}
        from analysis.force.piece import summary

        return summary(self.piece)


@dataclass(frozen=True, eq=False)
class LoadedSubmission:
    """Films and force recordings of a review, and what is derived from them.

    Attributes
    ----------
    state, review_path : the review; one that is only begun has no file yet
    films, forces : as the review names them, also those that are missing here
    noticed : what loading them brought up
    wording : the coach's own wording of the findings; None for the file of this user
    """

    state: ReviewState
    review_path: Path
    films: tuple[LoadedFilm, ...] = ()
    forces: tuple[LoadedForce, ...] = ()
    noticed: tuple[Remark, ...] = ()
    wording: Path | None = None

    @property
    def film(self) -> LoadedFilm | None:
        """The first film."""
        return self.films[0] if self.films else None

    @property
    def force(self) -> LoadedForce | None:
        """The first force recording."""
        return self.forces[0] if self.forces else None

    @property
    def recordings(self) -> tuple[LoadedFilm | LoadedForce, ...]:
        """Films and force recordings."""
        return (*self.films, *self.forces)

    @property
    def piece(self) -> PieceAnalysis | None:
        """The first force recording cut and measured."""
        return None if self.force is None else self.force.piece

    @property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure of the first force recording; empty without one."""
        return {} if self.force is None else self.force.usual

    @property
    def video_path(self) -> Path | None:
        """Where the first film lies on this machine."""
        return None if self.film is None else self.film.path

    @property
    def trace_path(self) -> Path | None:
        """Where the first force recording lies on this machine."""
        return None if self.force is None else self.force.path

    @cached_property
    def clock(self) -> ReviewClock:
        """What moment of the review is what moment of the force recording."""
        return ReviewClock.of(self.state)

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """Stretches of like rate and pressure: the coach's own, or those found."""
        return sections_of(self.piece, self.state, self.clock)

    @cached_property
    def by_section(self) -> tuple[PieceAnalysis, ...]:
        """The piece within each of its sections: their strokes, measures and mean curves alone."""
        if self.piece is None:
            return ()
        from analysis.sections.finding_sections import within

        return tuple(within(self.piece, section) for section in self.sections)

    @cached_property
    def main_piece(self) -> PieceAnalysis | None:
        """The piece within its longest section: what a typical stroke and a mean curve are of."""
        parts = self.by_section
        whole = [sum(not stroke.remark for stroke in part.strokes) for part in parts]
        return parts[whole.index(max(whole))] if parts else self.piece

    @cached_property
    def raised(self) -> RaisedFindings:
        """What was found, and what could not be used for it."""
        return raise_findings(self.piece, self.state, self.wording, self.sections)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, the most important first."""
        return self.raised.found

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What is missing, and how far the line-up can be trusted."""
        said = self.noticed
        if self.state.video is None or self.piece is None:
            return said
        if self.clock.standing is Standing.ASSUMED:
            return (*said, Remark("not_lined_up"))
        if self.clock.standing is Standing.AMBIGUOUS:
            return (*said, Remark("ambiguous"))
        if self.clock.alignment.is_rough and not self.clock.method.is_checked:
            return (*said, Remark("rough"))
        return said

    @property
    def doubts(self) -> tuple[RecordingDoubt, ...]:
        """The recordings that are not used without the coach's word."""
        gone = [part.missing for part in self.recordings if part.missing is not None]
        return tuple(m.error for m in gone if isinstance(m.error, RecordingDoubt))

    def measures_of(self, stroke: Stroke) -> Measures:
        """Give the measures of a stroke of the first force recording."""
        assert self.piece is not None
        return self.piece.measures[self.piece.strokes.index(stroke)]

    def stroke_at(self, review_s: float) -> Stroke | None:
        """Find the stroke that a moment of the review falls in, from catch to next catch."""
        if self.piece is None:
            return None
        trace_s = self.clock.trace_time(review_s)
        for stroke in self.piece.strokes:
            end_s = stroke.finish_s if stroke.next_catch_s is None else stroke.next_catch_s
            if stroke.catch_s <= trace_s < end_s:
                return stroke
        return None
