"""The clock of what is left of a walkthrough after its cuts, and what is seen and read in it."""

from __future__ import annotations

import bisect
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from app.review.parts.walk_events import COMPARISON, Shown

if TYPE_CHECKING:
    from app.review.parts.walkthroughs import Caption, Cut, Walkthrough

# A cut or a caption shorter than this is a slip of the hand.
SHORTEST_S = 0.05


class Timing:
    """The clock of what is left after the cuts, and the recording's own.

    Attributes
    ----------
    spans : what is kept of the recording, seconds, in order
    length_s : how long that lasts
    """

    def __init__(self, length_s: float, cuts: Iterable[Cut]) -> None:
        spans, at = [], 0.0
        for cut in sorted(cuts, key=lambda c: (c.from_s, c.to_s)):
            if min(cut.from_s, length_s) > at:
                spans.append((at, min(cut.from_s, length_s)))
            at = max(at, cut.to_s)
        if at < length_s:
            spans.append((at, length_s))
        self.spans: tuple[tuple[float, float], ...] = tuple(spans)
        self._starts = [0.0]
        for first, last in self.spans:
            self._starts.append(self._starts[-1] + last - first)
        self.length_s = self._starts[-1]

    def to_recording(self, out_s: float) -> float:
        """Seconds of the recording that are heard at a moment of what is left."""
        if not self.spans:
            return 0.0
        i = min(max(bisect.bisect_right(self._starts, out_s) - 1, 0), len(self.spans) - 1)
        first, last = self.spans[i]
        return min(max(first + out_s - self._starts[i], first), last)

    def to_output(self, recording_s: float) -> float:
        """When a moment of the recording is heard; one cut away: when what follows it is."""
        for (first, last), start in zip(self.spans, self._starts, strict=False):
            if recording_s < last:
                return start + max(recording_s - first, 0.0)
        return self.length_s


def timing_of(walk: Walkthrough) -> Timing:
    """Return the clock of what is left of a walkthrough."""
    return Timing(walk.length_s, walk.cuts)


def shown_captions(walk: Walkthrough) -> tuple[Caption, ...]:
    """The captions in seconds of what is left; one that is wholly cut away is not among them."""
    timing = timing_of(walk)
    moved = (
        replace(c, from_s=timing.to_output(c.from_s), to_s=timing.to_output(c.to_s))
        for c in walk.captions
    )
    return tuple(c for c in moved if c.to_s - c.from_s >= SHORTEST_S and c.text.strip())


def shown_comparisons(walk: Walkthrough) -> tuple[str, ...]:
    """Ids of the comparisons that are seen in what is left of a walkthrough, each once."""
    shown = [event for event in walk.score.events if isinstance(event, Shown)]
    ends_s = [event.at_s for event in shown[1:]] + [walk.length_s]
    spans = timing_of(walk).spans
    seen: dict[str, None] = {}
    for event, end_s in zip(shown, ends_s, strict=False):
        if event.what == COMPARISON and any(a < end_s and event.at_s < b for a, b in spans):
            seen[event.ref] = None
    return tuple(seen)
