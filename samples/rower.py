"""The athlete in the side plane: where every joint is while the hands follow the handle.

Metres; the origin is the heel on the stretcher, x grows towards the finish, y upwards. The hands
are exactly at the handle and every segment keeps its length: hip and handle are given, the trunk
and the arm close the chain between them, thigh and shank close the one to the foot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from samples.faults import GIVE_AT, bump, fault_strengths, smooth
from samples.flywheel import FloatArray
from samples.piece import Piece


@dataclass(frozen=True)
class Build:
    """Segment lengths in metres as shares of stature.

    Source: Drillis and Contini 1966 as printed in Winter's handbook (shares from memory, checked
    against the heights they must add up to). The trunk's three parts share its 0.288: common
    practice, no source.
    """

    stature_m: float = 1.84

    @property
    def foot(self) -> float:
        """Heel to toe."""
        return 0.152 * self.stature_m

    @property
    def ankle(self) -> float:
        """Sole to ankle."""
        return 0.039 * self.stature_m

    @property
    def shank(self) -> float:
        """Ankle to knee."""
        return 0.246 * self.stature_m

    @property
    def thigh(self) -> float:
        """Knee to hip."""
        return 0.245 * self.stature_m

    @property
    def trunk(self) -> tuple[float, float, float]:
        """Hip to low back, low back to chest, chest to shoulder."""
        return 0.085 * self.stature_m, 0.078 * self.stature_m, 0.125 * self.stature_m

    @property
    def upper_arm(self) -> float:
        """Shoulder to elbow."""
        return 0.186 * self.stature_m

    @property
    def forearm(self) -> float:
        """Elbow to the grip: forearm and half of the hand."""
        return (0.146 + 0.054) * self.stature_m

    @property
    def wrist_share(self) -> float:
        """Where the wrist lies between elbow and grip."""
        return 0.146 / (0.146 + 0.054)


SEAT_TOP_M = 0.16
HIP_M = 0.25  # height of the hip joint on the seat
STRETCHER_RAD = np.radians(44.0)  # slope of the foot plate
GRIP_CATCH_M, GRIP_FINISH_M = 0.42, 0.475  # height of the hands
LEAN_CATCH_RAD, LEAN_FINISH_RAD = np.radians(29.0), np.radians(-25.0)
KNEE_FINISH_RAD = np.radians(7.0)  # flexion left at the finish
STRAIGHT = 0.992  # straight arms still have a little bend
POINTS = (
    "heel",
    "toe",
    "ankle",
    "knee",
    "hip",
    "low_back",
    "chest",
    "shoulder",
    "elbow",
    "wrist",
    "handle",
    "head",
    "seat",
)


@dataclass(frozen=True)
class Motion:
    """Where the athlete is at N instants.

    Attributes
    ----------
    time_s : (N,) world s
    points : (N, 2) m by name, see `POINTS`
    angles : (N,) rad by name: `knee` and `elbow` flexion (0 is straight), `trunk` lean from the
        vertical (positive towards the flywheel), `low_back` flexion (0 is flat), `hip` between
        thigh and trunk (pi is straight)
    drive : (N,) True from the turn at the catch to the turn at the finish
    travel : (N,) share of the handle's way out, 0 at the catch and 1 at the finish
    """

    time_s: FloatArray
    points: Mapping[str, FloatArray]
    angles: Mapping[str, FloatArray]
    drive: NDArray[np.bool_]
    travel: FloatArray


def move(piece: Piece, time_s: FloatArray, build: Build | None = None) -> Motion:
    """Work out the athlete's joints.

    Parameters
    ----------
    piece : whose handle the hands follow, and whose faults the body shows
    time_s : (N,) world s within the piece
    """
    return _Body(piece, build or Build()).at(np.asarray(time_s, dtype=np.float64))


def reach(a: FloatArray, b: FloatArray, first: float, second: FloatArray | float) -> FloatArray:
    """Joint between `a` and `b`, `first` from a and `second` from b: (N, 2), left of a to b.

    Where the ends are too far apart for both lengths the nearest point is given.
    """
    gap = b - a
    far = np.hypot(gap[:, 0], gap[:, 1])
    along = (first**2 - np.square(second) + far**2) / (2.0 * far)
    across = np.sqrt(np.maximum(first**2 - along**2, 0.0))
    unit = gap / far[:, None]
    normal = np.stack((-unit[:, 1], unit[:, 0]), axis=1)
    return a + unit * along[:, None] + normal * across[:, None]


def _share(rate: FloatArray) -> FloatArray:
    """Running share of a rate over 0-1, from 0 to 1."""
    total = np.concatenate(([0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]))))
    return total / total[-1]


class _Body:
    """The athlete's habits for one piece."""

    def __init__(self, piece: Piece, build: Build) -> None:
        self.piece, self.build = piece, build
        self.fault = fault_strengths(piece.options.faults)
        self.arm = build.upper_arm + build.forearm
        self.lean_catch = LEAN_CATCH_RAD + np.radians(11.0) * self.fault["thrown-catch"]
        self.lean_finish = LEAN_FINISH_RAD - np.radians(19.0) * self.fault["empty-lean-back"]
        cycles = piece.cycles
        self.start_s = np.array([c.start_s for c in cycles])
        self.engage_s = np.array([c.engage_s for c in cycles])
        self.far_s = np.array([c.far_s for c in cycles])
        self.end_s = np.array([c.end_s for c in cycles])
        self.far_m = np.array([c.far_m for c in cycles])
        self.start_m = np.array([c.start_m for c in cycles])
        self._place_finish()
        self._learn_sequence()

    def _place_finish(self) -> None:
        """Where hip and handle stand at the finish, and how bent the arm is there."""
        b = self.build
        ankle, _ = self._foot(np.zeros(1))
        leg = np.sqrt(b.thigh**2 + b.shank**2 + 2 * b.thigh * b.shank * np.cos(KNEE_FINISH_RAD))
        self.hip_finish = float(ankle[0, 0] + np.sqrt(leg**2 - (HIP_M - ankle[0, 1]) ** 2))
        # The usual lean decides where the hands meet the body; a deeper one must not move it.
        chord = self._chord(np.full(1, self._flexion_at_finish()))[0]
        usual = self.hip_finish - chord * np.sin(LEAN_FINISH_RAD)
        self.grip_finish = usual - 0.255
        shoulder = np.array(
            (
                self.hip_finish - chord * np.sin(self.lean_finish),
                HIP_M + chord * np.cos(self.lean_finish),
            )
        )
        grip = np.array((self.grip_finish, GRIP_FINISH_M))
        self.bent = float(np.hypot(*(shoulder - grip))) / self.arm
        full = [c.far_m for c in self.piece.cycles if not c.half]
        self.far_usual = float(np.median(full if full else self.far_m))
        self.hip_catch = self._hip_at_catch(self.start_m)

    def _hip_at_catch(self, start_m: FloatArray) -> FloatArray:
        """Hip x that puts straight arms on the handle with the trunk at its catch angle."""
        chord = self._chord(np.full(1, self._flexion_at_catch()))[0]
        rise = HIP_M + chord * np.cos(self.lean_catch) - GRIP_CATCH_M
        level = np.sqrt((STRAIGHT * self.arm) ** 2 - rise**2)
        hip = self._grip_x(start_m) + level + chord * np.sin(self.lean_catch)
        closest = 0.36 * self.build.stature_m * 0.5
        return np.clip(hip, closest, self.hip_finish - 0.05)

    def _grip_x(self, handle_m: FloatArray) -> FloatArray:
        return self.grip_finish + handle_m - self.far_usual

    def _learn_sequence(self) -> None:
        """Shares of the handle's way done by legs and arms; the trunk does what is left."""
        u = np.linspace(0.0, 1.0, 401)
        f = self.fault
        slow_legs = 1.0 - 0.85 * f["early-trunk"] * (1.0 - smooth(u / 0.32))
        legs = slow_legs * (1.0 - smooth(u / (0.78 + 0.12 * f["early-trunk"])))
        arms = smooth((u - 0.50 + 0.46 * f["early-arms"]) / 0.40)
        early = 0.20 * f["thrown-catch"]
        home = 1.0 - smooth((u - 0.20 - early) / 0.38)
        home = home * ((1.0 - f["thrown-catch"]) + f["thrown-catch"] * smooth((u - 0.05) / 0.2))
        away = smooth((u - 0.60) / 0.28)
        self.grid = u
        self.legs_out, self.arms_out = _share(legs), _share(arms)
        self.legs_home, self.arms_home = _share(home), _share(away)

    def _flexion_at_catch(self) -> float:
        return float(np.radians(24.0 + 16.0 * self.fault["back-rounds"]))

    def _flexion_at_finish(self) -> float:
        return float(np.radians(11.0 + 8.0 * self.fault["empty-lean-back"]))

    def _trunk_chain(self, flexion: FloatArray) -> FloatArray:
        """Low back, chest and shoulder seen from the hip with the pelvis upright: (3, N, 2)."""
        bends = (np.zeros_like(flexion), 0.45 * flexion, flexion)
        at = np.zeros((len(flexion), 2))
        chain = []
        for length, bend in zip(self.build.trunk, bends, strict=True):
            at = at + length * np.stack((-np.sin(bend), np.cos(bend)), axis=1)
            chain.append(at)
        return np.stack(chain)

    def _chord(self, flexion: FloatArray) -> FloatArray:
        """Hip to shoulder as the crow flies: a bent back is shorter."""
        end = self._trunk_chain(flexion)[-1]
        return np.hypot(end[:, 0], end[:, 1])

    def _foot(self, lift: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Ankle and heel (N, 2) when the heel is lifted by `lift` rad about the ball."""
        b = self.build
        plate = np.array((-np.cos(STRETCHER_RAD), np.sin(STRETCHER_RAD)))
        ball = 0.70 * b.foot * plate
        turn = STRETCHER_RAD - lift
        back = np.stack((np.cos(turn), -np.sin(turn)), axis=1)
        up = np.stack((np.sin(turn), np.cos(turn)), axis=1)
        heel = ball + 0.70 * b.foot * back
        ankle = heel - 0.28 * b.foot * back + b.ankle * up
        return ankle, heel

    def at(self, time_s: FloatArray) -> Motion:
        """All joints at world times (N,)."""
        i = np.clip(np.searchsorted(self.start_s, time_s, side="right") - 1, 0, None)
        after = np.minimum(i + 1, len(self.start_s) - 1)
        handle_m = np.interp(time_s, self.piece.time_s, self.piece.handle_m)
        drive = time_s < self.far_s[i]
        home_m = np.where(drive, self.start_m[i], self.start_m[after])
        u = np.clip((handle_m - home_m) / (self.far_m[i] - home_m), 0.0, 1.0)
        grip = np.stack((self._grip_x(handle_m), self._grip_y(u, drive)), axis=1)
        hip_catch = np.where(drive, self.hip_catch[i], self.hip_catch[after])
        legs = np.where(
            drive,
            np.interp(u, self.grid, self.legs_out),
            np.interp(u, self.grid, self.legs_home),
        )
        arms = np.where(
            drive,
            np.interp(u, self.grid, self.arms_out),
            np.interp(u, self.grid, self.arms_home),
        )
        hip_x = hip_catch + (self.hip_finish - hip_catch) * legs
        hip_x = hip_x + self._seat_first(time_s, i, u, drive)
        flexion = self._flexion(u, drive, i)
        fold = STRAIGHT - (STRAIGHT - self.bent) * arms
        points, angles = self._close(hip_x, grip, flexion, fold)
        return Motion(time_s, points, angles, drive, u)

    def _grip_y(self, u: FloatArray, drive: NDArray[np.bool_]) -> FloatArray:
        f = self.fault
        level = GRIP_CATCH_M + (GRIP_FINISH_M - GRIP_CATCH_M) * smooth((u - 0.55) / 0.45)
        high = 0.15 * f["hands-off-level"] * smooth((u - 0.06) / 0.22) * smooth((0.96 - u) / 0.3)
        low = 0.045 * bump(u, 0.78, 0.13) * smooth((1.0 - u) / 0.15)
        dip = 0.055 * f["thrown-catch"] * bump(u, 0.14, 0.07) * smooth(u / 0.1)
        return level + np.where(drive, high, -low - dip)

    def _seat_first(
        self, time_s: FloatArray, i: NDArray[np.intp], u: FloatArray, drive: NDArray[np.bool_]
    ) -> FloatArray:
        """How far the seat is ahead because it left while the handle stood, m."""
        strength = self.fault["seat-first"]
        if not strength:
            return np.zeros_like(time_s)
        since = np.where(drive, time_s - self.start_s[i], time_s - self.end_s[i])
        ahead = smooth((since + 0.06) / 0.15) * np.where(drive, smooth((0.55 - u) / 0.45), 1.0)
        return 0.12 * strength * ahead

    def _flexion(self, u: FloatArray, drive: NDArray[np.bool_], i: NDArray[np.intp]) -> FloatArray:
        f = self.fault
        catch, finish = self._flexion_at_catch(), self._flexion_at_finish()
        out = catch + (finish - catch) * smooth((u - 0.15) / 0.8)
        rounds = np.radians(26.0) * f["back-rounds"] * bump(u, 0.33, 0.15) * smooth(u / 0.1)
        # The give is placed over the pulled length; the way out is longer by what goes unloaded.
        whole = self.far_m[i] - self.start_m[i]
        yields_at = (GIVE_AT * self.piece.options.pull_m + 0.06) / whole
        gives = np.radians(20.0) * f["give"] * np.exp(-0.5 * ((u - yields_at) / 0.055) ** 2)
        return out + np.where(drive, (rounds + gives) * smooth((1.0 - u) / 0.2), 0.0)

    def _close(
        self, hip_x: FloatArray, grip: FloatArray, flexion: FloatArray, fold: FloatArray
    ) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
        b = self.build
        hip = np.stack((hip_x, np.full_like(hip_x, HIP_M)), axis=1)
        chain = self._trunk_chain(flexion)
        chord = np.hypot(chain[-1][:, 0], chain[-1][:, 1])
        gap = np.hypot(*(grip - hip).T)
        arm = np.clip(fold * self.arm, gap - chord + 1e-6, 0.999 * self.arm)
        shoulder = _between(hip, grip, chord, arm)
        lean = np.arctan2(hip[:, 0] - shoulder[:, 0], shoulder[:, 1] - hip[:, 1])
        turn = lean - np.arctan2(-chain[-1][:, 0], chain[-1][:, 1])
        low_back, chest, top = (hip + _turned(part, turn) for part in chain)
        elbow = reach(top, grip, b.upper_arm, b.forearm)
        closeness = np.clip((self.hip_finish - hip_x) / 0.56, 0.0, 1.2)
        ankle, heel = self._foot(np.radians(16.0) * smooth((closeness - 0.55) / 0.5))
        knee = reach(ankle, hip, b.shank, b.thigh)
        toe = np.tile(
            b.foot * np.array((-np.cos(STRETCHER_RAD), np.sin(STRETCHER_RAD))), (len(hip), 1)
        )
        upper = np.arctan2(chest[:, 0] - top[:, 0], top[:, 1] - chest[:, 1])
        gaze = 0.45 * upper - 0.02
        head = top + 0.110 * b.stature_m * np.stack((-np.sin(gaze), np.cos(gaze)), axis=1)
        points = {
            "heel": heel,
            "toe": toe,
            "ankle": ankle,
            "knee": knee,
            "hip": hip,
            "low_back": low_back,
            "chest": chest,
            "shoulder": top,
            "elbow": elbow,
            "wrist": elbow + b.wrist_share * (grip - elbow),
            "handle": grip,
            "head": head,
            "seat": np.stack((hip_x, np.full_like(hip_x, SEAT_TOP_M)), axis=1),
        }
        angles = {
            "knee": np.pi - _corner(ankle, knee, hip),
            "elbow": np.pi - _corner(top, elbow, grip),
            "hip": _corner(knee, hip, top),
            "trunk": lean,
            "low_back": flexion,
        }
        return points, angles


def _between(a: FloatArray, b: FloatArray, first: FloatArray, second: FloatArray) -> FloatArray:
    """The upper of the two points `first` from a and `second` from b; a lies right of b."""
    gap = b - a
    far = np.hypot(gap[:, 0], gap[:, 1])
    along = (first**2 - second**2 + far**2) / (2.0 * far)
    across = np.sqrt(np.maximum(first**2 - along**2, 0.0))
    unit = gap / far[:, None]
    normal = np.stack((unit[:, 1], -unit[:, 0]), axis=1)
    normal = normal * np.where(normal[:, 1] < 0.0, -1.0, 1.0)[:, None]
    return a + unit * along[:, None] + normal * across[:, None]


def _turned(vectors: FloatArray, angle: FloatArray) -> FloatArray:
    """Vectors (N, 2) turned so that upright leans towards the flywheel by `angle`."""
    c, s = np.cos(angle), np.sin(angle)
    x, y = vectors[:, 0], vectors[:, 1]
    return np.stack((x * c - y * s, x * s + y * c), axis=1)


def _corner(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Inner angle at b, rad."""
    u, v = a - b, c - b
    cos = (u * v).sum(axis=1) / (np.hypot(*u.T) * np.hypot(*v.T))
    return np.arccos(np.clip(cos, -1.0, 1.0))
