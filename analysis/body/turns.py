"""Where a way turns, to a fraction of a frame: the turns found roughly, then fitted together.

The drive leaves and reaches its turns in much the same way stroke after stroke, while recoveries
differ and pauses have no turn at all (Dawson et al. 1998, J Mot Behav 30:33-43: the drive hardly
varies, the recovery does). So each turn is timed by the drive beside it, and where the turn lies
from there is fitted once, to all strokes of a film.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

# Each drive is timed where it is so far from its turn, as a share of the usual way: far enough
# for speed, near enough to be alike in every stroke. Common practice, no source.
ANCHOR_SHARE = 0.08
# What the shape of a turn is fitted to: before and after it, seen in the direction of the drive.
AROUND_S = 0.22
# Drives whose speeds there differ by less than the first turn alike, by more than the second each
# for itself. Between them it goes over slowly: a jump would make jitter of the speed one of time.
SPEED_ALIKE, SPEED_OTHER = 0.15, 0.35
REST_SHARE = 0.1  # of the drive's highest speed: slower is at rest
EDGE_S = 0.1
FEWEST_TO_FIT = 12


@dataclass(frozen=True)
class Turn:
    """One turn of a way.

    Attributes
    ----------
    at : the sample nearest to it
    near : at the flywheel's end, where the hands turn into the drive; else at the finish
    """

    at: int
    near: bool


def rough_turns(where: FloatArray, least: float) -> list[Turn]:
    """Turns that stand out by at least so much on both sides, near and far by turns.

    The first and the last are ends of what is seen as well as turns; see `is_seen`.
    """
    low = high = 0
    rising: bool | None = None
    found: list[Turn] = []
    for i, value in enumerate(where.tolist()):
        if value > where[high]:
            high = i
        if value < where[low]:
            low = i
        if rising is not False and value <= where[high] - least:
            found.append(Turn(high, near=False))
            rising, low = False, i
        elif rising is not True and value >= where[low] + least:
            found.append(Turn(low, near=True))
            rising, high = True, i
    if rising is not None:
        found.append(Turn(high, near=False) if rising else Turn(low, near=True))
    return found


def is_seen(time_s: FloatArray, where: FloatArray, turn: Turn, top_speed: float) -> bool:
    """Whether a turn lies within what is seen, or the athlete rests there where it begins or ends.

    Parameters
    ----------
    top_speed : of the drives, in the unit of `where` a second
    """
    at_s = float(time_s[turn.at])
    if time_s[0] + EDGE_S <= at_s <= time_s[-1] - EDGE_S:
        return True
    near = np.abs(time_s - at_s) <= 2.0 * EDGE_S
    if near.sum() < 3:
        return False
    return bool(np.ptp(where[near]) <= REST_SHARE * top_speed * 2.0 * EDGE_S)


def fine_turns(
    time_s: FloatArray, where: FloatArray, calm: FloatArray, turns: list[Turn], way: float
) -> dict[int, float]:
    """When each turn is, s, by its sample; those beside which no drive is seen are left out.

    Parameters
    ----------
    time_s, where, calm : (N,) the way as it was seen and without its jitter
    turns : of one kind or both, in order of time
    way : the usual one
    """
    fine: dict[int, float] = {}
    for near in (True, False):
        kind = [turn for turn in turns if turn.near is near]
        sign = 1.0 if near else -1.0  # near turns are fitted forwards, far ones backwards
        step = 1 if near else -1
        clock, course = sign * time_s[::step], sign * calm[::step]
        anchors = {}
        for turn in kind:
            at = turn.at if near else len(calm) - 1 - turn.at
            anchors[at] = _anchor(clock, course, at, ANCHOR_SHARE * way)
        known = {at: a for at, a in anchors.items() if a is not None}
        lead = _lead(clock, sign * where[::step], known)
        usual = float(np.median([anchor.speed for anchor in known.values()])) if known else 1.0
        for at, anchor in known.items():
            # Who comes to the same speed more slowly has turned earlier.
            slower = float(np.clip(usual / anchor.speed, 0.5, 2.5)) - 1.0
            share = (abs(slower) - SPEED_ALIKE) / (SPEED_OTHER - SPEED_ALIKE)
            own = lead * (1.0 + slower * float(np.clip(share, 0.0, 1.0)))
            fine[at if near else len(calm) - 1 - at] = sign * (anchor.time_s - own)
    return fine


@dataclass(frozen=True)
class _Anchor:
    """Where a drive is a given way from its turn: when, how fast, and the height of the turn."""

    time_s: float
    speed: float
    turn: float


def _anchor(time_s: FloatArray, calm: FloatArray, at: int, far: float) -> _Anchor | None:
    level = float(calm[at]) + far
    beyond = np.flatnonzero(calm[at:] >= level)
    if len(beyond) == 0 or beyond[0] == 0:
        return None
    i = at + int(beyond[0])
    share = (level - calm[i - 1]) / (calm[i] - calm[i - 1])
    when = float(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))
    ends = np.array((max(when - 0.04, float(time_s[at])), when + 0.06))
    speed = float(np.diff(np.interp(ends, time_s, calm))[0] / (ends[1] - ends[0]))
    return _Anchor(when, max(speed, 1e-9), float(calm[at]))


def _lead(time_s: FloatArray, where: FloatArray, anchors: dict[int, _Anchor]) -> float:
    """How long before its anchor a drive turns, from all strokes together, s."""
    from scipy.optimize import least_squares

    if not anchors:
        return 0.0
    first = np.median([abs(a.time_s - time_s[at]) for at, a in anchors.items()])
    lead = float(np.clip(first, 0.01, AROUND_S))
    at_s, height = [], []
    for anchor in anchors.values():
        since = time_s - anchor.time_s
        inside = (since > -lead - AROUND_S) & (since < 0.02)
        at_s.append(since[inside])
        height.append(where[inside] - anchor.turn)
    along, way = np.concatenate(at_s), np.concatenate(height)
    if len(along) < FEWEST_TO_FIT:
        return lead
    scale = max(float(np.percentile(way, 95.0)), 1e-9)
    beside = np.abs(along + lead) < 0.03
    rest = float(np.median(way[beside]) if beside.any() else way.min()) / scale

    def off(p: FloatArray) -> FloatArray:
        return _shape(p, along) - way / scale

    fit = least_squares(
        off, (-lead, float(np.clip(rest, -0.9, 0.9)), 1.0, 2.2, 0.3, 2.2),
        bounds=((-lead - 0.15, -1.0, 0.0, 1.6, 0.0, 1.6), (-1e-3, 1.0, 50.0, 3.2, 50.0, 3.2)),
        x_scale=(0.02, 0.05, 1.0, 0.5, 1.0, 0.5), loss="soft_l1", f_scale=0.05, max_nfev=200,
    )  # fmt: skip
    return -float(fit.x[0])


_UNIT_S = 0.2  # in which the shape counts time, so that its sizes are near one


def _shape(p: FloatArray, along: FloatArray) -> FloatArray:
    """A turn: rest in one moment, left and reached each by a power of the time from it."""
    turn, rest, leave, leave_power, arrive, arrive_power = p
    away = (along - turn) / _UNIT_S
    out = leave * np.maximum(away, 1e-9) ** leave_power
    home = arrive * np.maximum(-away, 1e-9) ** arrive_power
    shape: FloatArray = rest + np.where(away > 0.0, out, home)
    return shape
