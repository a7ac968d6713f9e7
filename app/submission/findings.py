"""The findings of a submission: always by the review's thresholds and in the coach's wording."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.files.user_folders import wording_path
from app.submission.clock import ReviewClock
from app.submission.remarks import Remark
from app.submission.sections import sections_of

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.findings.thresholds import Thresholds
    from analysis.force.piece import PieceAnalysis
    from analysis.sections.section import Section
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class RaisedFindings:
    """What was found.

    Attributes
    ----------
    found : the most important first, good signs at the end
    remarks : what could not be used of the thresholds and of the coach's own wording
    """

    found: tuple[Finding, ...] = ()
    remarks: tuple[Remark, ...] = ()


def raise_findings(
    piece: PieceAnalysis | None,
    state: ReviewState,
    wording: Path | None = None,
    sections: Sequence[Section] | None = None,
) -> RaisedFindings:
    """Raise what a piece shows, as the review it belongs to has it.

    Parameters
    ----------
    wording : the coach's own wording; None for the file of this user, if there is one
    sections : within which steadiness and trend are told; None for those of the review
    """
    if piece is None:
        return RaisedFindings()
    from analysis.findings.catalogue import read_catalogue
    from analysis.findings.find import find

    limits, said = thresholds_of(state.thresholds)
    words = read_catalogue(wording_path() if wording is None else wording)
    clock = ReviewClock.of(state)
    cut = sections_of(piece, state, clock) if sections is None else sections
    found = find(piece, clock.for_findings, thresholds=limits, catalogue=words, sections=cut)
    return RaisedFindings(found, (*said, *(Remark("wording", text) for text in words.remarks)))


def thresholds_of(
    changed: Sequence[tuple[str, float]],
) -> tuple[Thresholds, tuple[Remark, ...]]:
    """Give the thresholds in force; a change that is none, or out of bounds, is left out."""
    from analysis.findings.thresholds import ThresholdError, Thresholds

    limits, remarks = Thresholds(), []
    for name, value in changed:
        try:
            limits = limits.with_changes({name: value})
        except ThresholdError as error:
            remarks.append(Remark("threshold", str(error)))
    return limits, tuple(remarks)
