"""A line drawn over part of the drive: it changes that part of a curve and leaves the rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.force.curves import PERCENT, Axis
from analysis.force.target import (
    FREEHAND_SMOOTH_PCT,
    LOWEST_LEVEL_N,
    OWN_END_SHARE,
    TargetCurve,
    drawn_line,
    soften,
    within_levels,
)
from analysis.signals.signal import FloatArray

# A line from the first to the last tenth of the drive is a whole curve; a hand seldom begins at
# the very edge of the plot. Common practice, no source.
WHOLE_FROM_PCT = 10.0
WHOLE_TO_PCT = 90.0
# The passage from the line to the rest: as short as the step needs. Common practice, no source.
SHORTEST_PASSAGE_PCT = 4.0
LONGEST_PASSAGE_PCT = 15.0
# What was not drawn may be scaled by this factor, up or down, to keep impulse or work: further
# away it would no longer be the curve the coach left alone. Common practice, no source.
REST_FACTOR = 1.15


@dataclass(frozen=True)
class Patch:
    """What was drawn and what it was drawn over.

    Attributes
    ----------
    rest_n : (101,) N, the curve under the line
    line_n : (101,) N, the line, going on flat at both ends
    weight : (101,) 1 where the line counts, 0 where the rest does, between them the passage
    """

    rest_n: FloatArray
    line_n: FloatArray
    weight: FloatArray

    def curve(self, factor: float = 1.0) -> FloatArray:
        """Give line and rest as one curve within the slopes a target may have: (101,) N.

        Parameters
        ----------
        factor : what is not drawn is scaled by it
        """
        mixed = self.weight * self.line_n + (1.0 - self.weight) * factor * self.rest_n
        return _gentle(mixed)

    def levelled(self, own_n: FloatArray) -> FloatArray | None:
        """Scale what was not drawn until the area is the athlete's own; the line stays.

        Returns
        -------
        (101,) N, or None where the rest would have to be scaled by more than `REST_FACTOR`.
        """
        from scipy.optimize import brentq

        own = float(np.trapezoid(own_n, PERCENT))

        def off(factor: float) -> float:
            return float(np.trapezoid(self.curve(factor), PERCENT)) - own

        low, high = 1.0 / REST_FACTOR, REST_FACTOR
        if not np.isfinite(own) or own <= 0.0 or off(low) * off(high) > 0.0:
            return None
        return self.curve(float(brentq(off, low, high, xtol=1e-12)))


def is_whole(points_pct_n: FloatArray) -> bool:
    """Say whether a line is drawn over the whole drive."""
    line = drawn_line(points_pct_n)
    return line is not None and line[0][0] <= WHOLE_FROM_PCT and line[0][-1] >= WHOLE_TO_PCT


def patch(
    rest_n: FloatArray, points_pct_n: FloatArray, drawn_before: FloatArray | None = None
) -> Patch | None:
    """Lay a line over part of a curve.

    Parameters
    ----------
    rest_n : (101,) N, the curve that is shown
    points_pct_n : (P, 2) percent of the drive and N, in the order drawn
    drawn_before : (101,) weight of the lines drawn earlier into `rest_n`: they stay too

    Returns
    -------
    None where the line is too short to mean anything.
    """
    line = drawn_line(points_pct_n)
    if line is None or line[0][-1] - line[0][0] < 1.0:
        return None
    where, force = line
    drawn = np.interp(PERCENT, where, force)
    kernel = np.hanning(2 * FREEHAND_SMOOTH_PCT + 1)
    padded = np.pad(drawn, FREEHAND_SMOOTH_PCT, mode="edge")
    smooth = np.convolve(padded, kernel / kernel.sum(), mode="valid")
    top = max(float(rest_n.max()), float(smooth.max()), LOWEST_LEVEL_N)
    sides = []
    for end, sign in ((where[0], -1.0), (where[-1], 1.0)):
        step = abs(float(np.interp(end, PERCENT, smooth) - np.interp(end, PERCENT, rest_n)))
        # A half cosine over 12 (up) or 15 (down) percent per level is as steep as a target may
        # be; the rest has a slope of its own on top.
        passage = min(max(20.0 * step / top, SHORTEST_PASSAGE_PCT), LONGEST_PASSAGE_PCT)
        beyond = np.clip(sign * (PERCENT - end) / passage, 0.0, 1.0)
        sides.append(0.5 + 0.5 * np.cos(np.pi * beyond))
    weight = np.minimum(*sides)
    if drawn_before is None:
        return Patch(rest_n, smooth, weight)
    # Earlier lines are part of what stays: they count as drawn, with the forces they have now.
    both = np.maximum(weight, drawn_before)
    share = np.divide(weight, both, out=np.zeros_like(both), where=both > 0.0)
    return Patch(rest_n, share * smooth + (1.0 - share) * rest_n, both)


def from_curve(
    curve_n: FloatArray, axis: Axis, hold_equal: bool = True, name: str = ""
) -> TargetCurve:
    """Give a curve as a target: every percent of it, within the slopes a target may have.

    Parameters
    ----------
    curve_n : (101,) N at 0, 1 ... 100 % of the drive
    """
    gentle = _gentle(curve_n)
    top = float(gentle.max())
    shares = gentle / top if top > 0.0 else gentle
    pairs = tuple((float(p), float(s)) for p, s in zip(PERCENT, shares, strict=True))
    return TargetCurve(
        axis, level_n=within_levels(top), hold_equal=hold_equal, freehand=pairs, name=name
    )


def _gentle(curve_n: FloatArray) -> FloatArray:
    top = float(np.max(curve_n))
    if not top > 0.0:
        return np.zeros_like(curve_n)
    gentle: FloatArray = top * soften(curve_n / top, OWN_END_SHARE)
    return gentle
