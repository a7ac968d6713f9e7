"""A flywheel that air slows down: its model, and what a coast-down shows of it.

Equation of motion: inertia * dw/dt = force * sprocket radius - drag * w**2, drag power drag * w**3
(Dudhia, Physics of Ergometers, Oxford University notes).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.force.trace import FloatArray

SHORTEST_COAST = 5  # samples


class FlywheelError(ValueError):
    """Inputs the model cannot work with. The message is one sentence for the user."""


@dataclass(frozen=True)
class FlywheelModel:
    """A flywheel with what is not known of it.

    The default values are round numbers of the right order of magnitude (from memory, low
    confidence), which is why their uncertainties are wide.

    Attributes
    ----------
    inertia_kgm2, drag_nms2 : kg m2, N m s2
    sprocket_m : radius at which the chain pulls, m
    inertia_sd, drag_sd : standard uncertainties of the first two, in their units
    """

    inertia_kgm2: float = 0.1
    drag_nms2: float = 1.2e-4
    sprocket_m: float = 0.0130
    inertia_sd: float = 0.02
    drag_sd: float = 0.3e-4

    def __post_init__(self) -> None:
        values = (self.inertia_kgm2, self.drag_nms2, self.sprocket_m)
        if not all(np.isfinite(v) and v > 0.0 for v in values):
            raise FlywheelError("Inertia, drag and sprocket radius must be numbers above 0.")

    @property
    def ratio(self) -> float:
        """Drag over inertia, per radian: what a coast-down shows."""
        return self.drag_nms2 / self.inertia_kgm2


def coast(model: FlywheelModel, speed_rad_s: float, elapsed_s: float) -> tuple[float, float]:
    """Speed (rad/s) and angle turned (rad) after running free; exact: 1/w grows in a line."""
    growth = 1.0 + model.ratio * speed_rad_s * elapsed_s
    return speed_rad_s / growth, float(np.log(growth)) / model.ratio


@dataclass(frozen=True)
class CoastFit:
    """Drag over inertia found from coasting, with its standard error, per radian."""

    ratio: float
    ratio_se: float
    samples: int

    def drag_nms2(self, inertia_kgm2: float) -> float:
        """Drag for a known inertia, N m s2."""
        return self.ratio * inertia_kgm2


def fit_coast_down(time_s: FloatArray, speed_rad_s: FloatArray) -> CoastFit:
    """Fit drag over inertia to one coast-down: the slope of 1/w over time.

    Each point is weighted by w**4, for an equal error of the speed becomes w**-2 as large in 1/w.

    Parameters
    ----------
    time_s, speed_rad_s : (N,) within one recovery, nobody pulling

    Raises
    ------
    FlywheelError
        Fewer than five samples, a wheel that stands, or one that does not slow down.
    """
    known = np.isfinite(time_s) & np.isfinite(speed_rad_s)
    t, w = np.asarray(time_s)[known], np.asarray(speed_rad_s)[known]
    if len(t) < SHORTEST_COAST or np.ptp(t) <= 0.0 or w.min() <= 0.0:
        raise FlywheelError(
            "A coast-down needs at least five samples of a turning flywheel; drag was not fitted."
        )
    weight = w**4
    inverse = 1.0 / w
    mean_t, mean_i = np.average(t, weights=weight), np.average(inverse, weights=weight)
    spread = float((weight * (t - mean_t) ** 2).sum())
    slope = float((weight * (t - mean_t) * (inverse - mean_i)).sum()) / spread
    left = inverse - mean_i - slope * (t - mean_t)
    error = float(np.sqrt((weight * left**2).sum() / (len(t) - 2) / spread))
    if slope <= 0.0:
        raise FlywheelError(
            "The flywheel does not slow down here, so this is no coast-down; drag was not fitted."
        )
    return CoastFit(slope, error, len(t))


def fit_pulses(intervals_s: FloatArray, angle_rad: float) -> CoastFit:
    """Fit drag over inertia to the times between pulses of equal angle while coasting.

    They grow by the constant factor exp(ratio * angle): a straight line of their logarithm.
    """
    periods = np.asarray(intervals_s, dtype=np.float64)
    if len(periods) < SHORTEST_COAST or not (periods > 0.0).all() or angle_rad <= 0.0:
        raise FlywheelError(
            "At least five pulse intervals above 0 are needed; drag was not fitted."
        )
    count = np.arange(len(periods), dtype=np.float64)
    fit, covariance = np.polyfit(count, np.log(periods), 1, cov=True)
    if fit[0] <= 0.0:
        raise FlywheelError("The pulses do not slow down, so this is no coast-down.")
    return CoastFit(
        float(fit[0]) / angle_rad, float(np.sqrt(covariance[0, 0])) / angle_rad, len(periods)
    )
