"""The findings of a submission: always by the review's thresholds and in the coach's wording."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.submission.body import LoadedBody
from app.submission.clock import ReviewClock
from app.submission.my_defaults import MyDefaults, read_defaults
from app.submission.remarks import Remark
from app.submission.sections import sections_of

if TYPE_CHECKING:
    from analysis.findings.catalogue import Catalogue
    from analysis.findings.finding import Finding
    from analysis.findings.thresholds import Thresholds
    from analysis.force.piece import PieceAnalysis
    from analysis.sections.section import Section
    from app.review.parts.state import ReviewState


NOT_LINED_UP = "What was followed in the picture is left out until footage and force are lined up."


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
    body: LoadedBody | None = None,
    mine: MyDefaults | None = None,
) -> RaisedFindings:
    """Raise what a piece and a body show, as the review they belong to has it.

    Parameters
    ----------
    wording : the coach's own wording; None for that of `mine`
    sections : within which steadiness and trend are told; None for those of the review
    body : what was followed in the film; beside a force it counts once both are lined up
    mine : what the coach settled for all reviews; None for what this user did
    """
    if piece is None and body is None:
        return RaisedFindings()
    from analysis.findings.find import find

    mine = read_defaults() if mine is None else mine
    limits, said = thresholds_of(state.thresholds, mine.thresholds)
    words = words_of(mine, wording)
    clock = ReviewClock.of(state)
    cut = sections_of(piece, state, clock) if sections is None else sections
    apart = piece is not None and not clock.is_lined_up
    series = None if body is None or apart else body.series
    found = find(piece, clock.for_findings, series, limits, words, cut)
    remarks = [*said, *(Remark("wording", text) for text in words.remarks)]
    if mine.problem:
        remarks.append(Remark("defaults", mine.problem))
    if body is not None:
        told = [NOT_LINED_UP] if apart else [*body.remarks, *_unjudged(body, limits, words)]
        remarks += [Remark("body", text) for text in told]
    return RaisedFindings(found, tuple(remarks))


def _unjudged(body: LoadedBody, limits: Thresholds, words: Catalogue) -> tuple[str, ...]:
    """Name what these points are too poor for."""
    from analysis.findings.body_rules import BODY_RULES
    from analysis.findings.doubt import unjudged

    codes = unjudged(body.series, body.strokes, BODY_RULES, limits)
    if not codes:
        return ()
    names = ", ".join(f"“{words[code].title}”" for code in codes)
    return (f"These points cannot say whether this is so: {names}.",)


def thresholds_of(
    changed: Sequence[tuple[str, float]], mine: Sequence[tuple[str, float]] = ()
) -> tuple[Thresholds, tuple[Remark, ...]]:
    """Give the thresholds in force; a change that is none, or out of bounds, is left out.

    Parameters
    ----------
    changed : by the review, over those of all the coach's reviews
    mine : by the coach for all reviews
    """
    from analysis.findings.thresholds import ThresholdError, Thresholds

    limits, remarks = Thresholds(), []
    for name, value in (*mine, *changed):
        try:
            limits = limits.with_changes({name: value})
        except ThresholdError as error:
            remarks.append(Remark("threshold", str(error)))
    return limits, tuple(remarks)


def words_of(mine: MyDefaults, wording: Path | None = None) -> Catalogue:
    """Give what is said about findings: what is shipped, under the coach's file, under `mine`."""
    from analysis.findings.catalogue import read_catalogue

    return read_catalogue(mine.wording if wording is None else wording).with_words(mine.reworded())
