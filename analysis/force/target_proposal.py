"""Targets the bench proposes itself: the presets, and a mended stretch of the athlete's own curve.

A proposal asks for another stroke, not for a stronger athlete: its highest force stays within a
bound, and with the impulse (by length: the work) kept its peak power on the flywheel is not above
that of the athlete's own mean.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.force.coast_down import FlywheelError
from analysis.force.curves import PERCENT, CurveSet
from analysis.force.peak_power import OwnPower
from analysis.force.target import (
    BUILD_UP_FLOOR_PCT,
    DECLINE_FLOOR_PCT,
    TargetCurve,
    hold_level,
    sample_target,
)
from analysis.force.target_patch import from_curve
from analysis.signals.signal import FloatArray

# How far a target's highest force may lie above the highest the athlete has rowed in this piece.
# A stroke that is a seventh harder than an athlete's hardest is no longer a matter of shape.
# Common practice, no source.
PEAK_FACTOR: Final = 1.15
# How much earlier a preset's build-up may end, and how late its plateau, for it to ask for no more
# peak power: further it would teach a hard catch and a torn finish. Common practice, no source.
EARLIER_BUILD_UP_PCT = 15.0
LATEST_PLATEAU_PCT = 80.0
# The quick reckoning of peak power is this exact; a preset keeps that far below the athlete's own.
POWER_MARGIN = 1e-3
BISECTIONS = 7  # to under a hundredth of the way
# A bridge may rise this share above the higher end of its stretch. Common practice, no source.
BRIDGE_MARGIN = 0.03
LEAST_MENDED = 0.005  # of the peak: less than a coach can see on the curve
LEAST_REACHED = 0.1  # of the way to the bridge: less is no mending

NO_POWER = "Its peak power could not be compared on the flywheel with this force and stroke rate."


@dataclass(frozen=True)
class Proposal:
    """A proposed target.

    Attributes
    ----------
    reached : 1 where it is what was asked for, less where peak force or power set a limit
    remarks : sentences for the coach about what it gave up and why
    rest_factor : what lies outside a mended stretch is the athlete's own times about this
    """

    target: TargetCurve
    reached: float = 1.0
    remarks: tuple[str, ...] = ()
    rest_factor: float = 1.0


class CannotMend(ValueError):
    """There is nothing to mend here. The message is one sentence for the user."""


def highest_peak(curves: CurveSet) -> float:
    """Highest force of the athlete's own strokes that are like the rest, N."""
    usual = curves.rows[~curves.outlying]
    rows = usual if len(usual) else curves.rows
    return float(np.nanmax(rows))


def peak_bound(highest_n: float) -> float:
    """Highest force a target may have without being asked about, N."""
    return PEAK_FACTOR * highest_n


def propose(
    preset: TargetCurve, own_n: FloatArray, highest_n: float, power: OwnPower | None
) -> Proposal:
    """Fit a preset to the athlete: own impulse or work, bounded peak, no more peak power.

    A preset that asks for more becomes broader, by as little as it takes. An athlete whose own
    curve is broader than that gets one between the preset and their own curve.

    Parameters
    ----------
    own_n : (101,) N, the athlete's mean curve on the preset's axis
    highest_n : N, from `highest_peak`
    power : None where the flywheel cannot be reckoned; then only the peak force is bounded
    """
    asked = hold_level(preset, own_n)
    if asked == preset:  # no area to hold: nothing can be compared
        return Proposal(asked)
    limit = _Limit(own_n, highest_n, power, 1.0 - POWER_MARGIN)
    if limit.holds(asked):
        return Proposal(asked, remarks=limit.remarks)

    def broader(share: float) -> TargetCurve:
        built, plateau = preset.build_up_end_pct, preset.plateau_end_pct
        later = max(LATEST_PLATEAU_PCT - plateau, 0.0)
        shaped = replace(
            preset,
            build_up_end_pct=built - (1.0 - share) * EARLIER_BUILD_UP_PCT,
            plateau_end_pct=plateau + (1.0 - share) * later,
        )
        return hold_level(shaped, own_n)

    share = _furthest(lambda s: limit.holds(broader(s)))
    if share is not None:
        words = "Its build-up is earlier and its plateau longer than usual"
        return Proposal(broader(share), share, (f"{words}, {limit.why}.", *limit.remarks))
    return _between(own_n, broader(0.0), _Limit(own_n, highest_n, power))


