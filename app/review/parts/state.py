"""What a review holds. Frozen data: a change makes a new state, which is what undo keeps."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from analysis.clocks.alignment import Alignment
from app.review.parts.about import About
from app.review.parts.answers import Answers
from app.review.parts.blurs import Blurs
from app.review.parts.body import Body
from app.review.parts.comparisons import Comparisons
from app.review.parts.curve_marks import CurveMarks
from app.review.parts.films import Films
from app.review.parts.findings import Findings
from app.review.parts.flywheel import Flywheel
from app.review.parts.held_against import HeldAgainst
from app.review.parts.line_up import LineUp
from app.review.parts.marks import Marks
from app.review.parts.media import Media
from app.review.parts.notes import Notes
from app.review.parts.picture import Picture
from app.review.parts.read_curves import ReadCurves
from app.review.parts.reference import OfLibrary
from app.review.parts.sections import Sections
from app.review.parts.self_test import ToTellApart
from app.review.parts.sending import Sending
from app.review.parts.shown_signals import ShownSignals
from app.review.parts.spoken_words import SpokenWords
from app.review.parts.target import Target
from app.review.parts.walkthroughs import Walkthroughs
from app.review.values.part import PART_OF, Part, Stored


@dataclass(frozen=True)
class ReviewState(
    About,
    Media,
    Films,
    LineUp,
    Notes,
    Target,
    Picture,
    Findings,
    Flywheel,
    ShownSignals,
    Sections,
    Marks,
    CurveMarks,
    Sending,
    Blurs,
    Answers,
    Comparisons,
    ToTellApart,
    OfLibrary,
    Walkthroughs,
    Body,
    SpokenWords,
    ReadCurves,
    HeldAgainst,
):
    """Everything a review holds: the parts named here, each described in its own module.

    A new kind of thing is one module in `app/review/parts`, and its name in this list.
    """


# At this drift the clock of the force stands still beside the film, and no moment follows from it.
STANDING_PPM: Final = -1e6

PARTS: Final[tuple[Part[Any], ...]] = tuple(PART_OF[base] for base in ReviewState.__bases__)


def retimed(state: ReviewState, by: float) -> ReviewState:
    """The state on another clock of its footage: `by` new seconds for each old one."""
    new: dict[str, Any] = {}
    for part in PARTS:
        new |= part.retime(state, by)
    return replace(state, **new)


def realigned(state: ReviewState, before: Alignment) -> ReviewState:
    """The state after another line-up: what is pinned to the force keeps its second there.

    Parameters
    ----------
    before : the line-up that held until now
    """
    now = state.alignment
    runs = all(a.drift_ppm > STANDING_PPM for a in (before, now))
    if state.video is None or now == before or not runs:
        return state  # without a film the review runs on the force's own clock

    def moment(video_s: float) -> float:
        return now.video_time(before.trace_time(video_s))

    new: dict[str, Any] = {}
    for part in PARTS:
        new |= part.realign(state, moment)
    return replace(state, **new)


def read_state(
    rows: Mapping[str, list[Mapping[str, Any]]],
    asset: Callable[[str], bytes],
    lenient: bool = False,
) -> tuple[ReviewState, tuple[str, ...]]:
    """Make a state of rows, by the names of their tables.

    Parameters
    ----------
    asset : gives a bulky thing by its id
    lenient : pass over what cannot be read, rather than refuse

    Returns
    -------
    state, sentences
        What was made, and what was passed over.

    Raises
    ------
    ReviewError
        A row cannot be read; never when lenient.
    """
    stored = Stored(rows, asset, lenient)
    values: dict[str, Any] = {}
    for part in PARTS:
        values |= part.read(stored)
    return ReviewState(**values), tuple(stored.lost)
