"""Load on the low back: a quasi-static estimate, to be read only as a trend within one athlete.

Forces in the side plane on what lies above the low back: its weight, the pull at the handle, and
one muscle along the trunk that must balance their moment about the joint.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

GRAVITY_M_S2 = 9.80
# Mass above L4/L5 as a share of the body: head, arms and trunk 0.678 less pelvis 0.142 (Dempster's
# table in Winter, Biomechanics and Motor Control of Human Movement, 2nd ed., 1990).
MASS_ABOVE = 0.536
# Hip to shoulder as a share of stature: Drillis & Contini 1966 in Winter (from memory).
HIP_TO_SHOULDER = 0.288
# Along hip to shoulder: where the joint lies (from memory, low confidence) and where the mass
# above it balances (head, arms and trunk at 0.626 from the hip, Winter 1990, pelvis taken out).
JOINT_SHARE = 0.22
BALANCE_SHARE = 0.74
LABEL = "Quasi-static estimate: a trend within one athlete, not a measurement of their spine."
LIMITS = (
    LABEL,
    "Accelerations are not in the figures; how much they could change the trend is in its "
    "interval. The muscles that work against each other, and the weight of the arms away from the "
    "trunk, are left out.",
    "It says nothing about injury. Pain is a reason to stop and see a licensed clinician; a "
    "coach's own eyes and the athlete's history come first; growing athletes need a lower ceiling.",
)


@dataclass(frozen=True)
class Athlete:
    """What the estimate needs to know of the athlete.

    Attributes
    ----------
    hip_height_m : height of the hip joint on the origin of the handle's height, where the picture
        does not tell it
    muscle_arm_m : lever of the back muscle; 5 cm (classic) to 6 cm (later) in the literature
        (Chaffin & Andersson; McGill; from memory), which moves the muscle force by a fifth
    """

    mass_kg: float
    stature_m: float
    hip_height_m: float
    muscle_arm_m: float = 0.055


@dataclass(frozen=True)
class BackLoad:
    """Load at the low back at N instants.

    Attributes
    ----------
    moment_nm : (N,) to be balanced by the back muscle; negative where the front must hold
    muscle_n : (N,) force of that muscle, 0 or more
    compression_n : (N,) along the trunk, pressing the joint together
    shear_n : (N,) across it, positive when the trunk is drawn forward
    """

    moment_nm: FloatArray
    muscle_n: FloatArray
    compression_n: FloatArray
    shear_n: FloatArray


def muscle_force(moment_nm: FloatArray | float, arm_m: float) -> FloatArray:
    """Force of a muscle that balances a moment; the front muscle is given the same lever."""
    return np.abs(np.asarray(moment_nm, dtype=np.float64)) / arm_m


def load_at_joint(
    weight_n: float,
    weight_arm_m: FloatArray,
    handle_n: FloatArray,
    handle_arm_m: FloatArray,
    lean_rad: FloatArray,
    muscle_arm_m: float,
) -> BackLoad:
    """Moment, muscle, compression and shear for given levers.

    Parameters
    ----------
    weight_n : weight above the joint
    weight_arm_m : (N,) how far it lies in front of the joint; negative in lay-back
    handle_n : (N,) horizontal pull, towards the flywheel on the athlete
    handle_arm_m : (N,) how far its line passes above the joint
    lean_rad : (N,) trunk from the vertical, positive towards the flywheel
    """
    moment = weight_n * weight_arm_m + handle_n * handle_arm_m
    muscle = muscle_force(moment, muscle_arm_m)
    cos, sin = np.cos(lean_rad), np.sin(lean_rad)
    # The pull has a part along a leaning trunk: it stretches in forward lean, presses in lay-back.
    return BackLoad(
        moment,
        muscle,
        muscle + weight_n * cos - handle_n * sin,
        handle_n * cos + weight_n * sin,
    )


def load_over_time(
    athlete: Athlete,
    lean_rad: FloatArray,
    handle_height_m: FloatArray,
    handle_n: FloatArray,
    hip_height_m: FloatArray | None = None,
) -> BackLoad:
    """Load from posture and pull, levers from the athlete's stature; (N,) each, NaN allowed.

    Parameters
    ----------
    hip_height_m : on the origin of the handle's height; None: the athlete's, all along
    """
    trunk = HIP_TO_SHOULDER * athlete.stature_m
    weight = MASS_ABOVE * athlete.mass_kg * GRAVITY_M_S2
    hip = athlete.hip_height_m if hip_height_m is None else hip_height_m
    joint = hip + JOINT_SHARE * trunk * np.cos(lean_rad)
    return load_at_joint(
        weight,
        (BALANCE_SHARE - JOINT_SHARE) * trunk * np.sin(lean_rad),
        handle_n,
        handle_height_m - joint,
        lean_rad,
        athlete.muscle_arm_m,
    )