def _between(own_n: FloatArray, broadest: TargetCurve, limit: _Limit) -> Proposal:
    """Give what lies between the athlete's own curve and a target, or one a little fuller."""

    def mixed(other: TargetCurve, share: float) -> TargetCurve:
        curve = own_n + share * (sample_target(other) - own_n)
        return hold_level(from_curve(curve, broadest.axis, True, broadest.name), own_n)

    share = _furthest(lambda s: limit.holds(mixed(broadest, s)))
    if share is not None:
        words = (
            f"It goes {100 * share:.0f} % of the way from the athlete's own curve to this target"
        )
        return Proposal(mixed(broadest, share), share, (f"{words}, {limit.why}.", *limit.remarks))
    # Rounding the corners of a very full curve takes from it: the fullest shape gives that back.
    full = replace(
        broadest,
        build_up_end_pct=BUILD_UP_FLOOR_PCT,
        plateau_end_pct=100.0 - DECLINE_FLOOR_PCT,
    )
    full = hold_level(full, own_n)
    share = _furthest(lambda s: limit.holds(mixed(full, 1.0 - s)))
    words = "This athlete's curve is fuller than the target for it would be"
    if share is not None:
        words = f"{words}; it stays nearly as it is, {limit.why}."
        return Proposal(mixed(full, 1.0 - share), 0.0, (words, *limit.remarks))
    words = f"{words} and than a target may be: it stays nearly as it is, and peak power may rise."
    return Proposal(mixed(broadest, 0.0), 0.0, (words, *limit.remarks))


def mend(
    own_n: FloatArray,
    percent_from: float,
    percent_to: float,
    highest_n: float,
    power: OwnPower | None,
    hold_equal: bool = True,
) -> Proposal:
    """Bridge a stretch of the athlete's own mean curve over time; the rest stays their own.

    The bridge runs monotonically from one end of the stretch to the other, with the slopes the
    curve has there: a dip is filled, an early loss carried on, a snatch smoothed. With the
    impulse kept, what the bridge adds is taken off everywhere by one factor, and what it takes
    away is put back within the stretch as far as `BRIDGE_MARGIN` allows, then on the shoulders of
    the curve, where force is low, so that neither peak rises.

    Parameters
    ----------
    own_n : (101,) N, the athlete's mean curve over the time of the drive
    percent_from, percent_to : the stretch, percent of the drive
    highest_n, power : as in `propose`

    Raises
    ------
    CannotMend
        The stretch is not in the drive, or holds nothing that a bridge would change.
    """
    first, last = max(percent_from, 0.0), min(percent_to, 100.0)
    inside = (first < PERCENT) & (last > PERCENT)
    inside[[0, -1]] = False
    if not inside.any() or not float(np.max(own_n)) > 0.0:
        raise CannotMend("The stretch of this finding is too short on the drive to be mended.")
    bridged = _bridge(own_n, inside)
    if float(np.abs(bridged - own_n).max()) < LEAST_MENDED * float(own_n.max()):
        raise CannotMend(
            "In the mean of the strokes there is nothing to mend in the stretch of this finding."
        )
    if not hold_equal:
        limit = _Limit(own_n, highest_n, None)
        return _as_far_as_it_holds(own_n, bridged, inside, limit, False)
    limit = _Limit(own_n, highest_n, power)
    best = max(
        (
            _as_far_as_it_holds(own_n, _levelled(own_n, bridged, inside, within), inside, limit)
            for within in (True, False)
        ),
        key=lambda found: found.reached,
    )
    if best.reached >= LEAST_REACHED:
        return best
    free = mend(own_n, percent_from, percent_to, highest_n, None, False)
    words = "The impulse is not kept: with it, the peak power would rise."
    return replace(free, remarks=(words, *free.remarks))


