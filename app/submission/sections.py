"""The sections of a submission: the coach's own where there are some, else those found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from analysis.signals.signal import TRACE, VIDEO
from app.review.parts.sections import SectionBegin, new_section

if TYPE_CHECKING:
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.sections.section import Section
    from app.review.parts.state import ReviewState
    from app.submission.clock import ReviewClock


def sections_of(
    piece: RowedPiece | None, state: ReviewState, clock: ReviewClock
) -> tuple[Section, ...]:
    """Cut a piece as its review has it.

    A begin of the coach's takes the first catch from its moment on; one behind the last catch, and
    the earlier of two before one catch, cut nothing.
    """
    if piece is None or not piece.strokes:
        return ()
    from analysis.sections.finding_sections import find_sections, sections_from

    if not state.sections:
        return find_sections(piece)
    firsts: dict[int, str] = {}
    for at, begin in enumerate(state.sections):
        first = _first_from(piece, begin, clock)
        if at == 0:  # whatever comes before the first begin belongs to it
            first = piece.strokes[0].index
        if first is not None:
            firsts[first] = begin.name
    return sections_from(piece, list(firsts), list(firsts.values()), "coach")


def as_begins(piece: RowedPiece, sections: Sequence[Section]) -> tuple[SectionBegin, ...]:
    """Sections found as begins of the coach's own, to be changed; names of what was rowed stay out.

    A begin lies a little before its catch, so that cutting the strokes anew finds the same one.
    """
    recovery_s = 0.2
    seen = any(stroke.source == "body" for stroke in piece.strokes)
    return tuple(
        new_section(
            section.start_s - recovery_s,
            section.name if section.origin == "coach" else "",
            VIDEO if seen else TRACE,
        )
        for section in sections
    )


def _first_from(piece: RowedPiece, begin: SectionBegin, clock: ReviewClock) -> int | None:
    """The first stroke from a begin on, whichever of the two clocks either is on."""
    on = piece.strokes[0].clock
    at_s = begin.start_s
    if begin.clock != on:
        at_s = clock.trace_time(at_s) if on == TRACE else clock.review_time(at_s)
    return next((s.index for s in piece.strokes if s.catch_s >= at_s), None)
