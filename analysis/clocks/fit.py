"""One line through what all strokes say, and how sure it is.

For stroke k seen by witness m:  video_k = offset + trace_k * (1 - drift) + bias_m + error.
The biases are unknown but small, so they are carried as unknowns with a spread of their own
(Bayesian linear regression with Gaussian priors): more strokes shrink the random error and never
the bias, and two witnesses are weighed by what each can be trusted with.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.lags import Observed
from analysis.clocks.unknowns import Late

FloatArray = NDArray[np.float64]

# Clocks of consumer devices stay within some 200 ppm: a flat spread of that width.
DRIFT_SD = 115e-6
# Weights of Student's t with this many degrees of freedom: a stroke seen badly counts less.
T_FREEDOM = 4.0
ROUNDS = 8


@dataclass(frozen=True)
class Witness:
    """What one kind of signal says about the strokes.

    Attributes
    ----------
    name : "picture" or "sound"
    seen : its strokes
    late : how much later than the truth it is expected to be, and what it may be off by on all
        strokes alike
    least_s : its random error is never taken to be below this
    """

    name: str
    seen: Observed
    late: Late
    least_s: float


@dataclass(frozen=True)
class Fit:
    """A line and its spread.

    Attributes
    ----------
    offset_s : video s at trace zero
    slope : video seconds in a trace second
    covariance : (2, 2) of both
    residual_s : for each witness, (n,) what is left of each stroke
    spread_s : for each witness, its random error
    bias_s : for each witness, what it was found to be off by beyond what is expected of it
    """

    offset_s: float
    slope: float
    covariance: FloatArray
    residual_s: tuple[FloatArray, ...]
    spread_s: tuple[float, ...]
    bias_s: tuple[float, ...]

    def sd_at(self, trace_s: float) -> float:
        """Standard deviation of the video time of a trace time."""
        row = np.array((1.0, trace_s))
        return float(np.sqrt(row @ self.covariance @ row))


def fit_line(witnesses: Sequence[Witness], drift_sd: float = DRIFT_SD) -> Fit:
    """Fit offset and drift to what the witnesses saw.

    Parameters
    ----------
    witnesses : each with at least one stroke
    drift_sd : how far the trace's clock is expected to be off, as a share
    """
    trace_s = np.concatenate([w.seen.trace_s for w in witnesses])
    video_s = np.concatenate([w.seen.video_s - w.late.mean_s for w in witnesses])
    which = np.concatenate([np.full(len(w.seen), m) for m, w in enumerate(witnesses)])
    middle = float(trace_s.mean())
    columns = [np.ones(len(trace_s)), trace_s - middle]
    columns += [(which == m).astype(float) for m in range(len(witnesses))]
    design = np.stack(columns, axis=1)
    prior = np.zeros((len(columns), len(columns)))
    prior[1, 1] = drift_sd**-2
    prior[2:, 2:] = np.linalg.inv(_biases(witnesses))
    # Drift is what differs from a rate of one.
    wanted = video_s - (trace_s - middle)
    answer, covariance, residual, spread = _solve(design, prior, wanted, which, witnesses)
    shift = np.array(((1.0, -middle), (0.0, 1.0)))
    slope = 1.0 + float(answer[1])
    offset = float(answer[0]) - middle * slope
    parts = tuple(residual[which == m] for m in range(len(witnesses)))
    bias = tuple(answer[2:].tolist())
    return Fit(offset, slope, shift @ covariance[:2, :2] @ shift.T, parts, spread, bias)


def contradiction(witnesses: Sequence[Witness], fit: Fit) -> float:
    """By how many standard deviations picture and sound put the strokes apart.

    Counted is what is left after all that each is expected to be off by; 0 where one is alone.
    """
    names = [w.name for w in witnesses]
    if "picture" not in names or "sound" not in names:
        return 0.0
    seen, heard = names.index("picture"), names.index("sound")
    off = _biases(witnesses)
    var = float(off[seen, seen] + off[heard, heard] - 2.0 * off[seen, heard])
    apart = 0.0
    for m, way in ((seen, -1.0), (heard, 1.0)):
        apart += way * (_middle(fit.residual_s[m]) + fit.bias_s[m])
        var += fit.spread_s[m] ** 2 / len(witnesses[m].seen)
    return abs(apart) / var**0.5


def _biases(witnesses: Sequence[Witness]) -> FloatArray:
    """Covariance of what the witnesses may be off by: (W, W)."""
    shared = np.array([w.late.shared_s for w in witnesses])
    own = np.array([w.late.sd_s for w in witnesses]) ** 2 - shared**2
    out: FloatArray = np.outer(shared, shared) + np.diag(np.maximum(own, 1e-10))
    return out


def _solve(
    design: FloatArray,
    prior: FloatArray,
    wanted: FloatArray,
    which: NDArray,
    witnesses: Sequence[Witness],
) -> tuple[FloatArray, FloatArray, FloatArray, tuple[float, ...]]:
    middle = float(np.median(wanted))
    target = wanted - middle  # keeps the numbers small; the offset's prior is flat
    trust = np.ones(len(target))
    residual = target.copy()
    for m in range(len(witnesses)):
        # Witnesses may be off by more than strokes are: each starts from its own middle.
        residual[which == m] -= np.median(residual[which == m])
    spread: tuple[float, ...] = ()
    answer, covariance = np.zeros(design.shape[1]), np.eye(design.shape[1])
    for _ in range(ROUNDS):
        spread = tuple(_spread(residual[which == m], w.least_s) for m, w in enumerate(witnesses))
        sd = np.array(spread)[which]
        trust = (T_FREEDOM + 1.0) / (T_FREEDOM + (residual / sd) ** 2)
        weight = np.minimum(trust, 1.0) / sd**2
        alike = np.array([_alike(residual[which == m], s) for m, s in enumerate(spread)])[which]
        weight = weight / alike
        normal = (design * weight[:, None]).T @ design + prior
        covariance = np.linalg.inv(normal)
        answer = covariance @ (design.T @ (weight * target))
        residual = target - design @ answer
    answer = answer.copy()
    answer[0] += middle
    return answer, covariance, residual, spread


def _spread(residual: FloatArray, least_s: float) -> float:
    """Robust random error, held up by what is least to be expected where strokes are few."""
    n = len(residual)
    if n < 3:
        return 2.0 * least_s
    usual = _middle(np.abs(residual - _middle(residual)))
    middle = 1.4826 * usual * (n / (n - 2)) ** 0.5
    # Four strokes' worth of the usual error: a handful may agree by chance.
    return float(np.sqrt((n * middle**2 + 4.0 * least_s**2) / (n + 4.0)) + 1e-4)


def _middle(values: FloatArray) -> float:
    """The median of finite numbers; of a few dozen NumPy's own takes ten times as long."""
    ordered = np.sort(values)
    n = len(ordered)
    return 0.5 * float(ordered[(n - 1) // 2] + ordered[n // 2])


def _alike(residual: FloatArray, spread: float) -> float:
    """How many strokes count as one because neighbours err alike, 1 to 3."""
    if len(residual) < 6:
        return 1.3
    calm = np.clip(residual, -3.0 * spread, 3.0 * spread)
    calm = calm - calm.mean()
    energy = float((calm**2).sum())
    if energy <= 0.0:
        return 1.0
    kept = float((calm[1:] * calm[:-1]).sum()) / energy
    kept = min(max(kept, 0.0), 0.5)
    return (1.0 + kept) / (1.0 - kept)
