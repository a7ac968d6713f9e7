"""How late picture and sound are expected to be, for one force trace, and how far that may be off.

How much a longer take-up moves the place at which a picture fits best depends on the strokes. So
the picture is made up as it would be with each take-up that may be, and matched as a film's is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.clocks import unknowns
from analysis.clocks.lags import picture_lags
from analysis.clocks.trace_signal import TraceSignal, implied_travel
from analysis.clocks.unknowns import Heard, Late

FloatArray = NDArray[np.float64]

# The picture is made up with these steps, for so many strokes, and looked for in so wide a span.
STEP_S, MOST_STROKES = 0.02, 12
REACH_S, FINE_S = 0.16, 0.01


@dataclass(frozen=True)
class Expected:
    """How late each witness of a trace is held to be."""

    picture: Late
    sound: Heard


def expect(signal: TraceSignal) -> Expected:
    """Average over all that is unknown about take-up, body and sound."""
    body, own = unknowns.body_late(), unknowns.SEEN_S
    if signal.from_position:
        sd = float(np.hypot(body.sd_s, own.sd))
        return Expected(Late(body.mean_s + own.mean, sd), unknowns.heard())
    late, weight = unknowns.TAKE_UP_S.nodes()
    moved = np.array([_moved(signal, take_up) for take_up in late.tolist()])
    mean = float(weight @ moved)
    take_up_sd = float(np.sqrt(weight @ (moved - mean) ** 2))
    foot_sd = unknowns.FOOT_SHARE.sd * signal.foot_s
    sd = float(np.sqrt(take_up_sd**2 + foot_sd**2 + body.sd_s**2 + unknowns.IMPLIED_S.sd**2))
    picture = Late(mean + body.mean_s + unknowns.IMPLIED_S.mean, sd, flat_s=take_up_sd)
    return Expected(picture, unknowns.heard())


def _moved(signal: TraceSignal, take_up_s: float) -> float:
    """By how much a picture rowed with another take-up is found later than it is, s."""
    travel = implied_travel(signal, take_up_s)
    last = signal.catch_s[min(MOST_STROKES, len(signal.catch_s)) - 1] + 1.0
    frames = np.arange(signal.time_s[0], min(float(last), float(signal.time_s[-1])), STEP_S)
    seen = np.diff(np.interp(frames, signal.time_s, travel), prepend=0.0)
    found = picture_lags(frames, seen, signal, 0.0, 1.0, REACH_S, FINE_S)
    return float(np.median(found.video_s - found.trace_s)) if len(found) else 0.0
