"""Peak power of curves rowed alike on one flywheel: quick enough to choose a target by it.

`flywheel.what_would_change` finds level and drive time of a target by least squares, which takes
a third of a second for each curve over time. Here the same stroke is found in a few hundredths:
over the length of the drive the level follows from the work at once, and where along the length
each share of the time lies is found by going round a few times.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from analysis.force.coast_down import FlywheelError, FlywheelModel
from analysis.force.curves import PERCENT, Axis
from analysis.force.flywheel import STEPS, Cycle, figures, steady_by_length, steady_by_time
from analysis.signals.signal import FloatArray

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis

ROUNDS = 25  # the place of each share of the time settles to 1e-5 of the length in 4 to 12
SETTLED = 1e-5


@dataclass(frozen=True)
class OwnPower:
    """The athlete's own mean on a flywheel, and what another curve of the same work asks for.

    Attributes
    ----------
    own : the athlete's steady cycle
    peak_power_w : W, the highest of force times handle speed in it
    """

    model: FlywheelModel
    axis: Axis
    own: Cycle
    peak_power_w: float

    def of(self, curve_n: FloatArray) -> float:
        """Give the peak power in W of a curve rowed with the same work, length and rate.

        Parameters
        ----------
        curve_n : (101,) N at 0, 1 ... 100 % of the drive, of any level

        Raises
        ------
        FlywheelError
            The curve has no force, or cannot be rowed with that work and length at this rate.
        """
        return figures(self.model, self._rowed(curve_n)).peak_power_w

    def _rowed(self, curve_n: FloatArray) -> Cycle:
        if float(np.trapezoid(curve_n, PERCENT)) <= 0.0:
            raise FlywheelError("The flywheel model needs a force curve and the span of its drive.")
        length = float(self.own.handle_m[-1])
        even = np.linspace(0.0, 1.0, STEPS + 1)
        where = even  # share of the axis at even steps of length
        if self.axis == "time":
            own = self.own
            where = np.interp(even, own.handle_m / length, own.time_s / own.time_s[-1])
        for _ in range(ROUNDS):
            force = np.interp(100.0 * where, PERCENT, curve_n)
            level = self.own.work_j / float(np.trapezoid(force, even * length))
            cycle = steady_by_length(self.model, level * force, length, self.own.cycle_s)
            passed = cycle.time_s / cycle.time_s[-1]
            if self.axis == "length" or float(np.abs(passed - where).max()) < SETTLED:
                return cycle
            where = passed
        raise FlywheelError(
            "This target cannot be rowed with the same work and length at this rate."
        )


def own_power(
    own_n: FloatArray, axis: Axis, span: float, rate_spm: float, model: FlywheelModel | None = None
) -> OwnPower:
    """Row the athlete's own mean on a flywheel, to hold other curves against it.

    Parameters
    ----------
    own_n : (101,) N at 0, 1 ... 100 % of the drive
    span : mean drive time in s, or drive length in m
    rate_spm : strokes per minute

    Raises
    ------
    FlywheelError
        One sentence for the user: no force, no steady cycle, a drive longer than its cycle.
    """
    model = model or FlywheelModel()
    if not np.isfinite(rate_spm) or rate_spm <= 0.0:
        raise FlywheelError("The stroke rate is not known, so nothing can be said of the flywheel.")
    steady = steady_by_length if axis == "length" else steady_by_time
    own = steady(model, own_n, span, 60.0 / rate_spm)
    return OwnPower(model, axis, own, figures(model, own).peak_power_w)


def power_of_piece(
    piece: PieceAnalysis, axis: Axis, model: FlywheelModel | None = None
) -> OwnPower | None:
    """Row the mean of a piece on a flywheel; None where curve, rate or flywheel do not allow it."""
    from analysis.force.piece import summary

    curves = piece.by_time if axis == "time" else piece.by_length
    rate = summary(piece)["rate_spm"]
    if curves is None or rate is None:
        return None
    try:
        return own_power(curves.mean, axis, curves.mean_span, rate.mean, model)
    except FlywheelError:
        return None
