"""Which frame is most worth a click."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.body.following.bias import (
    CLICK_SD,
    BiasPrior,
    Moments,
    covariance,
    doubt_covariance,
)
from analysis.body.following.estimate import Posterior
from analysis.body.following.observed import BODY_POINTS
from analysis.body.following.proportions import index
from analysis.body.track import POINTS
from analysis.signals.signal import FloatArray

# Angles a coach reads: the corner in the middle; the trunk is the line from hip to shoulder.
CORNERS = (
    ("ankle", "knee", "hip"),
    ("knee", "hip", "shoulder"),
    ("shoulder", "elbow", "wrist"),
)
TRUNK = ("hip", "shoulder")
_CANDIDATES, _WATCHED = 60, 150  # frames tried, and frames at which the angles are watched
_WORTH = 0.10  # a point is asked for if it brings this share of the best point's gain


@dataclass(frozen=True)
class NextClick:
    """Where a person helps most.

    Attributes
    ----------
    time_s : of the frame, seconds of the film
    points : to place there, the most helpful first
    before_rad, after_rad : root mean square uncertainty of the angles now, and with these clicks
    """

    time_s: float
    points: tuple[str, ...]
    before_rad: float
    after_rad: float

    @property
    def gain_rad(self) -> float:
        """How much surer the angles get."""
        return self.before_rad - self.after_rad


def next_click(known: Posterior, near_s: tuple[float, float] | None = None) -> NextClick | None:
    """Name the frame whose points, placed by hand, make the angles of all frames surest.

    Parameters
    ----------
    near_s : only frames between these times, seconds of the film

    Returns
    -------
    None where no angle is known, or nothing is left to place.
    """
    time_s = known.track.time_s
    gradients = _gradients(known)
    watched = _some(np.flatnonzero(np.isfinite(gradients).all(axis=(1, 2))), _WATCHED)
    allowed = ~known.clicked[:, :BODY_POINTS].all(axis=1)
    if near_s is not None:
        allowed &= (time_s >= near_s[0]) & (time_s <= near_s[1])
    tried = _some(np.flatnonzero(allowed), _CANDIDATES)
    if len(watched) == 0 or len(tried) == 0:
        return None
    left, saved = _variances(known, watched, tried)
    # Angle variance (A,) is a weighted sum of the points' variances; so is what a click saves.
    share = gradients[watched] ** 2
    before2 = (share * left[:, None, :]).sum(axis=2).mean()
    by_point = np.einsum("wap,cwp->cp", share, saved) / (share.shape[0] * share.shape[1])
    by_point = np.where(known.clicked[tried, :BODY_POINTS], 0.0, by_point)
    best = int(np.argmax(by_point.sum(axis=1)))
    gains = by_point[best]
    order = [int(p) for p in np.argsort(-gains) if gains[p] > _WORTH * gains.max()]
    if not order:
        return None
    after2 = max(before2 - float(gains[order].sum()), 0.0)
    names = tuple(POINTS[p] for p in order)
    return NextClick(float(time_s[tried[best]]), names, float(before2**0.5), after2**0.5)


def angle_sd(known: Posterior) -> FloatArray:
    """Standard deviation (T, 4), rad, of the angles at knee, hip and elbow and of the trunk."""
    sd = known.track.sd_px[:, None, :BODY_POINTS]
    return np.sqrt(np.square(_gradients(known) * np.where(np.isfinite(sd), sd, np.inf)).sum(axis=2))


def _some(rows: np.ndarray, count: int) -> np.ndarray:
    if len(rows) <= count:
        return rows
    return rows[np.linspace(0, len(rows) - 1, count).astype(int)]


def _gradients(known: Posterior) -> FloatArray:
    """How far (T, angles, P) each angle turns for a pixel of each point, rad; NaN if unknown."""
    xy = known.track.xy_px[:, :BODY_POINTS]
    out = np.zeros((len(xy), len(CORNERS) + 1, BODY_POINTS))
    for k, (a, b, c) in enumerate(CORNERS):
        to_a = _turn(xy[:, index(a)] - xy[:, index(b)])
        to_c = _turn(xy[:, index(c)] - xy[:, index(b)])
        out[:, k, index(a)] = np.hypot(*to_a.T)
        out[:, k, index(c)] = np.hypot(*to_c.T)
        out[:, k, index(b)] = np.hypot(*(to_a - to_c).T)
    turn = np.hypot(*_turn(xy[:, index(TRUNK[1])] - xy[:, index(TRUNK[0])]).T)
    out[:, -1, index(TRUNK[0])] = out[:, -1, index(TRUNK[1])] = turn
    return out


def _turn(gap: FloatArray) -> FloatArray:
    """Gradient (T, 2) of the direction of vectors (T, 2)."""
    far2 = np.maximum(np.square(gap).sum(axis=1), 1e-6)
    return np.stack((-gap[:, 1], gap[:, 0]), axis=1) / far2[:, None]


def _variances(
    known: Posterior, watched: np.ndarray, tried: np.ndarray
) -> tuple[FloatArray, FloatArray]:
    """Variance (W, P) left of the bias, and what a click on each frame saves of it (C, W, P)."""
    left = np.empty((len(watched), BODY_POINTS))
    saved = np.empty((len(tried), len(watched), BODY_POINTS))
    for p in range(BODY_POINTS):
        moments, prior, size = known.moments[p], known.priors[p], known.stature_px
        clicked = moments.at(np.flatnonzero(known.clicked[:, p]))
        at, of = moments.at(watched), moments.at(tried)
        noise = (CLICK_SD * size) ** 2
        between = _left(prior, size, at, of, clicked, noise)
        own = _diagonal(prior, size, of, clicked, noise)
        saved[:, :, p] = (between**2).T / (own + noise)[:, None]
        left[:, p] = _diagonal(prior, size, at, clicked, noise) + known.spare_px2[watched, p]
    return left, saved


def _both(prior: BiasPrior, size: float, a: Moments, b: Moments) -> FloatArray:
    return covariance(prior, size, a, b) + doubt_covariance(prior, a, b)


def _left(
    prior: BiasPrior, size: float, a: Moments, b: Moments, clicked: Moments, noise: float
) -> FloatArray:
    """Covariance (A, B) given the clicks so far."""
    whole = _both(prior, size, a, b)
    if len(clicked.time_s) == 0:
        return whole
    among = _both(prior, size, clicked, clicked) + noise * np.eye(len(clicked.time_s))
    known: FloatArray = _both(prior, size, a, clicked) @ np.linalg.solve(
        among, _both(prior, size, clicked, b)
    )
    return whole - known


def _diagonal(
    prior: BiasPrior, size: float, a: Moments, clicked: Moments, noise: float
) -> FloatArray:
    """Variance (A,) given the clicks so far."""
    whole = (prior.whole * size) ** 2 + a.doubt_px**2
    if len(clicked.time_s) == 0:
        return whole
    among = _both(prior, size, clicked, clicked) + noise * np.eye(len(clicked.time_s))
    reach = _both(prior, size, a, clicked)
    return np.maximum(whole - (reach * np.linalg.solve(among, reach.T).T).sum(axis=1), 0.0)
