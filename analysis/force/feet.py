"""The foot of a build-up under noise.

Near its start a build-up is taken as height times elapsed time to a power, from an unknown start.
For one stroke start, height and power are poorly known apart; but one athlete's strokes
resemble each other. So the spread of height and power is learnt from all strokes of the piece
(empirical Bayes by expectation maximisation; Efron & Morris 1973, J Am Stat Assoc 68:117-130)
and each stroke's crossing is the mean over all feet that its own samples allow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

POWERS: FloatArray = np.array([0.7, 1.0, 1.35, 1.8, 2.3, 3.0])
# Share of the peak reached 0.1 s after the start.
HEIGHTS: FloatArray = np.geomspace(0.05, 2.5, 20)
REFERENCE_S = 0.1
START_STEP_S = 0.003
# Starts tried, counted from where the pull is clearly under way.
EARLIEST_S, LATEST_S = -0.2, 0.04
# How far a true foot strays from the formula, as a share of the peak: keeps the fit modest.
MISFIT = 0.006
# Above the part the formula is meant for a sample says little more than that the rise has begun.
MISFIT_ABOVE = 0.3  # of what it stands above it
FINEST_STEP_S = 0.005  # samples closer than this are averaged first
ROUNDS = 3
FEWEST = 4


@dataclass(frozen=True)
class Foot:
    """Samples about one foot, time running upwards.

    Attributes
    ----------
    time_s : (n,) s
    values : (n,) force above rest as a share of the peak
    begin_s : where the pull is clearly under way
    noise : standard deviation of a value
    top : share of the peak up to which the formula is meant to hold
    """

    time_s: FloatArray
    values: FloatArray
    begin_s: float
    noise: float
    top: float = np.inf


def fit_feet(feet: Sequence[Foot], share: float) -> list[float | None]:
    """Find where each foot crosses a share of the peak; None where too few samples tell.

    Returns
    -------
    One time in seconds for each foot.
    """
    usable = [i for i, foot in enumerate(feet) if len(foot.time_s) >= FEWEST]
    found: list[float | None] = [None] * len(feet)
    if not usable:
        return found
    fits = [_evidence(feet[i], share) for i in usable]
    evidence = np.array([e for e, _ in fits])  # (F, powers x heights)
    at_s = np.array([a for _, a in fits])
    weights = _learn(evidence)
    for i, at in zip(usable, (weights * at_s).sum(axis=1), strict=True):
        found[i] = float(at)
    return found


def _learn(evidence: FloatArray) -> FloatArray:
    """Weights of every kind of foot for every stroke, (F, K), rows summing to 1."""
    kinds = evidence.shape[1]
    prior = np.full(kinds, 1.0 / kinds)
    weights = np.empty_like(evidence)
    for _ in range(ROUNDS):
        weights = np.exp(evidence + np.log(prior))
        weights /= weights.sum(axis=1, keepdims=True)
        # One stroke's worth of doubt: a kind nobody showed so far stays possible.
        prior = (weights.sum(axis=0) + 1.0 / kinds) / (len(evidence) + 1.0)
    return weights


def _evidence(foot: Foot, share: float) -> tuple[FloatArray, FloatArray]:
    """For each kind of foot: log likelihood over all starts, and the mean crossing; (K,) each."""
    time_s, values, variance = _thin(foot)
    starts = np.arange(EARLIEST_S, LATEST_S, START_STEP_S)
    elapsed = np.maximum(time_s[None, :] - foot.begin_s - starts[:, None], 0.0) / REFERENCE_S
    log_elapsed = np.log(np.maximum(elapsed, 1e-9))
    shapes = np.exp(POWERS[:, None, None] * log_elapsed[None])  # (powers, starts, n)
    cross = shapes @ (values / variance)
    square = (shapes * shapes) @ (1.0 / variance)
    heights = HEIGHTS[None, :, None]
    fit = heights * cross[:, None, :] - 0.5 * heights**2 * square[:, None, :]
    best = float(fit.max())
    likely = np.exp(fit - best)  # (powers, heights, starts)
    total = likely.sum(axis=-1) + 1e-300
    mean_start = (likely * starts).sum(axis=-1) / total
    delay = REFERENCE_S * (share / HEIGHTS[None, :]) ** (1.0 / POWERS[:, None])
    at_s = foot.begin_s + mean_start + delay
    return np.log(total).ravel(), at_s.ravel()


def _thin(foot: Foot) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Average samples that stand closer than the fit needs; their variance is given with them."""
    time_s, values = foot.time_s, foot.values
    step = float(np.median(np.diff(time_s)))
    every = int(FINEST_STEP_S / step) if step > 0.0 else 1
    if every < 2 or len(time_s) < FEWEST * every:
        every = 1
    else:
        n = len(time_s) // every * every
        time_s = time_s[-n:].reshape(-1, every).mean(axis=1)
        values = values[-n:].reshape(-1, every).mean(axis=1)
    misfit = MISFIT + MISFIT_ABOVE * np.maximum(values - foot.top, 0.0)
    return time_s, values, foot.noise**2 / every + misfit**2
