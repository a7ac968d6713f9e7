"""The one line that turns video time into trace time, and how it was found."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any, Final

# From here on a line-up is said to be rough: more than a frame at 25 frames a second.
ROUGH_S = 0.040
SLOWED_PPM: Final = 20_000.0  # no clock is off by so much: the film was slowed or sped up
ALIKE_S: Final = 0.05  # an hour: less is not worth a word
_ROUNDED_S: Final = 1e-6  # what reckoning there and back may cost
_FAR_S: Final = 1e12  # before every film


@dataclass(frozen=True)
class Alignment:
    """How the video clock stands to the force recorder's clock.

    Attributes
    ----------
    offset_s : video seconds at which the trace's clock reads zero
    drift_ppm : how much faster the trace's clock runs, parts per million
    uncertainty_s : half width of a 95 % interval of the offset, or None when not known
    method : "assumed" (both start together), "by hand", ...
    ambiguous : True when another stroke fits as well
    from_s, until_s : video seconds between which it holds, of a film with a cut in it; None for
        from the beginning, to the end
    further : how the force lies on other sides of the film's cuts, where that is sure as well. What
        lies on none of its sides is not lined up
    """

    offset_s: float = 0.0
    drift_ppm: float = 0.0
    uncertainty_s: float | None = None
    method: str = "assumed"
    ambiguous: bool = False
    from_s: float | None = None
    until_s: float | None = None
    further: tuple[Alignment, ...] = ()

    @property
    def parts(self) -> tuple[Alignment, ...]:
        """The sides of the film that are lined up, each by itself, in the order they are shown."""
        return self._sides if self.further else (self,)

    @cached_property
    def _sides(self) -> tuple[Alignment, ...]:
        return tuple(sorted((replace(self, further=()), *self.further), key=_begins_s))

    @property
    def is_partial(self) -> bool:
        """Whether it does not hold for the whole film as one line."""
        return self.from_s is not None or self.until_s is not None

    @property
    def has_gap(self) -> bool:
        """Whether part of the film is not lined up by it."""
        edges = [None, *(edge for part in self.parts for edge in (part.from_s, part.until_s)), None]
        return any(a != b for a, b in zip(edges[::2], edges[1::2], strict=True))

    def holds(self, video_s: float) -> bool:
        """Whether a video time lies where it holds."""
        return any(part.reaches(video_s) for part in self.parts)

    def reaches(self, video_s: float) -> bool:
        """Whether a video time lies on the side that this line is of, whatever is known beyond."""
        return (self.from_s is None or video_s >= self.from_s) and (
            self.until_s is None or video_s < self.until_s
        )

    def part_at(self, video_s: float) -> Alignment:
        """The side of the film a video time lies on; its own line where none is known there."""
        return next((part for part in self.parts if part.reaches(video_s)), self)

    def lines(self, from_s: float, to_s: float) -> Iterator[tuple[float, float, Alignment]]:
        """What counts from when until when, video s, between two video times."""
        cuts = {edge for part in self.parts for edge in (part.from_s, part.until_s)}
        edges = [from_s, *sorted(e for e in cuts if e is not None and from_s < e < to_s), to_s]
        for begin_s, end_s in pairwise(edges):
            yield begin_s, end_s, self.part_at(begin_s)

    @property
    def reach(self) -> str:
        """Where a partial one holds, in words; "" for one of the whole film."""
        if not self.is_partial:
            return ""
        if self.further:
            return "; ".join(_side_said(part) for part in self.parts)
        if self.from_s is None:
            return f"to {self.until_s:.1f} s only, where the film is cut"
        if self.until_s is None:
            return f"from {self.from_s:.1f} s on only, where the film is cut"
        return f"from {self.from_s:.1f} to {self.until_s:.1f} s only, between cuts of the film"

    def trace_time(self, video_s: float) -> float:
        """Trace seconds at a video time."""
        line = self.part_at(video_s) if self.further else self
        return (video_s - line.offset_s) * (1.0 + line.drift_ppm * 1e-6)

    def video_time(self, trace_s: float) -> float:
        """Video seconds at a trace time; the inverse of `trace_time`.

        Of a moment left out at a cut, where the cut is; ask `shown` whether the film shows it.
        """
        if not self.further:
            return self._line_at(trace_s)
        shown_s = self.shown(trace_s)
        if shown_s is not None:
            return shown_s
        ends = [p.until_s for p in self.parts if p.until_s is not None and p._ended(trace_s)]
        begins = [p.from_s for p in self.parts if p.from_s is not None and not p._ended(trace_s)]
        after_s = max(ends, default=-math.inf)
        return min(max(self._line_at(trace_s), after_s), min(begins, default=math.inf))

    def _ended(self, trace_s: float) -> bool:
        return self.until_s is not None and self._line_at(trace_s) >= self.until_s

    def shown(self, trace_s: float) -> float | None:
        """Video seconds at which the film shows a trace time; None where it is not lined up."""
        for part in self.parts:
            at_s = part._frame_at(trace_s)
            if part.reaches(at_s):
                return at_s
        return None

    def shows(self, from_s: float, to_s: float) -> bool:
        """Whether one side of the film shows all between two trace times."""
        ends = [(part._frame_at(from_s), part._frame_at(to_s), part) for part in self.parts]
        return any(part.reaches(a) and part.reaches(b) for a, b, part in ends)

    def _line_at(self, trace_s: float) -> float:
        return trace_s / (1.0 + self.drift_ppm * 1e-6) + self.offset_s

    def _frame_at(self, trace_s: float) -> float:
        """Its line's moment, or where it begins if so near: a cut's first frame is there."""
        at_s = self._line_at(trace_s)
        near = self.from_s is not None and abs(at_s - self.from_s) < _ROUNDED_S
        return self.from_s if near and self.from_s is not None else at_s

    def side_at(self, video_s: float) -> tuple[float | None, float | None]:
        """From when until when the side runs that a video time lies on, lined up or not."""
        near = self.part_at(video_s)
        if near.reaches(video_s):
            return near.from_s, near.until_s
        edges = [edge for part in self.parts for edge in (part.from_s, part.until_s)]
        before = [e for e in edges if e is not None and e <= video_s]
        after = [e for e in edges if e is not None and e > video_s]
        return max(before, default=None), min(after, default=None)

    def with_part(self, part: Alignment) -> Alignment:
        """The same with the side of another line changed or added; the others stay."""
        begins_s = _begins_s(part)
        if self.reaches(begins_s):
            return replace(part, further=self.further)
        others = tuple(p for p in self.further if not p.reaches(begins_s))
        return replace(self, further=tuple(sorted((*others, part), key=_begins_s)))

    def moved(self, by_s: float, slip_s: float = 0.0) -> Alignment:
        """The same for a film that begins later, with what that leaves open."""
        sure_s = None if self.uncertainty_s is None else math.hypot(self.uncertainty_s, slip_s)
        return replace(
            self,
            offset_s=self.offset_s + by_s,
            uncertainty_s=sure_s,
            from_s=None if self.from_s is None else self.from_s + by_s,
            until_s=None if self.until_s is None else self.until_s + by_s,
            further=tuple(part.moved(by_s, slip_s) for part in self.further),
        )

    def stretched(self, by: float) -> Alignment:
        """The same for a film of which each second has become `by` seconds."""
        rate = (1.0 + self.drift_ppm * 1e-6) / by
        return replace(
            self,
            offset_s=self.offset_s * by,
            drift_ppm=(rate - 1.0) * 1e6,
            from_s=None if self.from_s is None else self.from_s * by,
            until_s=None if self.until_s is None else self.until_s * by,
            further=tuple(part.stretched(by) for part in self.further),
        )

    def as_data(self) -> dict[str, Any]:
        """For a program: the line with most strokes, and `parts`, the lines of each side."""
        own = asdict(replace(self, further=()))
        own.pop("further")
        parts = [asdict(part) for part in self.parts]
        for part in parts:
            part.pop("further")
        return {**own, "parts": parts}

    @property
    def is_rough(self) -> bool:
        """Whether a moment of one recording may be another frame of the other."""
        return (self._least_sure_s or 0.0) > ROUGH_S

    @property
    def _least_sure_s(self) -> float | None:
        """The uncertainty of the side that is least sure, s."""
        known = [part.uncertainty_s for part in self.parts if part.uncertainty_s is not None]
        return max(known, default=None)

    @property
    def how_sure(self) -> str:
        """What it rests on, and within how much it holds."""
        if self._least_sure_s is None:
            return self.method
        return f"{self.method}, within ±{1000.0 * self._least_sure_s:.0f} ms"

    @property
    def drift_said(self) -> str:
        """How the recorder's clock goes beside the film, in words; "" where alike."""
        return drift_said(self.drift_ppm)