def _as_far_as_it_holds(
    own_n: FloatArray,
    wanted_n: FloatArray,
    inside: NDArray[np.bool_],
    limit: _Limit,
    hold_equal: bool = True,
) -> Proposal:
    """Go from the athlete's own curve to the wanted one as far as the limit lets it."""

    def mended(share: float) -> TargetCurve:
        curve = own_n + share * (wanted_n - own_n)
        return hold_level(from_curve(curve, "time", hold_equal, "mended"), own_n)

    share = 1.0 if limit.holds(mended(1.0)) else _furthest(lambda s: limit.holds(mended(s))) or 0.0
    remarks = limit.remarks if hold_equal else ()
    if share < 1.0:
        remarks = (f"It is mended by {100 * share:.0f} %, {limit.why}.", *remarks)
    outside = ~inside & (own_n > 0.5 * own_n.max())
    factor = 1.0
    if outside.any():
        factor = float(np.median(sample_target(mended(share))[outside] / own_n[outside]))
    return Proposal(mended(share), share, remarks, factor)


class _Limit:
    """Peak force and peak power a proposal keeps within."""

    def __init__(
        self, own_n: FloatArray, highest_n: float, power: OwnPower | None, share: float = 1.0
    ) -> None:
        # Rounding alone is no rise.
        self._force_n = peak_bound(highest_n) * (1.0 + 1e-9)
        self.why = "so that its peak force stays in bounds"
        self.remarks: tuple[str, ...] = ()
        self._power = power
        self._power_w = 0.0
        try:
            if power is not None:
                # By the same reckoning as the proposals, so that its error is theirs too.
                self._power_w = share * power.of(own_n) * (1.0 + 1e-9)
                self.why = "so that the peak power does not rise"
        except FlywheelError:
            self._power = None
        if self._power is None:
            self.remarks = (NO_POWER,)

    def holds(self, target: TargetCurve) -> bool:
        curve = sample_target(target)
        if float(curve.max()) > self._force_n:
            return False
        try:
            return self._power is None or self._power.of(curve) <= self._power_w
        except FlywheelError:
            return False


def _furthest(holds: Callable[[float], bool]) -> float | None:
    """The largest share from 0 to 1 for which something holds that holds at 0; None if not even."""
    if not holds(0.0):
        return None
    low, high = 0.0, 1.0
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        if holds(middle):
            low = middle
        else:
            high = middle
    return low


def _bridge(own_n: FloatArray, inside: NDArray[np.bool_]) -> FloatArray:
    from scipy.interpolate import PchipInterpolator

    bridge: FloatArray = PchipInterpolator(PERCENT[~inside], own_n[~inside])(PERCENT)
    return np.maximum(bridge, 0.0)


def _levelled(
    own_n: FloatArray, bridged: FloatArray, inside: NDArray[np.bool_], within: bool
) -> FloatArray:
    """Give a bridged curve the area of the athlete's own; see `mend`.

    Parameters
    ----------
    within : what the bridge takes away may go back into the stretch before all else
    """
    lack = _area(own_n) - _area(bridged)
    if lack <= 0.0:
        return bridged * (_area(own_n) / _area(bridged))
    places = np.flatnonzero(inside)
    first, last = int(places[0]) - 1, int(places[-1]) + 1
    hump = np.where(inside, np.sin(np.pi * (PERCENT - first) / (last - first)) ** 2, 0.0)
    ends = max(float(own_n[first]), float(own_n[last]))
    room = np.where(inside, (1.0 + BRIDGE_MARGIN) * ends - bridged, np.inf)
    fits = float(np.min(np.where(hump > 1e-3, room / np.maximum(hump, 1e-3), np.inf)))
    if within:
        bridged = bridged + max(min(lack / _area(hump), fits), 0.0) * hump
    lack = _area(own_n) - _area(bridged)
    # Most where half the peak is pulled, none at the ends and at the peak.
    shoulders = bridged * (1.0 - bridged / bridged.max())
    put_back = min(lack / _area(shoulders), 0.5)
    bridged = bridged + put_back * shoulders
    # What is still missing, after a stretch that held most of the stroke, goes back into it.
    lack = _area(own_n) - _area(bridged)
    return bridged + max(lack, 0.0) / _area(hump) * hump


def _area(curve: FloatArray) -> float:
    return float(np.trapezoid(curve, PERCENT))
