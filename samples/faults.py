"""What can be wrong with a stroke, and what each fault does to the force and to the body.

Strengths run from 0 (not there) to 1 (nobody could miss it). The codes are those of the findings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from samples.flywheel import FloatArray

FORCE_FAULTS = (
    "hard-catch",
    "give",
    "stepped-build-up",
    "peaky",
    "early-loss",
    "empty-finish",
    "late-peak",
    "finish-snatch",
    "uneven",
    "rushed-recovery",
    "fading",
)
BODY_FAULTS = (
    "thrown-catch",
    "seat-first",
    "back-rounds",
    "early-arms",
    "empty-lean-back",
    "hands-off-level",
    "early-trunk",
)
FAULTS = FORCE_FAULTS + BODY_FAULTS
GIVE_AT = 0.26  # fraction of the pulled length at which the body yields

Faults = Sequence[tuple[str, float]]


class SampleError(ValueError):
    """A sample that cannot be made. The message is one sentence for the user."""


def fault_strengths(faults: Faults) -> dict[str, float]:
    """Strength by code, every code present, 0 for those not asked for.

    Raises
    ------
    SampleError
        An unknown code, or a strength outside 0 to 1.
    """
    strengths = dict.fromkeys(FAULTS, 0.0)
    for code, strength in faults:
        if code not in strengths:
            raise SampleError(f"There is no fault '{code}'; known are {', '.join(FAULTS)}.")
        if not 0.0 <= strength <= 1.0:
            raise SampleError(f"The strength of '{code}' is {strength:g}; give 0 to 1.")
        strengths[code] = float(strength)
    return strengths


@dataclass(frozen=True)
class CurveShape:
    """The natural force curve over the pulled length, all positions as fractions of it.

    Attributes
    ----------
    build_up : where the rise is over
    decline_from : where the fall begins
    dome : how much lower the middle is at its ends than at its top
    """

    build_up: float = 0.29
    decline_from: float = 0.51
    dome: float = 0.08
    decline_power: float = 1.0


def smooth(z: FloatArray) -> FloatArray:
    """0 below 0, 1 above 1, and a smooth S between (zero slope at both ends)."""
    z = np.clip(z, 0.0, 1.0)
    return z * z * (3.0 - 2.0 * z)


def bump(z: FloatArray, centre: float, width: float) -> FloatArray:
    """A bell of height 1."""
    return np.exp(-0.5 * ((z - centre) / width) ** 2)


def faulted_shape(shape: CurveShape, strength: dict[str, float]) -> CurveShape:
    """The curve's parameters after the faults that only move them."""
    build_up = shape.build_up
    # A give needs something to give way from: the leg drive bites early before the body yields.
    build_up += strength["give"] * (0.17 - build_up)
    build_up += strength["stepped-build-up"] * (0.60 - build_up)
    build_up += strength["hard-catch"] * (0.07 - build_up)
    decline = shape.decline_from
    decline += strength["stepped-build-up"] * 0.12
    decline += strength["early-loss"] * (0.26 - decline)
    power = shape.decline_power - 0.38 * strength["early-loss"]
    return replace(shape, build_up=build_up, decline_from=decline, decline_power=power)


def force_curve(s: FloatArray, shape: CurveShape, strength: dict[str, float]) -> FloatArray:
    """Chain force over the pulled length as a fraction of the stroke's nominal peak.

    Parameters
    ----------
    s : (N,) fraction of the pulled length, 0 to 1
    shape : the athlete's natural curve for this stroke
    strength : strength by fault code, see `fault_strengths`

    Returns
    -------
    (N,) zero at both ends, about 1 at the peak
    """
    bent = faulted_shape(shape, strength)
    late = strength["late-peak"]
    where = s ** (1.0 + 1.15 * late) if late else s
    curve = _rise(where, bent, strength["stepped-build-up"])
    fall = np.clip((where - bent.decline_from) / (1.0 - bent.decline_from), 0.0, 1.0)
    curve = curve * (1.0 - smooth(fall**bent.decline_power))
    curve = curve * (1.0 - bent.dome * ((where - 0.36) / 0.40) ** 2)
    if strength["peaky"]:
        spike = bump(s, 0.38, 0.115) * smooth(s / 0.10) * smooth((1.0 - s) / 0.25)
        curve = curve + strength["peaky"] * (1.12 * spike - curve)
    curve = curve + 0.40 * strength["hard-catch"] * bump(s, 0.085, 0.032) * smooth(s / 0.03)
    curve = curve * (1.0 - 0.62 * strength["give"] * bump(s, GIVE_AT, 0.042))
    curve = curve + 0.42 * strength["finish-snatch"] * bump(s, 0.90, 0.030) * smooth(
        (1.0 - s) / 0.04
    )
    return _let_go(s, curve, max(strength["empty-finish"], 0.8 * strength["empty-lean-back"]))


def _rise(s: FloatArray, shape: CurveShape, stairs: float) -> FloatArray:
    z = np.clip(s / shape.build_up, 0.0, 1.0)
    # A rise that starts with some slope: a quarter straight line, the rest an S.
    rise = 0.25 * z + 0.75 * smooth(z)
    if stairs:
        count = 4.0
        stepped = z - 1.9 / (2.0 * np.pi * count) * np.sin(2.0 * np.pi * count * z)
        rise = rise + stairs * (np.clip(stepped, 0.0, 1.0) - rise)
    return rise


def _let_go(s: FloatArray, curve: FloatArray, strength: float) -> FloatArray:
    """The handle still travels with next to nothing in the hands."""
    if not strength:
        return curve
    empty_from = 0.95 - 0.27 * strength
    left = 1.0 - smooth((s - empty_from + 0.16) / 0.16)
    tail = 0.085 * smooth((1.0 - s) / 0.03)
    return curve * left + np.minimum(curve + 0.05, tail) * (1.0 - left)
