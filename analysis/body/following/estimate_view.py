"""How the camera stands, from whatever is known: a length, the seat's size, the wheel's outline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.body.following.floor_lines import Line, stance_of
from analysis.body.following.observed import steadied
from analysis.body.following.proportions import SEGMENTS, index
from analysis.body.track import BodyTrack
from analysis.body.view import (
    FOCAL_SD_SHARE,
    MOST_YAW_DEG,
    SQUARE_YAW_SD_RAD,
    View,
    in_plane,
    meet,
)
from analysis.signals.signal import FloatArray

_WHEEL_SD: Final = 0.02  # of the ratio of the clicked outline's sides
_TOLD_FOCAL_SD_SHARE: Final = 0.03
_TOLD_TILT_SD_RAD: Final = float(np.radians(1.0))


class ViewError(ValueError):
    """A view that cannot be estimated. The message is one sentence for the user."""


@dataclass(frozen=True, eq=False)
class SeatSizes:
    """How large (N,) the seat is in the picture, relative, at places `x_px`, `y_px` (N,)."""

    x_px: FloatArray
    y_px: FloatArray
    size: FloatArray


def estimate_view(
    track: BodyTrack,
    picture_px: tuple[int, int],
    *,
    stature_m: float | None = None,
    length: tuple[tuple[float, float], tuple[float, float], float] | None = None,
    seat: SeatSizes | None = None,
    wheel_px: tuple[float, float] | None = None,
    tilt_rad: float | None = None,
    focal_px: float | None = None,
    feet: Sequence[Line] = (),
) -> View:
    """Estimate how the camera stands.

    Parameters
    ----------
    picture_px : width and height
    stature_m : of the athlete, as stated
    length : two places in the first picture, px, and the metres between them along the machine
    seat : the seat grows in the picture where it comes nearer: that tells yaw
    wheel_px : width and height of the round outline of the flywheel's cover; tells how large yaw is
    tilt_rad : where it is known, as from a phone's level
    feet : near and far end of the bars the machine stands on; tell yaw and tilt

    Returns
    -------
    What nothing tells is None. Perspective is known where a length was measured or the lens is
    told; a stature alone leaves the lens a guess, and the distance then only says how much doubt
    perspective leaves.

    Raises
    ------
    ViewError
        Too few points of the athlete are known to tell the distance.
    """
    yaw, yaw_sd, roll = None, SQUARE_YAW_SD_RAD, None
    view = View(size_px=picture_px, focal_px=focal_px)
    if seat is not None or wheel_px is not None:
        yaw, yaw_sd = _yaw(seat, wheel_px, view.focal)
    if seat is not None and np.ptp(seat.x_px) > 0.0:
        slope = float(np.polyfit(seat.x_px, seat.y_px, 1)[0])
        # Part of the rail's slope is its coming nearer, seen from above or below.
        rise = (float(np.mean(seat.y_px)) - view.centre_px[1]) / view.focal
        roll = float(np.arctan(slope - rise * np.tan(yaw or 0.0)))
    view = replace(view, yaw_rad=yaw, yaw_sd_rad=yaw_sd, roll_rad=roll)
    if tilt_rad is not None:
        view = replace(view, tilt_rad=tilt_rad, tilt_sd_rad=_TOLD_TILT_SD_RAD)
    view, stands = _by_feet(view, feet, seat is not None or wheel_px is not None)
    if stature_m is None and length is None:
        return view
    told = focal_px is not None
    return replace(
        view,
        distance_m=_distance(view, track, stature_m, length),
        distance_sd_share=_TOLD_FOCAL_SD_SHARE if told else FOCAL_SD_SHARE,
        perspective="known" if told or stands or length is not None else "unknown",
    )


def _by_feet(view: View, feet: Sequence[Line], has_yaw: bool) -> tuple[View, bool]:
    """The view with what bars on the floor add, and whether they tell both yaw and tilt."""
    yaw = (view.yaw_rad, view.yaw_sd_rad) if has_yaw and view.yaw_rad is not None else None
    tilt = None if view.tilt_rad is None else (view.tilt_rad, view.tilt_sd_rad)
    stance = stance_of(list(feet), view, yaw, tilt)
    if stance is None:
        return view, False
    if stance.tells_yaw:
        view = replace(view, yaw_rad=stance.yaw_rad, yaw_sd_rad=stance.yaw_sd_rad)
    if stance.tells_tilt:
        view = replace(view, tilt_rad=stance.tilt_rad, tilt_sd_rad=stance.tilt_sd_rad)
    return view, stance.tells_yaw and stance.tells_tilt


def _yaw(
    seat: SeatSizes | None, wheel_px: tuple[float, float] | None, focal: float
) -> tuple[float, float]:
    yaw, sd = 0.0, SQUARE_YAW_SD_RAD
    if seat is not None and len(seat.x_px) >= 4 and np.ptp(seat.x_px) > 0.02 * focal:
        (slope, _), spread = np.polyfit(seat.x_px, np.log(seat.size), 1, cov=True)
        yaw = float(np.arctan(slope * focal))
        error = np.hypot(np.sqrt(spread[0, 0]) * focal, FOCAL_SD_SHARE * np.tan(yaw))
        sd = float(max(error, np.radians(1.0)))
    if wheel_px is not None and min(wheel_px) > 0.0:
        turned = float(np.arccos(min(wheel_px[0] / wheel_px[1], 1.0)))
        turned_sd = _WHEEL_SD / max(float(np.sin(turned)), float(np.sqrt(_WHEEL_SD)))
        # An outline does not tell to which side; where nothing else does, it only widens the doubt,
        # unless it says that no angle should be read at all.
        if abs(yaw) <= sd:
            if turned > np.radians(MOST_YAW_DEG):
                return turned, turned_sd
            return yaw, max(turned, float((1.0 / sd**2 + 1.0 / turned_sd**2) ** -0.5))
        turned = float(np.copysign(turned, yaw))
        weight = 1.0 / sd**2, 1.0 / turned_sd**2
        yaw = (weight[0] * yaw + weight[1] * turned) / sum(weight)
        sd = float(sum(weight) ** -0.5)
    return yaw, sd


def _distance(
    view: View,
    track: BodyTrack,
    stature_m: float | None,
    length: tuple[tuple[float, float], tuple[float, float], float] | None,
) -> float:
    """Distance that gives a known length, or else the stature, its metres."""
    xy_px = steadied(track.xy_px, track.steady)

    def measured(at: View) -> float:
        if length is None:
            return _stature_m(in_plane(xy_px, at))
        placed = meet(np.array(length[:2]), at, np.zeros(2))
        return float(np.hypot(*(placed[1] - placed[0])))

    wanted = length[2] if length is not None else stature_m or np.nan
    distance = 3.0
    for _ in range(8):
        now = measured(replace(view, distance_m=distance))
        if not np.isfinite(now) or now <= 0.0:
            raise ViewError(
                "Too few points of the athlete are known to tell metres in the picture; place hip, "
                "knee and ankle in one frame by hand."
            )
        distance = float(np.clip(distance * wanted / now, 0.6, 30.0))
    return distance


def _stature_m(points_m: FloatArray) -> float:
    lengths, shares = 0.0, 0.0
    for a, b, share in SEGMENTS[:3]:  # arms turn out of the plane
        far = np.hypot(*(points_m[:, index(a)] - points_m[:, index(b)]).T)
        if np.isfinite(far).any():
            lengths += float(np.nanmedian(far))
            shares += share
    return lengths / shares if shares else float("nan")
