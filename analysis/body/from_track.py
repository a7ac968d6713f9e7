"""From followed points to angles and ways of the body, each with how sure it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from analysis.body.angles import BODY_LENGTHS, BodySeries
from analysis.body.handle_speed import speed_of
from analysis.body.lengths import KnownLength, Scale, body_pixels, scale_of
from analysis.body.level import Level, level_of
from analysis.body.shared_error import covariance
from analysis.body.track import POINTS, BodyTrack
from analysis.body.view import View, alike, squared
from analysis.signals.signal import FloatArray

Side = Literal["left", "right"]

NO_LOW_BACK = (
    "The bend of the low back cannot be told from points of hip, shoulder and head, and is left "
    "out; look at the line of the belt yourself."
)
NO_SCALE = "Nobody said how tall the athlete is, so ways are shares of body length, not metres."
NOT_LEVEL = (
    "No seat was followed that shows what is level; angles from the vertical trust the picture."
)
NO_LENGTHS = "Too few points of arm and leg are known to tell how far anything goes."
NO_HANDLE = "The handle itself was not followed; the wrist stands for it, and speed is left out."
SEAT_IS_HIP = "The seat itself was not followed; the hip stands for it."
NO_SIDE = "It cannot be told on which side the flywheel is; it was taken to be on the left."
# Of a point nobody said how sure it is of, share of stature: what an untouched detector leaves.
UNTOLD_SD = 0.016
# A point that is known in less than this share of the frames is not used for the whole film.
LEAST_KNOWN = 0.5
_SAME_PX2: Final = 1e-12  # points nearer to each other have no direction, pixels squared


@dataclass(frozen=True, eq=False)
class SeenBody:
    """What the points of a film tell.

    Attributes
    ----------
    flywheel : on which side of the picture it is
    scale : pixels a unit of length; None where no length is known
    remarks : what is left out or uncertain, one sentence each
    """

    series: BodySeries
    flywheel: Side
    scale: Scale | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Plane:
    """Points in the side plane: along the rail to the finish, and up; pixels, (T, K) each."""

    time_s: FloatArray
    along: FloatArray
    up: FloatArray
    sd: FloatArray
    track: BodyTrack

    def x(self, name: str) -> FloatArray:
        return self.along[:, POINTS.index(name)]

    def y(self, name: str) -> FloatArray:
        return self.up[:, POINTS.index(name)]

    def xy(self, name: str) -> FloatArray:
        return np.stack((self.x(name), self.y(name)), axis=1)

    def doubt(self, name: str) -> FloatArray:
        return self.sd[:, POINTS.index(name)]

    def knows(self, name: str) -> bool:
        known = np.isfinite(self.x(name))
        return bool(known.sum() >= LEAST_KNOWN * len(known))


def see_body(
    track: BodyTrack,
    view: View | None = None,
    stature_m: float | None = None,
    known: KnownLength | None = None,
    flywheel: Side | None = None,
) -> SeenBody:
    """Work out what the body does from its points.

    Parameters
    ----------
    view : where the camera stood; None: nothing is known of it, and angles are the less sure
    stature_m : the athlete's, as somebody stated it
    known : a length of the machine; surer than a stature
    flywheel : on which side of the picture it is; None: where the feet are, seen from the hip

    Returns
    -------
    Series as long as the track; what was not known stays NaN.
    """
    view = view or View()
    still_px = steadied(track)
    xy_px = squared(still_px, view)
    side = flywheel or side_of_flywheel(xy_px)
    plane, level = _plane(track, xy_px, _doubts(track, xy_px), side or "left")
    scale = scale_of(xy_px, stature_m, known)
    remarks = [] if side else [NO_SIDE]
    remarks += [] if level.found else [NOT_LEVEL]
    more, sd = _angles(plane, level)
    left = _left_by_view(track, still_px, view, side or "left", more)
    sd = {name: np.hypot(doubt, left[name]) for name, doubt in sd.items()}
    if view.refusal:
        remarks.append(view.refusal)
        more = {name: np.full_like(row, np.nan) for name, row in more.items()}
        sd = {}
    if scale is None:
        remarks.append(NO_LENGTHS)
    else:
        ways, doubts, said = _ways(plane, scale)
        more, sd = {**more, **ways}, {**sd, **doubts}
        remarks += said
    return SeenBody(_series(track, more, sd, scale), side or "left", scale, (*remarks, NO_LOW_BACK))


def steadied(track: BodyTrack) -> FloatArray:
    """Points without the camera's motion: (T, K, 2) pixels of the first frame."""
    if track.steady is None:
        return track.xy_px
    turned = np.einsum("tij,tkj->tki", track.steady[:, :, :2], track.xy_px)
    still: FloatArray = turned + track.steady[:, None, :, 2]
    return still


