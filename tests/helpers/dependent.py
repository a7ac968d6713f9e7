"""Rows of strokes that depend on each other in several ways; each of unit variance."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

Rows = NDArray[np.float64]
# What the strokes before leave of themselves, by name; slow wander is made otherwise.
LAWS: Final[dict[str, tuple[float, ...]]] = {
    "unrelated": (),
    "AR(1) 0.3": (0.3,),
    "AR(1) 0.6": (0.6,),
    "AR(2) 0.3 0.3": (0.3, 0.3),
    "AR(2) 0.2 0.4": (0.2, 0.4),
    "AR(2) 0.9 -0.4": (0.9, -0.4),
    "AR(2) 0.5 0.3": (0.5, 0.3),
}
# Share of the variance that wanders, over how many strokes, and how.
WANDERS: Final[dict[str, tuple[float, int, str]]] = {
    "10 % wander over 20": (0.1, 20, "law"),
    "20 % wander over 20": (0.2, 20, "law"),
    "20 % wander over 60": (0.2, 60, "law"),
    "20 % wave of 60": (0.2, 60, "wave"),
    "20 % mean of 25": (0.2, 25, "mean"),
    "20 % mean of 60": (0.2, 60, "mean"),
    "20 % levels of 30": (0.2, 30, "levels"),
    "20 % levels of 80": (0.2, 80, "levels"),
}
# Those with single strokes that are skewed instead of normal.
SKEWED: Final = ("20 % mean of 25", "20 % mean of 60", "20 % levels of 30", "20 % levels of 80")
KINDS: Final = (*LAWS, *WANDERS)
_FORGOTTEN = 400


def rows(kind: str, count: int, length: int, rng: np.random.Generator) -> Rows:
    """Draw rows of one kind: (count, length)."""
    if kind in LAWS:
        return _law(LAWS[kind], count, length, rng)
    share, over, how = WANDERS[kind]
    slow = _slow(how, over, count, length, rng)
    if kind in SKEWED:
        quick = (rng.gamma(4.0, 1.0, (count, length)) - 4.0) / 2.0
    else:
        quick = rng.normal(size=(count, length))
    return np.asarray((1.0 - share) ** 0.5 * quick + share**0.5 * slow)


def _slow(how: str, over: int, count: int, length: int, rng: np.random.Generator) -> Rows:
    if how == "wave":
        start = rng.uniform(0, 2 * np.pi, (count, 1))
        return np.asarray(2.0**0.5 * np.sin(2 * np.pi * np.arange(length) / over + start))
    if how == "mean":  # of so many unrelated strokes up to each
        drawn = rng.normal(size=(count, length + over - 1))
        summed = np.cumsum(np.pad(drawn, ((0, 0), (1, 0))), axis=1)
        return np.asarray((summed[:, over:] - summed[:, :-over]) / over**0.5)
    if how == "levels":  # one of two, left now and then
        left = np.cumsum(rng.random((count, length)) < 1.0 / over, axis=1)
        return np.asarray(rng.choice([-1.0, 1.0], (count, 1)) * (-1.0) ** left)
    return _law((float(np.exp(-1.0 / over)),), count, length, rng)


def _law(kept: tuple[float, ...], count: int, length: int, rng: np.random.Generator) -> Rows:
    noise = rng.normal(size=(count, length + _FORGOTTEN))
    drawn = np.asarray(lfilter([1.0], [1.0, *(-k for k in kept)], noise, axis=1))
    return drawn[:, _FORGOTTEN:] / _sd(kept)


def _sd(kept: tuple[float, ...]) -> float:
    """Standard deviation of the law with unit noise, from its answer to one stroke."""
    one = np.zeros(2000)
    one[0] = 1.0
    return float(np.sqrt((np.asarray(lfilter([1.0], [1.0, *(-k for k in kept)], one)) ** 2).sum()))
