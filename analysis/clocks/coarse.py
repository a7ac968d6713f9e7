"""Every lag at which footage and force could lie, roughly: correlation over all of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.trace_signal import TraceSignal

FloatArray = NDArray[np.float64]

STEP_S = 0.04
SHORTEST_COMMON_S = 4.0
SLOW_WAVES_S = 8.0  # what changes more slowly than this in a sound is not a stroke


@dataclass(frozen=True)
class Lags:
    """How well two signals agree at each lag.

    Attributes
    ----------
    offset_s : (L,) video s at which the trace reads zero
    agree : (L,) correlation over the common part, -1 to 1
    common_s : (L,) length of the common part
    """

    offset_s: FloatArray
    agree: FloatArray
    common_s: FloatArray


def picture_on_grid(time_s: FloatArray, travel: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Motion of frames as motion of each step of an even clock: start s and (n,) values."""
    grid = np.arange(time_s[0], time_s[-1], STEP_S)
    way = np.interp(grid, time_s, np.cumsum(travel))
    return grid[:-1], np.diff(way)


def trace_on_grid(signal: TraceSignal) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Steps of the handle, and of the wheel, on the same kind of clock; unknown steps are 0."""
    grid = np.arange(signal.time_s[0], signal.time_s[-1], STEP_S)
    known = np.interp(grid[:-1] + 0.5 * STEP_S, signal.time_s, signal.known.astype(float)) > 0.99
    handle = np.diff(np.interp(grid, signal.time_s, signal.travel)) * known
    wheel = without_slow_waves(np.interp(grid[:-1] + 0.5 * STEP_S, signal.time_s, signal.wheel))
    return grid[:-1], handle, wheel * known


def sound_on_grid(time_s: FloatArray, level: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Loudness of each band on an even clock, slow changes taken off: start s and (n, B)."""
    grid = np.arange(time_s[0], time_s[-1], STEP_S)
    middle = grid[:-1] + 0.5 * STEP_S
    bands = []
    for band in level.T:
        even = without_slow_waves(np.interp(middle, time_s, _smooth(band, time_s)))
        spread = 1.4826 * float(np.median(np.abs(even))) + 1e-6
        bands.append(np.clip(even / spread, -3.0, 3.0))
    return grid[:-1], np.stack(bands, axis=1)


def _smooth(values: FloatArray, time_s: FloatArray) -> FloatArray:
    from scipy.ndimage import uniform_filter1d

    step = float(time_s[1] - time_s[0])
    out: FloatArray = uniform_filter1d(values, max(1, round(0.08 / step)), mode="nearest")
    return out


def without_slow_waves(values: FloatArray) -> FloatArray:
    """Take off a running mean over `SLOW_WAVES_S`."""
    from scipy.ndimage import uniform_filter1d

    size = min(len(values), round(SLOW_WAVES_S / STEP_S))
    slow: FloatArray = uniform_filter1d(values, max(1, size), mode="nearest")
    return values - slow


def correlate(
    video_start_s: float, seen: FloatArray, trace_start_s: float, said: FloatArray
) -> Lags:
    """Correlate two signals of one step at every lag with enough in common."""
    from scipy.signal import fftconvolve

    back = said[::-1]
    ones_seen, ones_said = np.ones(len(seen)), np.ones(len(said))
    product = fftconvolve(seen, back)
    seen_energy = fftconvolve(seen**2, ones_said[::-1])
    said_energy = fftconvolve(ones_seen, back**2)
    count = np.minimum(
        np.minimum(np.arange(1, len(product) + 1), np.arange(len(product), 0, -1)),
        min(len(seen), len(said)),
    )
    # Where nearly nothing happens in the common part, nothing can be said about it.
    floor_seen = 0.05 * float((seen**2).mean()) * count
    floor_said = 0.05 * float((said**2).mean()) * count
    scale = np.sqrt(np.maximum(seen_energy, floor_seen) * np.maximum(said_energy, floor_said))
    agree = product / np.maximum(scale, 1e-300)
    offset_s: FloatArray = (
        video_start_s
        - trace_start_s
        + STEP_S * (np.arange(len(product), dtype=np.float64) - len(said) + 1)
    )
    enough = count * STEP_S >= min(SHORTEST_COMMON_S, 0.9 * STEP_S * min(len(seen), len(said)))
    return Lags(offset_s[enough], np.clip(agree[enough], -1.0, 1.0), count[enough] * STEP_S)


def peaks(lags: Lags, sign: int, most: int, apart_s: float) -> list[int]:
    """Lags that agree better than those around them, best first by agreement and length."""
    value = sign * lags.agree
    inner = (value[1:-1] > value[:-2]) & (value[1:-1] >= value[2:]) & (value[1:-1] > 0.1)
    at = np.flatnonzero(inner) + 1
    worth = value[at] * np.sqrt(np.minimum(lags.common_s[at], 60.0))
    chosen: list[int] = []
    for i in at[np.argsort(-worth)].tolist():
        if all(abs(lags.offset_s[i] - lags.offset_s[j]) >= apart_s for j in chosen):
            chosen.append(i)
        if len(chosen) == most:
            break
    return chosen