def side_of_flywheel(xy_px: FloatArray) -> Side | None:
    """On which side of the picture the flywheel is: where feet and hands are, from the hip."""
    hip = xy_px[:, POINTS.index("hip"), 0]
    for name in ("ankle", "knee", "handle", "wrist"):
        ahead = hip - xy_px[:, POINTS.index(name), 0]
        if np.isfinite(ahead).any():
            return "left" if float(np.nanmedian(ahead)) > 0.0 else "right"
    return None


def _doubts(track: BodyTrack, xy_px: FloatArray) -> FloatArray:
    """Deviation of each point, pixels; of one that is known with none told, that of a detector."""
    told = np.isfinite(track.sd_px) | ~np.isfinite(xy_px).all(axis=2)
    if told.all():
        return track.sd_px
    # Where no limb is known, all that is seen is about as large as somebody is tall.
    stature_px = body_pixels(xy_px) or float(np.ptp(xy_px[np.isfinite(xy_px)]))
    return np.where(told, track.sd_px, UNTOLD_SD * stature_px)


def _plane(
    track: BodyTrack, xy_px: FloatArray, sd_px: FloatArray, side: Side
) -> tuple[_Plane, Level]:
    along = xy_px[..., 0] if side == "left" else -xy_px[..., 0]
    up = -xy_px[..., 1]
    seat = POINTS.index("seat")
    level = level_of(track.time_s, along[:, seat], up[:, seat])
    return _Plane(track.time_s, *level.turned(along, up), sd_px, track), level


def _left_by_view(
    track: BodyTrack, still_px: FloatArray, view: View, side: Side, angles: dict[str, FloatArray]
) -> dict[str, FloatArray]:
    """Deviation of what is not known of the view leaves in each angle: (T,) rad."""
    if not view.corrects:
        return {name: np.full(len(row), view.bias_rad(name)) for name, row in angles.items()}
    square = {name: np.zeros(len(row)) for name, row in angles.items()}
    for xy_px in alike(still_px, view):
        otherwise, _ = _angles(*_plane(track, xy_px, track.sd_px, side))
        for name, row in otherwise.items():
            square[name] += np.square(np.angle(np.exp(1j * (row - angles[name]))))
    return {name: np.sqrt(total) for name, total in square.items()}


def _angles(plane: _Plane, level: Level) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    rows, doubts = {}, {}
    for name, (one, at, other) in JOINTS.items():
        rows[name], doubts[name] = flexion(
            plane.xy(one), plane.xy(at), plane.xy(other),
            (plane.doubt(one), plane.doubt(at), plane.doubt(other)),
            (covariance(plane.track, one, at), covariance(plane.track, at, other)),
        )  # fmt: skip
    for name, (low, high, sign) in SEGMENTS_FROM_VERTICAL.items():
        lean, doubt = from_vertical(
            plane.xy(low), plane.xy(high), (plane.doubt(low), plane.doubt(high)),
            covariance(plane.track, low, high),
        )  # fmt: skip
        rows[name], doubts[name] = sign * lean, np.hypot(doubt, level.sd_rad)
    return rows, doubts


# Flexion at the middle one of three points; lean of a segment from its lower to its upper point,
# with the sign that makes it positive towards the flywheel (trunk) or towards the seat (shank).
JOINTS: Final = {
    "knee_rad": ("ankle", "knee", "hip"),
    "hip_rad": ("knee", "hip", "shoulder"),
    "elbow_rad": ("shoulder", "elbow", "wrist"),
}
SEGMENTS_FROM_VERTICAL: Final = {
    "trunk_lean_rad": ("hip", "shoulder", -1.0),
    "shank_rad": ("ankle", "knee", 1.0),
}


