"""The one line that turns video time into trace time, and how it was found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

# From here on a line-up is said to be rough: more than a frame at 25 frames a second.
ROUGH_S = 0.040
SLOWED_PPM: Final = 20_000.0  # no clock is off by so much: the film was slowed or sped up
ALIKE_S: Final = 0.05  # an hour: less is not worth a word


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
        from the beginning, to the end. What lies outside is not lined up
    """

    offset_s: float = 0.0
    drift_ppm: float = 0.0
    uncertainty_s: float | None = None
    method: str = "assumed"
    ambiguous: bool = False
    from_s: float | None = None
    until_s: float | None = None

    @property
    def is_partial(self) -> bool:
        """Whether part of the film is not lined up by it."""
        return self.from_s is not None or self.until_s is not None

    def holds(self, video_s: float) -> bool:
        """Whether a video time lies where it holds."""
        return (self.from_s is None or video_s >= self.from_s) and (
            self.until_s is None or video_s < self.until_s
        )

    @property
    def reach(self) -> str:
        """Where a partial one holds, in words; "" for one of the whole film."""
        if not self.is_partial:
            return ""
        if self.from_s is None:
            return f"to {self.until_s:.1f} s only, where the film is cut"
        if self.until_s is None:
            return f"from {self.from_s:.1f} s on only, where the film is cut"
        return f"from {self.from_s:.1f} to {self.until_s:.1f} s only, between cuts of the film"

    def trace_time(self, video_s: float) -> float:
        """Trace seconds at a video time."""
        return (video_s - self.offset_s) * (1.0 + self.drift_ppm * 1e-6)

    def video_time(self, trace_s: float) -> float:
        """Video seconds at a trace time; the inverse of `trace_time`."""
        return trace_s / (1.0 + self.drift_ppm * 1e-6) + self.offset_s

    @property
    def is_rough(self) -> bool:
        """Whether a moment of one recording may be another frame of the other."""
        return self.uncertainty_s is not None and self.uncertainty_s > ROUGH_S

    @property
    def how_sure(self) -> str:
        """What it rests on, and within how much it holds."""
        if self.uncertainty_s is None:
            return self.method
        return f"{self.method}, within ±{1000.0 * self.uncertainty_s:.0f} ms"

    @property
    def drift_said(self) -> str:
        """How the recorder's clock goes beside the film, in words; "" where alike."""
        return drift_said(self.drift_ppm)


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
