"""What an athlete sent, as it was read: every part of the program sees the same one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.review.parts.media import MediaRef
from app.review.recordings import RecordingDoubt
from app.submission.body import LoadedBody, signals_of
from app.submission.clock import ReviewClock, Standing
from app.submission.findings import RaisedFindings, raise_findings
from app.submission.loaded_film import LoadedFilm, films_in
from app.submission.looking import missing
from app.submission.my_defaults import SHIPPED, MyDefaults
from app.submission.remarks import Remark
from app.submission.sections import sections_of

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.force.coast_down import FlywheelModel
    from analysis.force.piece import PieceAnalysis, Spread
    from analysis.measures.measures import Measures
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.sections.section import Section
    from analysis.signals.signal import SignalSet
    from analysis.signals.stroke import Stroke
    from app.media.laid import Laid
    from app.review.parts.state import ReviewState


@dataclass(frozen=True, eq=False)
class LoadedForce:
    """A force recording of a submission.

    Attributes
    ----------
    path : on this machine, None where it is missing or may not be used
    piece : cut and measured, None where it is missing or cannot be read
    missing : why it is not at hand, None where it is
    noticed : what else there is to say about it
    """

    ref: MediaRef
    path: Path | None = None
    piece: PieceAnalysis | None = None
    missing: Remark | None = None
    noticed: tuple[Remark, ...] = ()

    def named(self, ref: MediaRef) -> LoadedForce:
        """The same recording as the review names it now."""
        return self if ref == self.ref else replace(self, ref=ref)


def _of_force(piece: RowedPiece | None) -> PieceAnalysis | None:
    if piece is None:
        return None
    from analysis.force.piece import PieceAnalysis

    return piece if isinstance(piece, PieceAnalysis) else None


def _summary(piece: RowedPiece | None) -> Mapping[str, Spread | None]:
    if piece is None:
        return {}
    from analysis.force.piece import summary_of

    return summary_of(piece.measures, piece.strokes)


_CUT: Final = ("sections", "by_section", "main", "outlying", "usual")
_TIMED: Final = ("clock", "signals")
_JUDGED: Final = ("raised",)


def cut_by(state: ReviewState) -> tuple[object, ...]:
    """What of a review its sections hang on."""
    return ReviewClock.of(state), state.sections


def judged_by(state: ReviewState, mine: MyDefaults = SHIPPED) -> tuple[object, ...]:
    """What of a review its findings hang on: others are raised when it changes."""
    return *cut_by(state), state.thresholds, mine.judging


@dataclass(frozen=True, eq=False)
class LoadedSubmission:
    """Films and force recordings of a review, and what is derived from them.

    Attributes
    ----------
    state, review_path : the review; one that is only begun has no file yet
    films, forces : as the review names them, also those that are missing here
    wording : the coach's own wording of the findings; None for that of `mine`
    body : what was followed in the first film, None where nothing was
    mine : what the coach settled for all reviews
    """

    state: ReviewState
    review_path: Path
    films: tuple[LoadedFilm, ...] = ()
    forces: tuple[LoadedForce, ...] = ()
    wording: Path | None = None
    body: LoadedBody | None = None
    mine: MyDefaults = SHIPPED

    def in_state(self, state: ReviewState, review_path: Path | None = None) -> LoadedSubmission:
        """The same recordings with the review as it is now; nothing is derived twice.

        What was followed of the body stays until `with_body` brings what the review says now:
        that is worked out away from the window.

        Parameters
        ----------
        review_path : where the review lies now; None where it always lay
        """
        now = replace(
            self,
            state=state,
            review_path=self.review_path if review_path is None else review_path,
            films=films_in(state, self.films),
            forces=tuple(force.named(state.trace or force.ref) for force in self.forces),
            body=None if state.body.readings is None else self.body,
        )
        now.keep_from(self)
        return now

    def with_body(self, body: LoadedBody | None) -> LoadedSubmission:
        """The same submission with what its film shows of the body."""
        now = replace(self, body=body)
        now.keep_from(self)
        return now

    def with_defaults(self, mine: MyDefaults) -> LoadedSubmission:
        """The same submission by what the coach has settled for all reviews now."""
        now = replace(self, mine=mine)
        now.keep_from(self)
        return now

    def with_recordings(
        self,
        films: tuple[LoadedFilm, ...] | None = None,
        forces: tuple[LoadedForce, ...] | None = None,
    ) -> LoadedSubmission:
        """The same review with other recordings; None for those that stay."""
        now = replace(
            self,
            films=self.films if films is None else films,
            forces=self.forces if forces is None else forces,
        )
        now.keep_from(self)
        return now

    def without(self, kind: str, why: Exception | None = None) -> LoadedSubmission:
        """The same review with its film ("video") or force ("trace") not at hand, and why."""
        ref = self.state.video if kind == "video" else self.state.trace
        said = None if ref is None or why is None else missing(ref, why)
        if kind == "video":
            return self.with_recordings(films=() if ref is None else (LoadedFilm(ref, None, said),))
        return self.with_recordings(forces=() if ref is None else (LoadedForce(ref, missing=said),))

    def keep_from(self, other: LoadedSubmission) -> None:
        """Take over what was derived from the same recordings by the same parts of a review."""
        if self.piece is not other.piece or self.body is not other.body:
            return
        kept: list[str] = []
        if ReviewClock.of(self.state) == ReviewClock.of(other.state):
            kept += _TIMED
        if cut_by(self.state) == cut_by(other.state):
            kept += _CUT
        if judged_by(self.state, self.mine) == judged_by(other.state, other.mine):
            kept += _JUDGED
        self.__dict__.update({n: other.__dict__[n] for n in kept if n in other.__dict__})

    @property
    def noticed(self) -> tuple[Remark, ...]:
        """What loading the recordings brought up."""
        said = ((part.missing, *part.noticed) for part in self.recordings)
        return tuple(remark for one in said for remark in one if remark is not None)

    @property
    def film(self) -> LoadedFilm | None:
        """The first film."""
        return self.films[0] if self.films else None

    @property
    def reel(self) -> tuple[Laid, ...]:
        """The films that are shown as one, on the clock of the first; none where that is missing.

        Those that are missing are gaps.
        """
        from app.media.laid import Laid

        if self.video_path is None:
            return ()
        parts = (self.films[0], *(f for f in self.films[1:] if f.role == "part"))
        return tuple(
            Laid(f.path, f.starts_s, f.ref.capture_fps) for f in parts if f.path is not None
        )

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
    def rowed(self) -> RowedPiece | None:
        """What strokes are known from: the force, or where there is none the picture."""
        if self.piece is not None or self.body is None or not self.body.strokes:
            return self.piece
        return self.body.piece

    @property
    def from_picture(self) -> bool:
        """Whether strokes and measures come from the picture, for want of a force."""
        return self.piece is None and self.rowed is not None

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """Strokes of the force, or where there is none those of the picture; each says which."""
        return () if self.rowed is None else self.rowed.strokes

    @property
    def stroke_clock(self) -> ReviewClock:
        """The clock of the strokes beside that of the review."""
        return ReviewClock() if self.from_picture else self.clock

    @cached_property
    def signals(self) -> SignalSet:
        """Every signal on the clock of the strokes: the force file's, then those of the picture.

        Of the picture none while nobody lined it up with the force.
        """
        return signals_of(self.piece, self.body, self.clock)

    @cached_property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure within the longest section, by its name."""
        return _summary(self.main)

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
        return sections_of(self.rowed, self.state, self.clock)

    @cached_property
    def by_section(self) -> tuple[RowedPiece, ...]:
        """The piece within each of its sections: their strokes, measures and mean curves alone."""
        piece = self.rowed
        if piece is None:
            return ()
        from analysis.sections.finding_sections import within

        return tuple(within(piece, section) for section in self.sections)

    @cached_property
    def main(self) -> RowedPiece | None:
        """The piece within its longest section: what a typical stroke and a mean curve are of."""
        parts = self.by_section
        whole = [sum(not stroke.remark for stroke in part.strokes) for part in parts]
        return parts[whole.index(max(whole))] if parts else self.rowed

    @property
    def main_piece(self) -> PieceAnalysis | None:
        """The force recording within its longest section."""
        return _of_force(self.main)

    def rowed_around(self, stroke_index: int) -> RowedPiece | None:
        """The piece within the section a stroke belongs to: what this stroke is compared with."""
        parts = zip(self.sections, self.by_section, strict=True)
        held = (part for section, part in parts if section.holds(stroke_index))
        return next(held, self.rowed)

    def around(self, stroke_index: int) -> PieceAnalysis | None:
        """The force recording within the section a stroke belongs to."""
        return _of_force(self.rowed_around(stroke_index))

    @cached_property
    def outlying(self) -> frozenset[int]:
        """Indices of the strokes that are unlike the rest of their section."""
        curves = (part.by_time for part in self.by_section)
        return frozenset(
            index
            for one in curves
            if one is not None
            for index, out in zip(one.stroke_indices, one.outlying, strict=True)
            if out
        )

    def usual_around(self, stroke: Stroke) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure within the section a stroke belongs to."""
        return _summary(self.rowed_around(stroke.index))

    @cached_property
    def raised(self) -> RaisedFindings:
        """What was found, and what could not be used for it."""
        return raise_findings(
            self.piece, self.state, self.wording, self.sections, self.body, self.mine
        )

    @property
    def flywheel(self) -> FlywheelModel:
        """What a target is reckoned on: the review's flywheel, else that of all reviews."""
        return self.mine.flywheel_of(self.state)

    @property
    def is_judged(self) -> bool:
        """Whether the findings were raised already, so that asking for them takes no time."""
        return "raised" in self.__dict__

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, the most important first."""
        return self.raised.found

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What is missing, and how far the line-up can be trusted."""
        said = (*self.noticed, *self._of_the_body())
        if self.state.video is None or self.piece is None:
            return said
        if self.clock.standing is Standing.ASSUMED:
            return (*said, Remark("not_lined_up"))
        if self.clock.standing is Standing.AMBIGUOUS:
            return (*said, Remark("ambiguous"))
        if self.clock.alignment.is_rough and not self.clock.method.is_checked:
            return (*said, Remark("rough"))
        return said

    def _of_the_body(self) -> tuple[Remark, ...]:
        """What a film alone leaves open; beside a force that is no loss."""
        body = self.body
        if body is None or self.piece is not None:
            return ()
        if not body.strokes:
            return (Remark("body_no_strokes"),)
        return (Remark("body_no_angles"),) if body.refused else ()

    @property
    def doubts(self) -> tuple[RecordingDoubt, ...]:
        """The recordings that are not used without the coach's word."""
        gone = [part.missing for part in self.recordings if part.missing is not None]
        return tuple(m.error for m in gone if isinstance(m.error, RecordingDoubt))

    def measures_of(self, stroke: Stroke) -> Measures:
        """Give the measures of one of the strokes."""
        assert self.rowed is not None
        return self.rowed.measures[self.rowed.strokes.index(stroke)]

    def stroke_at(self, review_s: float) -> Stroke | None:
        """Find the stroke that a moment of the review falls in, from its begin to the next."""
        for stroke in self.strokes:
            clock = self.clock_of(stroke)
            if not clock.holds(review_s):
                continue
            at_s = clock.trace_time(review_s)
            end_s = stroke.finish_s if stroke.next_catch_s is None else stroke.next_catch_s
            if stroke.catch_s <= at_s < end_s:
                return stroke
        return None

    def clock_of(self, stroke: Stroke) -> ReviewClock:
        """Give the clock a stroke is timed on: one seen in the film is on that of the review."""
        return ReviewClock() if stroke.source == "body" else self.clock
