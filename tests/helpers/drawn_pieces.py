"""Pieces of strokes from plain formulas, for what a recorder or an athlete may do to them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.trace import FloatArray, ForceTrace

Curve = Callable[[FloatArray], FloatArray]


def trapezoid(x: FloatArray) -> FloatArray:
    """Up within a sixth of the drive, level, down over its last third."""
    return np.interp(x, (0.0, 1.0 / 6.0, 2.0 / 3.0, 1.0), (0.0, 1.0, 0.95, 0.0))


def lopsided(x: FloatArray) -> FloatArray:
    """A half sine that leans to the catch, to a power."""
    return np.sin(np.pi * np.clip(x, 0.0, 1.0) ** 0.7) ** 1.2


def beta(x: FloatArray) -> FloatArray:
    """A beta curve with its peak at 40 % of the drive."""
    x = np.clip(x, 0.0, 1.0)
    return x**0.8 * (1.0 - x) ** 1.2 / (0.4**0.8 * 0.6**1.2)


def bent(x: FloatArray) -> FloatArray:
    """Straight pieces: a quick catch, a shoulder, a long way down."""
    return np.interp(x, (0.0, 0.1, 0.3, 0.55, 0.8, 1.0), (0.0, 0.7, 1.0, 0.85, 0.4, 0.0))


CURVES: tuple[Curve, ...] = (trapezoid, lopsided, beta, bent)


@dataclass(frozen=True)
class Pull:
    """One pull to be drawn: when it starts, how long it lasts, how hard it is."""

    start_s: float
    length_s: float
    peak_n: float


def row_of(count: int, rate_spm: float = 22.0, peak_n: float = 600.0, length_s: float = 0.9,
           start_s: float = 1.2) -> list[Pull]:  # fmt: skip
    """Equal pulls, one after the other."""
    return [Pull(start_s + i * 60.0 / rate_spm, length_s, peak_n) for i in range(count)]


def drawn(
    pulls: Sequence[Pull],
    curve: Curve = trapezoid,
    hz: float = 100.0,
    noise_n: float = 0.0,
    seed: int = 1,
    handle: bool = True,
) -> ForceTrace:
    """Draw pulls on a quiet recorder; the handle goes out 1.4 m and comes back before the next."""
    rng = np.random.default_rng(seed)
    end_s = max(p.start_s + p.length_s for p in pulls) + 2.0
    time_s = np.arange(round(end_s * hz)) / hz
    force_n = np.zeros(len(time_s))
    moved, at_m = [0.0], [0.0]
    for pull in sorted(pulls, key=lambda p: p.start_s):
        x = (time_s - pull.start_s) / pull.length_s
        inside = (x > 0.0) & (x < 1.0)
        force_n[inside] += pull.peak_n * curve(x[inside])
        moved += [pull.start_s, pull.start_s + pull.length_s, pull.start_s + 2.1 * pull.length_s]
        at_m += [0.0, 1.4, 0.0]
    force_n += rng.normal(0.0, noise_n, len(time_s)) if noise_n else 0.0
    position_m = np.interp(time_s, moved, at_m) if handle else None
    return ForceTrace(time_s, force_n, position_m)
