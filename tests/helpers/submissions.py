"""Submissions as a loader gives them, for tests that need no files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from analysis.force.piece import PieceAnalysis
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.submission.loaded_film import FilmFacts, LoadedFilm
from app.submission.submission import LoadedForce, LoadedSubmission

VIDEO = MediaRef("video", "v.mp4", 1, "aa")
TRACE = MediaRef("trace", "f.csv", 1, "bb")


def submission_of(
    state: ReviewState | None = None,
    piece: PieceAnalysis | None = None,
    footage_s: float | None = None,
    video: Path | None = None,
) -> LoadedSubmission:
    """A submission of a piece, and of a film of some length or at some place."""
    state = state or ReviewState()
    films: tuple[LoadedFilm, ...] = ()
    forces: tuple[LoadedForce, ...] = ()
    if footage_s is not None or video is not None:
        state = replace(state, video=state.video or VIDEO)
        facts = None if footage_s is None else FilmFacts(footage_s, 30.0, 320, 180, False)
        films = (LoadedFilm(VIDEO, video, known=facts),)
    if piece is not None:
        state = replace(state, trace=state.trace or TRACE)
        forces = (LoadedForce(TRACE, None, piece),)
    return LoadedSubmission(state, Path("a.review"), films, forces)
