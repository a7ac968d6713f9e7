"""The one place that says what moment of a review is what moment of its force recording.

A review has one clock of its own: every note, mark, span and cut stands on it. The rule is

- a review that has a film runs on the film's seconds, also while the film is missing on this
  machine: its notes were written on them, and the film may come back;
- a review that has no film runs on the seconds of its force recording; a line-up left over from
  elsewhere says nothing then;
- where the force recording is missing, or there is none, nothing changes: moments of the film
  stay what they are;
- of a film with a cut in it the line-up has a line for each side on which it is sure. What lies on
  no such side belongs to no stroke of the force (`holds`), and what was left out at a cut, or lies
  across it, is shown nowhere (`shows`, `film_time`): its moment of the review is the cut;
- a force clock that stands still beside the film (a drift of -1e6 ppm) has no moment of the film
  for any second but its own: that moment is infinitely far away, and never divided by.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import TYPE_CHECKING

from analysis.clocks.alignment import Alignment
from app.submission.line_up_method import LineUpMethod, Origin

if TYPE_CHECKING:
    from analysis.signals.stroke import Stroke
    from app.review.parts.state import ReviewState


class Standing(Enum):
    """How far the line-up of film and force can be trusted."""

    ASSUMED = "assumed"  # nobody lined them up
    BY_HAND = "by hand"
    FOUND = "found"
    AMBIGUOUS = "ambiguous"  # another stroke fits as well


@dataclass(frozen=True)
class ReviewClock:
    """The clock of a review beside that of its force recording.

    Attributes
    ----------
    alignment : as the review has it
    has_film : whether the review has a film, on this machine or not
    """

    alignment: Alignment = field(default_factory=Alignment)
    has_film: bool = True

    @classmethod
    def of(cls, state: ReviewState) -> ReviewClock:
        """Give the clock of a review."""
        return cls(state.alignment, state.video is not None)

    def trace_time(self, review_s: float) -> float:
        """Seconds of the force recording at a moment of the review."""
        return self.in_force.trace_time(review_s)

    def review_time(self, trace_s: float) -> float:
        """Moment of the review at a second of the force recording; infinite where there is none."""
        return self.in_force.video_time(trace_s) if self.runs else math.inf

    def film_time(self, trace_s: float) -> float | None:
        """Second of the film at a second of the force recording; None without film or moment."""
        if not self.has_film or not self.runs:
            return None
        moment_s = self.in_force.shown(trace_s)
        return moment_s if moment_s is not None and math.isfinite(moment_s) else None

    def holds(self, review_s: float) -> bool:
        """Whether the line-up holds at a moment: of a film with a cut not on every side."""
        return self.in_force.holds(review_s)

    def shows(self, stroke: Stroke) -> bool:
        """Whether a stroke of the force lies where the line-up holds, its drive whole."""
        return self.runs and self.in_force.shows(stroke.catch_s, stroke.finish_s)

    @cached_property
    def in_force(self) -> Alignment:
        """The line-up that counts: the review's where it has a film, else none."""
        return self.alignment if self.has_film else Alignment()

    @property
    def for_findings(self) -> Alignment | None:
        """The line-up that findings get their moments of the film from; None where there is none.

        As `analysis.findings.find.find` takes it.
        """
        return self.alignment if self.has_film and self.runs else None

    @property
    def runs(self) -> bool:
        """Whether the force recording's clock moves at all while the review's does."""
        rates = [1.0 + part.drift_ppm * 1e-6 for part in self.in_force.parts]
        return all(rate != 0.0 and math.isfinite(rate) for rate in rates)

    @property
    def method(self) -> LineUpMethod:
        """How the line-up was found."""
        return LineUpMethod.parse(self.alignment.method)

    @property
    def standing(self) -> Standing:
        """How far the line-up can be trusted."""
        origin = self.method.origin
        if origin is Origin.ASSUMED:
            return Standing.ASSUMED
        if self.alignment.ambiguous:
            return Standing.AMBIGUOUS
        return Standing.BY_HAND if origin is Origin.BY_HAND else Standing.FOUND

    @property
    def is_lined_up(self) -> bool:
        """Whether a moment of force may be shown with a moment of the review.

        Without a film they are the same moment.
        """
        return not self.has_film or self.standing is not Standing.ASSUMED
