"""A flywheel that air slows down: its model, and how it coasts.

Equation of motion: inertia * dw/dt = force * sprocket radius - drag * w**2, drag power drag * w**3
(Dudhia, Physics of Ergometers, Oxford University notes).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


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


def ratio_of_coast_down(first_per_s: float, later_per_s: float, between_s: float) -> float:
    """Drag over inertia, per radian, from how a free wheel slowed: 1/w grows in a line.

    Parameters
    ----------
    first_per_s, later_per_s : whole turns a second at two moments
    between_s : seconds from the one to the other

    Raises
    ------
    FlywheelError
        The wheel did not slow down, or a number is none.
    """
    values = (first_per_s, later_per_s, between_s)
    if not all(np.isfinite(v) and v > 0.0 for v in values) or later_per_s >= first_per_s:
        raise FlywheelError(
            "A wheel that runs free slows down: give fewer turns a second at the later moment."
        )
    return (1.0 / later_per_s - 1.0 / first_per_s) / (2.0 * np.pi * between_s)
