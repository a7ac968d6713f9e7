"""How the camera stood, in words for the coach."""

from __future__ import annotations

from typing import Final

import numpy as np

from analysis.body.view import View

NO_FIXED_POINTS: Final = (
    "How the camera stood is not known, and it is taken to have stood about square: place the "
    "ends of the bars the machine stands on, then yaw and tilt are told."
)
NO_YAW: Final = (
    "How far the camera was turned from square is not known: place near and far ends of the bars "
    "the machine stands on."
)
NO_TILT: Final = (
    "How far the camera was tilted is not known: place near and far ends of the bars the machine "
    "stands on."
)


def view_said(view: View | None) -> tuple[str, ...]:
    """Say how the camera stood, one sentence each: what was estimated, and what is not known."""
    if view is None or (view.yaw_rad is None and view.tilt_rad is None):
        return (NO_FIXED_POINTS,)
    said = []
    for told, words in ((view.yaw_rad, NO_YAW), (view.tilt_rad, NO_TILT)):
        said += [words] if told is None else []
    parts = []
    if view.yaw_rad is not None:
        parts.append(f"{_degrees(view.yaw_rad, view.yaw_sd_rad)} off square")
    if view.tilt_rad is not None:
        parts.append(f"{_degrees(view.tilt_rad, view.tilt_sd_rad)} tilted")
    if view.distance_m is not None:
        parts.append(f"some {view.distance_m:.1f} m away")
    ends = " Depth is taken out." if view.corrects and not view.refusal else ""
    return (f"The camera stood {', '.join(parts)}.{ends}", *said)


def _degrees(angle_rad: float, sd_rad: float) -> str:
    return f"{abs(np.degrees(angle_rad)):.0f} ± {max(np.degrees(sd_rad), 1.0):.0f} degrees"