def _begins_s(part: Alignment) -> float:
    return -_FAR_S if part.from_s is None else part.from_s


def _side_said(part: Alignment) -> str:
    """One side of a film with cuts, in words, with how sure its own line is."""
    if part.from_s is None:
        where = f"to {part.until_s:.1f} s"
    elif part.until_s is None:
        where = f"from {part.from_s:.1f} s on"
    else:
        where = f"from {part.from_s:.1f} to {part.until_s:.1f} s"
    if part.uncertainty_s is None:
        return f"{where} {part.method}"
    return f"{where} within ±{1000.0 * part.uncertainty_s:.0f} ms"


def drift_said(drift_ppm: float) -> str:
    """Say how much faster or slower the recorder's clock runs than the film; "" where alike.

    Parameters
    ----------
    drift_ppm : how much faster the trace's clock runs, parts per million; far below zero where the
        film plays slowly
    """
    if abs(drift_ppm) > SLOWED_PPM:
        return f"the film plays at {100.0 * (1.0 + drift_ppm * 1e-6):.0f} % of the real speed"
    an_hour_s = abs(drift_ppm) * 3600e-6
    if an_hour_s < ALIKE_S:
        return ""
    way = "fast" if drift_ppm > 0.0 else "slow"
    return f"the force recorder's clock runs {an_hour_s:.1f} s an hour {way}"


