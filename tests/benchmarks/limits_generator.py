"""Sound rowing that straddles the limits, and prescribed work: formulas, no body, no flywheel.

Neither the simulated athlete nor the families of `findings_generator` are used, so that a limit is
not held against what it was set with. Spreads are those of trained rowers: 3.4 % of drive-mean
power to 4.8 % of peak power within one athlete (Sprague et al. 2007, Med Sci Sports Exerc 39(2)).
That single strokes of one athlete differ in amplitude and in timing at once is what functional
principal components show (Warmenhoven et al. 2019, Sports Biomech 18:10-27); its sizes are not at
hand, so those here are chosen. The peak lies at 30 to 45 % of the drive (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.signal import lfilter
from scipy.special import expit

from analysis.force.trace import FloatArray, ForceTrace

X: FloatArray = np.linspace(0.0, 1.0, 801)
SHAPES: Final = ("two-sines", "blunt", "sigmoids", "gamma")
TRAVEL_M: Final = 1.4
# Stretches of a session as a coach writes it: strokes, rate, share of full pressure.
PRESCRIBED: Final[dict[str, tuple[tuple[int, float, float], ...]]] = {
    "pyramid": ((20, 20, 0.80), (20, 24, 0.86), (20, 28, 0.94), (20, 24, 0.86), (20, 20, 0.80)),
    "10 easy 10 hard": ((10, 18, 0.60), (10, 26, 1.0)) * 3,
    "10 easy 10 hard at one rate": ((10, 22, 0.62), (10, 22, 1.0)) * 3,
    "start and settle": ((6, 40, 1.05), (12, 36, 1.0), (40, 30, 0.85)),
    "race": ((6, 42, 1.08), (14, 37, 1.0), (60, 32, 0.88), (20, 38, 1.0)),
    "down-ladder": ((20, 30, 1.0), (20, 26, 0.86), (20, 22, 0.74), (20, 18, 0.64)),
    "cool-down": ((25, 22, 0.75), (25, 20, 0.60), (25, 18, 0.46)),
}


def shape(kind: str, peak: float) -> FloatArray:
    """A sound curve with its peak at a share of the drive."""
    if kind == "sigmoids":
        curve = expit((X - 0.36 * peak) / 0.055) * expit((0.55 + 0.5 * peak - X) / 0.085)
        curve -= np.interp(X, [0, 1], curve[[0, -1]])
    elif kind == "gamma":  # x^a (1 - x)^b peaks at a / (a + b)
        peak = max(peak, 0.34)  # earlier it is a hard catch
        a = 2.1 * peak
        curve = X**a * (1 - X) ** (a * (1 - peak) / peak)
    else:
        up, down = np.clip(X / peak, 0, 1), np.clip((1 - X) / (1 - peak), 0, 1)
        curve = np.where(peak > X, np.sin(np.pi / 2 * up), np.sin(np.pi / 2 * down))
        curve = curve ** (0.8 if kind == "blunt" else 1.0)
    curve = curve.clip(0)
    return curve / curve.max()


@dataclass(frozen=True)
class Rowing:
    """How a piece is rowed.

    Attributes
    ----------
    plan : stretches of strokes, rate a minute and share of full pressure
    spread : of the impulse from stroke to stroke, a share
    alike : what a stroke keeps of what the one before it was off
    halfway : when the handle is half way home, share of the recovery; None: no position
    halfway_sd : its spread from stroke to stroke
    loss : share of the pressure lost in a straight line
    noise : share of the peak
    """

    plan: tuple[tuple[int, float, float], ...] = ((30, 24.0, 0.9),)
    kind: str = "two-sines"
    peak: float = 0.38
    spread: float = 0.04
    alike: float = 0.2
    halfway: float | None = None
    halfway_sd: float = 0.012
    loss: float = 0.0
    noise: float = 0.005
    hz: float = 100.0
    peak_n: float = 640.0


def row(how: Rowing, seed: int) -> ForceTrace:
    """Draw a piece."""
    rng = np.random.default_rng([seed, 4711])
    rates = np.repeat([r for _, r, _ in how.plan], [n for n, _, _ in how.plan])
    level = np.repeat([p for _, _, p in how.plan], [n for n, _, _ in how.plan])
    count = len(rates)
    drives = (1.13 - 0.0115 * rates) * (1 + 0.012 * rng.normal(size=count))
    cycles = 60.0 / rates * (1 + 0.013 * rng.normal(size=count))
    off = lfilter([1.0], [1.0, -how.alike], rng.normal(size=count + 40))[40:]
    off *= how.spread * (1 - how.alike**2) ** 0.5
    impulse = level * np.linspace(1.0, 1.0 - how.loss, count) * (1 + off)
    heights = impulse * np.median(drives) / drives
    starts = 1.5 + np.concatenate(([0.0], np.cumsum(cycles[:-1])))
    time_s = np.arange(round((starts[-1] + cycles[-1] + 1.0) * how.hz)) / how.hz
    force_n, position_m = np.zeros(len(time_s)), np.zeros(len(time_s))
    curve = shape(how.kind, how.peak)
    for i in range(count):
        bent = X + 0.012 * rng.normal() * np.sin(np.pi * X)  # earlier or later by some percent
        own = np.interp(bent, X, curve) * (1 + 0.012 * rng.normal() * np.cos(np.pi * X))
        end = starts[i] + drives[i]
        now = slice(*np.searchsorted(time_s, [starts[i], end]))
        share = (time_s[now] - starts[i]) / drives[i]
        force_n[now] += how.peak_n * heights[i] * np.interp(share, X, own)
        position_m[now] = TRAVEL_M * (3 * share**2 - 2 * share**3)
        home = slice(*np.searchsorted(time_s, [end, starts[i] + cycles[i]]))
        u = (time_s[home] - end) / (cycles[i] - drives[i])
        place = (how.halfway or 0.5) + how.halfway_sd * rng.normal()
        position_m[home] = TRAVEL_M * (1.0 - _home(u, place))
    force_n += 9.0 + rng.normal(0.0, how.noise * how.peak_n, len(time_s))
    return ForceTrace(time_s, force_n, position_m if how.halfway is not None else None)


def _home(u: FloatArray, place: float) -> FloatArray:
    """Share of the way home: soft ends, and half of it done at a place of the time."""
    even = np.interp(u, [0.0, 0.06, 0.94, 1.0], [0.0, 0.03, 0.97, 1.0])
    inner = np.clip((u - 0.1) / 0.8, 0, 1)
    return np.clip(even - 4 * inner * (1 - inner) * 0.8 * (place - 0.5), 0, 1)


def steady(seed: int) -> Rowing:
    """A sound, steady piece whose figures lie at the limits, not away from them."""
    rng = np.random.default_rng([seed, 99])
    return Rowing(
        plan=((int(rng.integers(14, 61)), float(rng.uniform(18, 32)), 0.9),),
        kind=str(rng.choice(SHAPES)),
        peak=float(rng.uniform(0.30, 0.45)),
        spread=float(rng.uniform(0.034, 0.048)),
        alike=float(rng.uniform(0.0, 0.5)),
        halfway=float(rng.normal(0.50, 0.008)),
        loss=float(rng.uniform(0.0, 0.04)),
        noise=float(rng.uniform(0.0, 0.015)),
        hz=float(rng.choice([50.0, 100.0, 200.0])),
    )


def prescribed(name: str, seed: int) -> Rowing:
    """Prescribed work by its name, rowed with the usual spread."""
    how = steady(seed)
    return Rowing(
        plan=PRESCRIBED[name], kind=how.kind, peak=how.peak, spread=how.spread, alike=how.alike,
        halfway=how.halfway, loss=0.0, noise=how.noise, hz=how.hz,
    )  # fmt: skip