def flexion(
    one: FloatArray,
    at: FloatArray,
    other: FloatArray,
    sd: tuple[FloatArray, ...],
    shared: tuple[FloatArray | float, FloatArray | float] = (0.0, 0.0),
) -> tuple[FloatArray, FloatArray]:
    """Flexion at a joint, 0 is straight, and its standard deviation: (T,) rad each.

    Parameters
    ----------
    one, at, other : (T, 2) the joint is `at`
    sd : (T,) of each coordinate of the three, in the same unit
    shared : (T,) covariance of a coordinate of the first two and of the last two; the outer ones
        share what they share with the joint
    """
    u, v = one - at, other - at
    angle = np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1))
    # A point upon another has no direction.
    to_one, to_other = _across(u), _across(v)
    at_joint = to_one - to_other
    outer = shared[0] * shared[1] / np.where(sd[1] > 0.0, sd[1] ** 2, np.inf)
    square = (
        sd[0] ** 2 * (to_one**2).sum(axis=1)
        + sd[1] ** 2 * (at_joint**2).sum(axis=1)
        + sd[2] ** 2 * (to_other**2).sum(axis=1)
        - 2.0 * shared[0] * (to_one * at_joint).sum(axis=1)
        + 2.0 * shared[1] * (to_other * at_joint).sum(axis=1)
        - 2.0 * outer * (to_one * to_other).sum(axis=1)
    )
    doubt = np.sqrt(np.maximum(square, 0.0))
    return np.where(
        np.isfinite(to_one + to_other).all(axis=1), np.pi - np.abs(angle), np.nan
    ), doubt


def from_vertical(
    low: FloatArray,
    high: FloatArray,
    sd: tuple[FloatArray, FloatArray],
    shared: FloatArray | float = 0.0,
) -> tuple[FloatArray, FloatArray]:
    """Lean of a segment from the vertical, positive to the finish, and its deviation: (T,) rad.

    Parameters
    ----------
    shared : (T,) covariance of a coordinate of the two
    """
    u = high - low
    long = np.hypot(u[:, 0], u[:, 1])
    apart = np.sqrt(np.maximum(sd[0] ** 2 + sd[1] ** 2 - 2.0 * shared, 0.0))
    doubt = apart / np.where(np.square(long) > _SAME_PX2, long, np.nan)
    return np.arctan2(u[:, 0], u[:, 1]), doubt


def _across(u: FloatArray) -> FloatArray:
    """How an arm's direction changes with its end: (T, 2) rad a unit of length."""
    square = (u**2).sum(axis=1)
    across: FloatArray = (
        np.stack((-u[:, 1], u[:, 0]), axis=1)
        / np.where(square > _SAME_PX2, square, np.nan)[:, None]
    )
    return across


def _ways(
    plane: _Plane, scale: Scale
) -> tuple[dict[str, FloatArray], dict[str, FloatArray], list[str]]:
    grip = "handle" if plane.knows("handle") else "wrist"
    seat = "seat" if plane.knows("seat") else "hip"
    where = {
        "handle_m": plane.x(grip), "handle_height_m": plane.y(grip), "seat_m": plane.x(seat),
        "hip_m": plane.x("hip"), "shoulder_m": plane.x("shoulder"), "hip_height_m": plane.y("hip"),
    }  # fmt: skip
    point = {
        "handle_m": grip, "handle_height_m": grip, "seat_m": seat, "hip_m": "hip",
        "shoulder_m": "shoulder", "hip_height_m": "hip",
    }  # fmt: skip
    ways = {name: row / scale.pixels for name, row in where.items()}
    doubts = {name: plane.doubt(at) / scale.pixels for name, at in point.items()}
    remarks = [] if grip == "handle" else [NO_HANDLE]
    remarks += [] if seat == "seat" else [SEAT_IS_HIP]
    remarks += [NO_SCALE] if scale.unit == BODY_LENGTHS else []
    if grip == "handle":
        speed = speed_of(plane.time_s, ways["handle_m"], doubts["handle_m"])
        if speed is not None:
            ways["handle_speed_m_s"], doubts["handle_speed_m_s"] = speed
    return ways, doubts, remarks


def _series(
    track: BodyTrack, rows: dict[str, FloatArray], sd: dict[str, FloatArray], scale: Scale | None
) -> BodySeries:
    nothing = np.full(len(track.time_s), np.nan)
    seen = replace(BodySeries(track.time_s, *(nothing,) * 7).with_values(rows), sd=sd)
    if scale is None:
        return seen
    return replace(seen, length_unit=scale.unit, length_sd=scale.sd)
