"""The machine: a chain turns a flywheel through a free-wheel, and air slows it down.

Equation of motion: inertia * dw/dt = chain force * sprocket radius - drag * w**2.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Flywheel:
    """A flywheel on a chain.

    The default values are round numbers of the right order of magnitude (from memory); no maker's
    machine is meant.

    Attributes
    ----------
    inertia_kgm2 : moment of inertia, kg m2
    drag_nms2 : drag torque divided by the square of the speed, N m s2
    sprocket_m : radius at which the chain pulls, m
    """

    inertia_kgm2: float = 0.1
    drag_nms2: float = 1.4e-4
    sprocket_m: float = 0.0115

    def coast(self, speed_rad_s: float, time_s: FloatArray) -> FloatArray:
        """Speed after running free for `time_s`; exact: 1/w grows in a straight line.

        Parameters
        ----------
        speed_rad_s : speed at time zero, rad/s
        time_s : (N,) s, not negative
        """
        return speed_rad_s / (1.0 + self.drag_nms2 / self.inertia_kgm2 * speed_rad_s * time_s)

    def coast_angle(self, speed_rad_s: float, time_s: FloatArray) -> FloatArray:
        """Angle turned while running free for `time_s`, rad."""
        ratio = self.drag_nms2 / self.inertia_kgm2
        return np.log1p(ratio * speed_rad_s * time_s) / ratio

    def drive(self, speed_rad_s: float, travel_m: FloatArray, chain_n: FloatArray) -> FloatArray:
        """Speed along a pull whose force is known over its length.

        Over the angle the square of the speed obeys a linear equation, so the answer is one
        integral and needs no stepping.

        Parameters
        ----------
        speed_rad_s : speed where the pull starts, rad/s
        travel_m : (N,) m, evenly spaced from 0
        chain_n : (N,) N, force on the chain at each point

        Returns
        -------
        (N,) rad/s
        """
        rate = 2.0 * self.drag_nms2 / (self.inertia_kgm2 * self.sprocket_m)
        growth = np.exp(rate * travel_m)
        pushed = running_integral(chain_n * growth, float(travel_m[1] - travel_m[0]))
        square = (speed_rad_s**2 + 2.0 / self.inertia_kgm2 * pushed) / growth
        return np.sqrt(square)

    def pull_over_time(
        self,
        speed_rad_s: float,
        force_n: Callable[[float], float],
        duration_s: float,
        steps: int,
    ) -> FloatArray:
        """Speed under a force known over time, by fixed steps of the classic Runge-Kutta rule.

        Returns
        -------
        (steps + 1, 4) : speed rad/s, angle rad, work at the chain J, energy lost to drag J
        """
        h = duration_s / steps
        out = np.empty((steps + 1, 4))
        out[0] = (speed_rad_s, 0.0, 0.0, 0.0)
        for i in range(steps):
            y = out[i]
            t = i * h
            k1 = self._slope(y, force_n(t))
            k2 = self._slope(y + h / 2 * k1, force_n(t + h / 2))
            k3 = self._slope(y + h / 2 * k2, force_n(t + h / 2))
            k4 = self._slope(y + h * k3, force_n(t + h))
            out[i + 1] = y + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
        return out

    def _slope(self, y: FloatArray, force_n: float) -> FloatArray:
        speed = y[0]
        torque = force_n * self.sprocket_m
        drag = self.drag_nms2 * speed**2
        return np.array(((torque - drag) / self.inertia_kgm2, speed, torque * speed, drag * speed))


def running_integral(values: FloatArray, step: float) -> FloatArray:
    """Integral from the first point to each point of evenly spaced values, third order.

    Trapezoids with the end-slope correction, which is what keeps a few hundred points enough.
    """
    trapezoids = np.cumsum(0.5 * (values[1:] + values[:-1])) * step
    slope = np.gradient(values, step)
    out = np.zeros_like(values)
    out[1:] = trapezoids - step**2 / 12.0 * (slope[1:] - slope[0])
    return out
