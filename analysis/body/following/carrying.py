"""Points placed in a few frames of one stroke, carried to the frames of all strokes.

A frame gets its points from the clicked frame that shows the same part of the stroke: first by
phase, then by optical flow between the two pictures. Flow is never chained from frame to frame, so
no error adds up; and the two pictures show nearly the same posture, so it has little to bridge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.frames import FrameReader, Image, frame_at, shrunk, walk
from analysis.body.following.observed import (
    BODY_POINTS,
    Observed,
    click_rows,
    known_places,
    steadied,
    unsteadied,
)
from analysis.body.following.opencv import opencv
from analysis.body.following.proportions import stature_px
from analysis.body.track import Click, Source
from analysis.signals.signal import FloatArray

FEWEST_PHASES = 5  # clicked moments of the stroke
_LONGEST_GAP = 0.3  # of a stroke, between clicked moments; more cannot be bridged
_SAME_PHASE = 0.05  # strokes; flow is asked of frames this near to a clicked moment
_TOGETHER = 0.02  # strokes; moments nearer than this count as one
_MOST_PICTURES = 24
_WIDEST_PX = 1300
_FLOW_SD, _PHASE_SD = 0.005, 0.015  # of stature
_FLOW_REACH, _RETURN_PX = 0.045, 0.8  # of stature; px between a point and its way there and back


@dataclass(frozen=True, eq=False)
class Placed:
    """Clicked frames: (F,) frame numbers, phases, and places (F, P, 2) steadied, NaN if none."""

    frames: NDArray[np.intp]
    phase: FloatArray
    at_px: FloatArray


def placed(observed: Observed, clicks: Sequence[Click]) -> Placed:
    """Sort the clicks on body points by the phase of their frames."""
    frame, point, place = click_rows(observed.time_s, clicks)
    body = (point < BODY_POINTS) & np.isfinite(observed.phase[frame])
    frames = np.unique(frame[body])
    frames = frames[np.argsort(np.mod(observed.phase[frames], 1.0))]
    at = np.full((len(frames), BODY_POINTS, 2), np.nan)
    for f, p, xy in zip(frame[body], point[body], place[body], strict=True):
        at[np.flatnonzero(frames == f)[0], p] = xy
    if observed.steady is not None and len(frames):
        at = steadied(at, observed.steady[frames])
    return Placed(frames, np.mod(observed.phase[frames], 1.0), at)


def path_of(phase: FloatArray, at_px: FloatArray) -> Callable[[FloatArray], FloatArray] | None:
    """Closed path (N,) -> (N, 2) of one point through its clicked phases; None if too few."""
    from scipy.interpolate import CubicSpline

    known = known_places(at_px)
    order = np.argsort(phase[known])
    at, xy = phase[known][order], at_px[known][order]
    groups = np.concatenate(([0], np.cumsum(np.diff(at) > _TOGETHER))) if len(at) else at
    count = int(groups[-1]) + 1 if len(at) else 0
    if count < FEWEST_PHASES:
        return None
    mid = np.array([at[groups == g].mean() for g in range(count)])
    mean = np.array([xy[groups == g].mean(axis=0) for g in range(count)])
    around = np.append(mid, mid[0] + 1.0)
    if np.diff(around).max() > _LONGEST_GAP:
        return None
    spline = CubicSpline(around, np.vstack((mean, mean[:1])), bc_type="periodic")

    def path(wanted: FloatArray) -> FloatArray:
        inside = mid[0] + np.mod(wanted - mid[0], 1.0)
        return np.asarray(spline(inside), dtype=np.float64)

    return path


def carry(
    read: FrameReader,
    observed: Observed,
    clicks: Sequence[Click],
    cancelled: Callable[[], bool],
    progress: Callable[[float], None],
) -> Observed:
    """Give observations with the clicked points carried to where nothing was read.

    Points without enough clicked moments of a stroke, and frames without a phase, stay as they are.
    """
    known = placed(observed, clicks)
    paths = [path_of(known.phase, known.at_px[:, p]) for p in range(BODY_POINTS)]
    if all(path is None for path in paths):
        return observed
    size = stature_px(np.concatenate((known.at_px, np.full((len(known.frames), 2, 2), np.nan)), 1))
    rough = np.full((len(observed.time_s), BODY_POINTS, 2), np.nan)
    inside = np.isfinite(observed.phase)
    for p, path in enumerate(paths):
        if path is not None:
            rough[inside, p] = path(observed.phase[inside])
    flowed = _flow(read, observed, known, rough, size, cancelled, progress)
    return _written(observed, rough, flowed, size)


def _written(observed: Observed, rough: FloatArray, flowed: FloatArray, size: float) -> Observed:
    """Put carried points, steadied, into a copy of the observations where these have none."""
    carried = replace(
        observed,
        xy_px=observed.xy_px.copy(), sd_px=observed.sd_px.copy(), source=observed.source.copy(),
    )  # fmt: skip
    empty = ~known_places(observed.xy_px[:, :BODY_POINTS])
    for places, sd, source in (
        (rough, _PHASE_SD, Source.PHASE),
        (flowed, _FLOW_SD, Source.FLOW),
    ):
        frames, points = np.nonzero(known_places(places) & empty)
        carried.xy_px[frames, points] = unsteadied(places, observed.steady)[frames, points]
        carried.sd_px[frames, points] = sd * size
        carried.source[frames, points] = source
    return carried


def _flow(
    read: FrameReader, observed: Observed, known: Placed, rough: FloatArray, size: float,
    cancelled: Callable[[], bool], progress: Callable[[float], None],
) -> FloatArray:  # fmt: skip
    """Places (T, P, 2), steadied, by flow from the clicked frame of the same phase."""
    time_s, phase = observed.time_s, observed.phase
    out = np.full_like(rough, np.nan)
    pictures = _pictures(read, time_s, known)
    if not pictures:
        return out
    index = {float(t): i for i, t in enumerate(time_s)}
    keys = np.array(sorted(pictures))
    step = float(np.median(np.diff(time_s)))
    for at_s, image in walk(
        read, (float(time_s[0]), float(time_s[-1]) + step), cancelled, progress
    ):
        t = index.get(at_s)
        if t is None or not np.isfinite(phase[t]):
            continue
        gap = np.abs(np.mod(phase[t] - known.phase[keys] + 0.5, 1.0) - 0.5)
        k = int(keys[np.argmin(gap)])
        if gap.min() > _SAME_PHASE or known.frames[k] == t:
            continue
        out[t] = _one(observed, known, rough, pictures[k], (k, t), image, size)
    return out


def _pictures(read: FrameReader, time_s: FloatArray, known: Placed) -> dict[int, Image]:
    pictures: dict[int, Image] = {}
    rows = np.arange(len(known.frames))
    if len(rows) > _MOST_PICTURES:
        rows = rows[np.linspace(0, len(rows) - 1, _MOST_PICTURES).astype(int)]
    for k in rows:
        found = frame_at(read, float(time_s[known.frames[k]]))
        if found is not None:
            pictures[int(k)] = _shrunk(found[1])[0]
    return pictures


def _shrunk(image: Image) -> tuple[Image, float]:
    factor = -(-image.shape[1] // _WIDEST_PX)
    return shrunk(image, factor), 1.0 / factor


def _one(
    observed: Observed, known: Placed, rough: FloatArray, key: Image,
    pair: tuple[int, int], image: Image, size: float,
) -> FloatArray:  # fmt: skip
    """Places (P, 2), steadied, in frame t of what was clicked in picture k."""
    cv2 = opencv()
    k, t = pair
    small, scale = _shrunk(image)
    from_ = int(known.frames[k])
    start = known.at_px[k]
    guess = start + rough[t] - rough[from_]
    there = np.full_like(start, np.nan)
    use = known_places(start) & known_places(guess)
    if not use.any():
        return there
    a = _seen(observed, from_, start[use]) * scale
    b = _seen(observed, t, guess[use]) * scale
    window = max(9, round(0.03 * size * scale)) | 1
    how = {"winSize": (window, window), "maxLevel": 2, "flags": cv2.OPTFLOW_USE_INITIAL_FLOW}
    a4, b4 = (v.astype(np.float32).reshape(-1, 1, 2) for v in (a, b))
    forth, ok, _ = cv2.calcOpticalFlowPyrLK(key, small, a4, b4.copy(), **how)
    back, ok2, _ = cv2.calcOpticalFlowPyrLK(small, key, forth, a4.copy(), **how)
    returned = np.hypot(*(back - a4).reshape(-1, 2).T) < _RETURN_PX
    near = np.hypot(*(forth - b4).reshape(-1, 2).T) < _FLOW_REACH * size * scale
    good = returned & near & (ok.reshape(-1) == 1) & (ok2.reshape(-1) == 1)
    found = _to_first(observed, t, forth.reshape(-1, 2).astype(np.float64) / scale)
    there[use] = np.where(good[:, None], found, np.nan)
    return there


def _seen(observed: Observed, frame: int, at_px: FloatArray) -> FloatArray:
    if observed.steady is None:
        return at_px
    return unsteadied(at_px[None], observed.steady[frame : frame + 1])[0]


def _to_first(observed: Observed, frame: int, at_px: FloatArray) -> FloatArray:
    if observed.steady is None:
        return at_px
    return steadied(at_px[None], observed.steady[frame : frame + 1])[0]
