"""Curves over a drive by formula: no simulated athlete, no flywheel, no target of ours."""

from __future__ import annotations

import numpy as np

from analysis.signals.signal import FloatArray

PCT: FloatArray = np.linspace(0.0, 100.0, 101)
_X: FloatArray = PCT / 100.0


def trapezoid() -> FloatArray:
    """Up over 15 %, flat to 70 %, down: highest point 1."""
    curve: FloatArray = np.interp(_X, [0.0, 0.15, 0.7, 1.0], [0.0, 1.0, 1.0, 0.0])
    return curve


def half_sine(power: float = 1.0) -> FloatArray:
    """A half sine to a power."""
    curve: FloatArray = np.maximum(np.sin(np.pi * _X), 0.0) ** power
    return curve


def double_bump() -> FloatArray:
    """Two bells with a dip near 45 % between them."""
    bells = np.exp(-(((_X - 0.25) / 0.16) ** 2)) + 0.9 * np.exp(-(((_X - 0.65) / 0.19) ** 2))
    curve: FloatArray = bells * np.clip(np.minimum(_X / 0.10, (1.0 - _X) / 0.12), 0.0, 1.0)
    return curve / curve.max()


def early_peak() -> FloatArray:
    """A quarter sine up to 20 %, then a long fall."""
    up, down = np.sin(np.pi / 2 * _X / 0.2), np.cos(np.pi / 2 * (_X - 0.2) / 0.8)
    curve: FloatArray = np.where(_X < 0.2, up, np.maximum(down, 0.0))
    return curve


def snatched() -> FloatArray:
    """A half sine with a narrow bump at 80 %."""
    curve: FloatArray = half_sine() + 0.25 * np.exp(-(((_X - 0.8) / 0.04) ** 2)) * half_sine()
    return curve / curve.max()


def lost_early() -> FloatArray:
    """A half sine whose second half falls away and limps to the end."""
    curve: FloatArray = half_sine() * np.where(
        _X > 0.5, 1.0 - 0.75 * np.maximum(2 * _X - 1, 0) ** 0.6, 1.0
    )
    return np.maximum(curve, 0.0)


SHAPES = {
    "trapezoid": trapezoid(),
    "half sine": half_sine(),
    "half sine squared": half_sine(2.0),
    "blunt half sine": half_sine(0.7),
    "double bump": double_bump(),
    "early peak": early_peak(),
    "snatched": snatched(),
    "lost early": lost_early(),
}
