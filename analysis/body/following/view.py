"""How the camera looks at the side plane, and points in that plane, in metres.

The side plane is the machine's middle plane. X runs to the right along the rail, Y upwards, Z
towards the camera; the camera's axis meets the plane at the origin.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.body.following.observed import steadied
from analysis.body.following.proportions import SEGMENTS, index
from analysis.body.track import POINTS, BodyTrack
from analysis.signals.signal import FloatArray

# How far points of the near side lie in front of the side plane, m: guessed from usual breadths of
# shoulders and hips, no source. Three centimetres of doubt in each.
DEPTHS_M: Final = {
    "ankle": 0.11, "knee": 0.13, "hip": 0.09, "shoulder": 0.19, "elbow": 0.27, "wrist": 0.23,
    "head": 0.08, "handle": 0.23, "seat": 0.10,
}  # fmt: skip
DEPTH_SD_M = 0.03
LARGEST_YAW_RAD, LARGEST_TILT_RAD = np.radians(20.0), np.radians(12.0)
# A phone's main camera sees some 65 degrees across; how much lenses differ.
FOCAL_OF_LONG_SIDE, FOCAL_SD_SHARE = 0.785, 0.15
USUAL_STATURE_M, USUAL_STATURE_SD_SHARE = 1.75, 0.06
_SQUARE_YAW_SD, _SQUARE_TILT_SD = np.radians(6.0), np.radians(3.0)  # where nothing tells
_WHEEL_SD = 0.02  # of the ratio of the clicked outline's sides


class ViewError(ValueError):
    """A view that no angles can be read in. The message is one sentence for the user."""


@dataclass(frozen=True)
class CameraView:
    """Where the camera stands.

    Attributes
    ----------
    yaw_rad : turned from square; positive where what is to the right is nearer
    tilt_rad : positive looking down
    roll_rad : positive where the rail falls to the right in the picture
    distance_m : to the side plane, along the camera's axis
    yaw_sd_rad, tilt_sd_rad, distance_sd_m : how sure
    scale_sd_share : of the metres
    focal_px, centre_px : of the lens; the picture's middle
    """

    yaw_rad: float
    tilt_rad: float
    roll_rad: float
    distance_m: float
    yaw_sd_rad: float
    tilt_sd_rad: float
    distance_sd_m: float
    scale_sd_share: float
    focal_px: float
    centre_px: tuple[float, float]

    def check(self) -> None:
        """Refuse a view too far from square.

        Raises
        ------
        ViewError
        """
        if abs(self.yaw_rad) > LARGEST_YAW_RAD:
            turned = round(float(np.degrees(abs(self.yaw_rad))))
            raise ViewError(
                f"The camera looks {turned} degrees from square at the machine, and beyond 20 the "
                "angles of the joints cannot be read from the picture; film square from the side."
            )
        if abs(self.tilt_rad) > LARGEST_TILT_RAD:
            turned = round(float(np.degrees(abs(self.tilt_rad))))
            raise ViewError(
                f"The camera looks {turned} degrees up or down, and beyond 12 the angles of the "
                "joints cannot be read from the picture; film from the height of the hips."
            )


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
) -> CameraView:
    """Estimate how the camera stands, from whatever is known.

    Parameters
    ----------
    picture_px : width and height
    stature_m : of the athlete, as stated; a usual one is taken where neither it nor a length is
    length : two places in the first picture, px, and the metres between them along the machine
    seat : the seat grows in the picture where it comes nearer: that tells yaw
    wheel_px : width and height of the round outline of the flywheel's cover; tells how large yaw is
    tilt_rad : where it is known, as from a phone's level

    Where nothing tells yaw or tilt they are taken as square, with 6 and 3 degrees of doubt.
    """
    width, height = picture_px
    focal = focal_px or FOCAL_OF_LONG_SIDE * max(width, height)
    yaw, yaw_sd = _yaw(seat, wheel_px, focal)
    roll = 0.0
    centre = (width / 2.0, height / 2.0)
    if seat is not None and np.ptp(seat.x_px) > 0.0:
        slope = float(np.polyfit(seat.x_px, seat.y_px, 1)[0])
        # Part of the rail's slope is its coming nearer, seen from above or below.
        rise = (float(np.mean(seat.y_px)) - centre[1]) / focal
        roll = float(np.arctan(slope - rise * np.tan(yaw)))
    view = CameraView(
        yaw, tilt_rad or 0.0, roll, 1.0, yaw_sd,
        float(np.radians(1.0)) if tilt_rad is not None else float(_SQUARE_TILT_SD),
        FOCAL_SD_SHARE, USUAL_STATURE_SD_SHARE, focal, centre,
    )  # fmt: skip
    distance, scale_sd = _distance(view, track, stature_m, length)
    share = 0.03 if focal_px else FOCAL_SD_SHARE
    return replace(
        view, distance_m=distance, distance_sd_m=share * distance, scale_sd_share=scale_sd
    )


def _yaw(
    seat: SeatSizes | None, wheel_px: tuple[float, float] | None, focal: float
) -> tuple[float, float]:
    yaw, sd = 0.0, float(_SQUARE_YAW_SD)
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
            if turned > LARGEST_YAW_RAD:
                return turned, turned_sd
            return yaw, max(turned, float((1.0 / sd**2 + 1.0 / turned_sd**2) ** -0.5))
        turned = float(np.copysign(turned, yaw))
        weight = 1.0 / sd**2, 1.0 / turned_sd**2
        yaw = (weight[0] * yaw + weight[1] * turned) / sum(weight)
        sd = float(sum(weight) ** -0.5)
    return yaw, sd


def _distance(
    view: CameraView,
    track: BodyTrack,
    stature_m: float | None,
    length: tuple[tuple[float, float], tuple[float, float], float] | None,
) -> tuple[float, float]:
    """Distance that gives a known length its metres, and how sure these are (share)."""
    if length is not None:
        a, b, metres = length
        ends = np.array((a, b))

        def measured(at: CameraView) -> float:
            placed = _meet(at, ends, np.zeros(2))
            return float(np.hypot(*(placed[1] - placed[0])))

        wanted, sd = metres, 0.01
    else:

        def measured(at: CameraView) -> float:
            return _stature_m(_all_points(at, track, DEPTHS_M))

        wanted = stature_m or USUAL_STATURE_M
        # Segments of one stature differ by a few per cent from athlete to athlete.
        sd = 0.03 if stature_m else float(np.hypot(0.03, USUAL_STATURE_SD_SHARE))
    distance = 3.0
    for _ in range(8):
        now = measured(replace(view, distance_m=distance))
        if not np.isfinite(now) or now <= 0.0:
            raise ViewError(
                "Too few points of the athlete are known to tell metres in the picture; place hip, "
                "knee and ankle in one frame by hand."
            )
        distance = float(np.clip(distance * wanted / now, 0.6, 30.0))
    return distance, sd


def _stature_m(points_m: FloatArray) -> float:
    lengths, shares = 0.0, 0.0
    for a, b, share in SEGMENTS[:3]:  # arms turn out of the plane
        far = np.hypot(*(points_m[:, index(a)] - points_m[:, index(b)]).T)
        if np.isfinite(far).any():
            lengths += float(np.nanmedian(far))
            shares += share
    return lengths / shares if shares else float("nan")


@dataclass(frozen=True, eq=False)
class SidePlane:
    """Points (T, K, 2) in metres, X to the right and Y up, and sd (T, K) of each coordinate.

    The uncertainty is that of places relative to each other; where the origin lies does not count.
    """

    points_m: FloatArray
    sd_m: FloatArray


def undo_depth(track: BodyTrack, view: CameraView) -> SidePlane:
    """Meet the ray of each point with the plane its joint moves in.

    Raises
    ------
    ViewError
        The camera stands too far from square.
    """
    view.check()
    points = _all_points(view, track, DEPTHS_M)
    variance = (track.sd_px * view.distance_m / view.focal_px) ** 2
    # A lens of another focal length at another distance shows the plane just as large.
    share = view.distance_sd_m / view.distance_m
    other_lens = replace(
        view, distance_m=view.distance_m * (1.0 + share), focal_px=view.focal_px * (1.0 + share)
    )
    others = (
        replace(view, yaw_rad=view.yaw_rad + view.yaw_sd_rad),
        replace(view, tilt_rad=view.tilt_rad + view.tilt_sd_rad),
        other_lens,
    )
    for other in others:
        off = _all_points(other, track, DEPTHS_M) - points
        known = np.isfinite(off).all(axis=-1)
        if known.any():
            off = off - off[known].mean(axis=0)
        variance = variance + 0.5 * np.square(off).sum(axis=-1)
    deeper = {name: depth + DEPTH_SD_M for name, depth in DEPTHS_M.items()}
    off = _all_points(view, track, deeper) - points
    variance = variance + 0.5 * np.square(off).sum(axis=-1)
    known = np.isfinite(points).all(axis=-1)
    if known.any():
        from_middle = points - points[known].mean(axis=0)
        variance = variance + view.scale_sd_share**2 * 0.5 * np.square(from_middle).sum(axis=-1)
    return SidePlane(points, np.sqrt(variance))


def _all_points(view: CameraView, track: BodyTrack, depths_m: dict[str, float]) -> FloatArray:
    depth = np.array([depths_m[name] for name in POINTS])
    return _meet(view, steadied(track.xy_px, track.steady), depth)


def _meet(view: CameraView, at_px: FloatArray, depth_m: FloatArray) -> FloatArray:
    """Where rays through pixels (..., 2) meet the planes Z = depth (broadcast): (..., 2) m."""
    turn = _axes(view)
    ahead = (at_px - np.array(view.centre_px)) / view.focal_px
    ray = np.concatenate((ahead, np.ones((*ahead.shape[:-1], 1))), axis=-1) @ turn.T
    camera = -view.distance_m * turn[:, 2]
    far = (depth_m - camera[2]) / ray[..., 2]
    met: FloatArray = camera[:2] + far[..., None] * ray[..., :2]
    return met


def _axes(view: CameraView) -> FloatArray:
    """Columns are the camera's right, down and ahead, in X, Y, Z of the side plane."""
    cy, sy = np.cos(view.yaw_rad), np.sin(view.yaw_rad)
    ct, st = np.cos(view.tilt_rad), np.sin(view.tilt_rad)
    cr, sr = np.cos(view.roll_rad), np.sin(view.roll_rad)
    square = np.diag((1.0, -1.0, -1.0))
    about_y = np.array(((cy, 0.0, sy), (0.0, 1.0, 0.0), (-sy, 0.0, cy)))
    about_x = np.array(((1.0, 0.0, 0.0), (0.0, ct, st), (0.0, -st, ct)))
    about_axis = np.array(((cr, sr, 0.0), (-sr, cr, 0.0), (0.0, 0.0, 1.0)))
    turned: FloatArray = about_y @ about_x @ square @ about_axis
    return turned
