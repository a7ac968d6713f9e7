"""Without a detector: which frames of one stroke to place by hand, and what carries them on."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.carrying import carry
from analysis.body.following.frames import FrameReader
from analysis.body.following.observed import BODY_POINTS, Observed, click_rows
from analysis.body.track import POINTS, Click, Source

MOMENTS: Final = 8  # of one stroke, evenly: what measured well; five are the least
_NEAR: Final = 0.04  # strokes from a moment: a click there counts for it
_CARRIED: Final = (Source.FLOW, Source.PHASE)

Passed = Collection[tuple[float, str]]


@dataclass(frozen=True)
class NextMoment:
    """A frame to place points on.

    Attributes
    ----------
    time_s : of the frame, seconds of the film
    points : those that are not placed there yet
    done : moments of the stroke that are placed already, of `MOMENTS`
    """

    time_s: float
    points: tuple[str, ...]
    done: int


def next_moment(
    observed: Observed, clicks: Sequence[Click], near_s: float = 0.0, passed: Passed = ()
) -> NextMoment | None:
    """Name the next frame of one stroke to place the body on.

    Parameters
    ----------
    near_s : a stroke about this time is taken, unless one was begun already
    passed : times of frames and points that were asked for and left, for they are not seen

    Returns
    -------
    None where nothing is left to place, or the picture does not tell where strokes are.
    """
    stroke = _stroke(observed, clicks, near_s)
    if stroke is None:
        return None
    frame, point, _place = click_rows(observed.time_s, clicks)
    left = {(round(at_s, 3), name) for at_s, name in passed}
    waiting: list[NextMoment] = []
    for at in _moments(observed, stroke):
        near = np.abs(observed.phase[frame] - observed.phase[at]) < _NEAR
        there = {int(p) for p in point[near] if p < BODY_POINTS}
        at_s = float(observed.time_s[frame[near][0]] if there else observed.time_s[at])
        points = tuple(
            name
            for p, name in enumerate(POINTS[:BODY_POINTS])
            if p not in there and (round(at_s, 3), name) not in left
        )
        if points:
            waiting.append(NextMoment(at_s, points, 0))
    return replace(waiting[0], done=MOMENTS - len(waiting)) if waiting else None


def carried(
    read: FrameReader,
    observed: Observed,
    clicks: Sequence[Click],
    cancelled: Callable[[], bool],
    progress: Callable[[float], None],
) -> Observed:
    """Carry the placed points through the film, anew where they were carried before.

    Raises
    ------
    FollowingCancelledError
        `cancelled` said so.
    """
    return carry(read, before_carrying(observed), clicks, cancelled, progress)


def before_carrying(observed: Observed) -> Observed:
    """The readings without what was carried: its clicks may have changed."""
    old: NDArray[np.bool_] = np.isin(observed.source, _CARRIED)
    if not old.any():
        return observed
    return replace(
        observed,
        xy_px=np.where(old[:, :, None], np.nan, observed.xy_px),
        sd_px=np.where(old, np.nan, observed.sd_px),
        source=np.where(old, np.uint8(0), observed.source),
    )


def _stroke(observed: Observed, clicks: Sequence[Click], near_s: float) -> int | None:
    """The stroke that is placed: begun already, else the whole one nearest to a time."""
    phase = observed.phase
    known = np.flatnonzero(np.isfinite(phase))
    eighth = np.unique(np.floor(MOMENTS * phase[known]).astype(int))
    whole = [
        int(n)
        for n in np.unique(np.floor(phase[known]).astype(int))
        if np.isin(np.arange(MOMENTS * n, MOMENTS * (n + 1)), eighth).all()
    ]
    if not whole:
        return None
    frame, point, _place = click_rows(observed.time_s, clicks)
    begun = np.floor(phase[frame[(point < BODY_POINTS) & np.isfinite(phase[frame])]]).astype(int)
    counts = {n: int((begun == n).sum()) for n in whole}
    most = max(counts, key=lambda n: counts[n])
    if counts[most]:
        return most
    middle = {n: float(observed.time_s[_moments(observed, n)[MOMENTS // 2]]) for n in whole}
    return min(whole, key=lambda n: abs(middle[n] - near_s))


def _moments(observed: Observed, stroke: int) -> list[int]:
    """Frames of a stroke, evenly over it."""
    wanted = stroke + (np.arange(MOMENTS) + 0.5) / MOMENTS
    apart = np.abs(observed.phase[:, None] - wanted)
    return [int(at) for at in np.nanargmin(np.where(np.isfinite(apart), apart, np.inf), axis=0)]
