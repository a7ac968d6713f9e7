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
# Share of the variance that wanders, and over how many strokes; a number alone is a wave's length.
WANDERS: Final[dict[str, tuple[float, float, bool]]] = {
    "10 % wander over 20": (0.1, 20.0, False),
    "20 % wander over 20": (0.2, 20.0, False),
    "20 % wander over 60": (0.2, 60.0, False),
    "20 % wave of 60": (0.2, 60.0, True),
}
KINDS: Final = (*LAWS, *WANDERS)
_FORGOTTEN = 400


def rows(kind: str, count: int, length: int, rng: np.random.Generator) -> Rows:
    """Draw rows of one kind: (count, length)."""
    if kind in LAWS:
        return _law(LAWS[kind], count, length, rng)
    share, over, wave = WANDERS[kind]
    if wave:
        at = np.arange(length)
        start = rng.uniform(0, 2 * np.pi, (count, 1))
        slow = 2.0**0.5 * np.sin(2 * np.pi * at / over + start)
    else:
        slow = _law((float(np.exp(-1.0 / over)),), count, length, rng)
    quick = rng.normal(size=(count, length))
    return np.asarray((1.0 - share) ** 0.5 * quick + share**0.5 * slow)


def _law(kept: tuple[float, ...], count: int, length: int, rng: np.random.Generator) -> Rows:
    noise = rng.normal(size=(count, length + _FORGOTTEN))
    drawn = np.asarray(lfilter([1.0], [1.0, *(-k for k in kept)], noise, axis=1))
    return drawn[:, _FORGOTTEN:] / _sd(kept)


def _sd(kept: tuple[float, ...]) -> float:
    """Standard deviation of the law with unit noise, from its answer to one stroke."""
    one = np.zeros(2000)
    one[0] = 1.0
    return float(np.sqrt((np.asarray(lfilter([1.0], [1.0, *(-k for k in kept)], one)) ** 2).sum()))