@dataclass(frozen=True)
class Pair:
    """One moment named on both clocks, in seconds."""

    video_s: float
    trace_s: float


# A second pair closer than this says more about the hand than about the clocks: at 30 frames a
# second a half-frame slip over 10 s already reads as 1 600 ppm.
DRIFT_SPAN_S = 10.0

# Consumer clocks stay within some 200 ppm; beyond this a pair was marked on the wrong stroke.
LARGEST_DRIFT_PPM = 5000.0


# What is said of a line-up that may be off by more than a frame.
ROUGH = (
    "Footage and force are lined up {how_sure}: what one shows of a moment may be a frame or more "
    "from what the other shows. A handle position in the force file, the film's own sound, or a "
    "knock on the handle at rest would make it surer."
)

# What is said of footage and force whose strokes go their own ways.
NOT_TOGETHER = "These do not keep step: probably another piece."


class AlignmentError(ValueError):
    """Pairs that cannot be a line-up. The message is one sentence for the user."""


def align_by_pairs(pairs: Sequence[Pair], frame_s: float, sample_s: float) -> Alignment:
    """Line up by one or more hand-picked pairs.

    One pair gives the offset. Two pairs or more, at least `DRIFT_SPAN_S` apart, give the drift
    too by least squares.

    Parameters
    ----------
    pairs : the moments, any order
    frame_s, sample_s : seconds between frames and between samples; their rounding is the
        uncertainty of a single pick

    Raises
    ------
    AlignmentError
        No pair, or pairs that would need an impossible clock.
    """
    if not pairs:
        raise AlignmentError("Mark the same catch in the picture and on the trace first.")
    # Rounding to the nearest frame and sample: uniform errors, 95 % half width of their sum.
    pick_s = 1.96 * ((frame_s**2 + sample_s**2) / 12.0) ** 0.5
    n = len(pairs)
    mean_v = sum(p.video_s for p in pairs) / n
    mean_t = sum(p.trace_s for p in pairs) / n
    span = max(p.video_s for p in pairs) - min(p.video_s for p in pairs)
    if n == 1 or span < DRIFT_SPAN_S:
        return Alignment(mean_v - mean_t, 0.0, pick_s / n**0.5, "by hand")
    slope = sum((p.video_s - mean_v) * (p.trace_s - mean_t) for p in pairs) / sum(
        (p.video_s - mean_v) ** 2 for p in pairs
    )
    drift_ppm = (slope - 1.0) * 1e6
    if abs(drift_ppm) > LARGEST_DRIFT_PPM:
        raise AlignmentError(
            f"The two pairs would need clocks that differ by {abs(drift_ppm) / 1e4:.1f} %; "
            "one of them is probably on another stroke. The line-up was left as it was."
        )
    return Alignment(mean_v - mean_t / slope, drift_ppm, pick_s / n**0.5, "by hand, two pairs")
