"""The flywheel in the sound: how loud each band of pitch is over time.

Which bands hold the flywheel and which hold talk or music is not decided here: that is known only
once the force says what to listen for (see `matching`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

STEP_S = 0.01
# Half an octave each: from above mains hum to where small microphones end.
BAND_EDGES_HZ = 150.0 * 2.0 ** (0.5 * np.arange(12))
_WINDOW_STEPS = 2  # each level looks at this many steps of sound


class SoundError(ValueError):
    """Sound in which nothing can be heard. The message is one sentence for the user."""


@dataclass(frozen=True)
class SoundSignal:
    """Loudness of each band.

    Attributes
    ----------
    time_s : (N,) video s of the middle of each stretch of sound, even
    level : (N, B) natural logarithm of the power in each band
    """

    time_s: FloatArray
    level: FloatArray


def measure_sound(
    chunks: Iterable[NDArray[np.float32]],
    rate_hz: float,
    start_s: float = 0.0,
    progress: Callable[[float], None] | None = None,
) -> SoundSignal:
    """Measure loudness by band.

    Parameters
    ----------
    chunks : mono sound in -1..1, in order and without gaps, cut anywhere
    rate_hz : samples per second
    start_s : video time of the first sample
    progress : called with the video time reached

    Raises
    ------
    SoundError
        Less than a second of sound, or silence.
    """
    step = round(rate_hz * STEP_S)
    window = _WINDOW_STEPS * step
    shape = np.hanning(window + 2)[1:-1].astype(np.float32)
    bands = _bands(window, rate_hz)
    rest = np.zeros(0, np.float32)
    levels: list[FloatArray] = []
    done = 0
    for chunk in chunks:
        rest = np.concatenate((rest, np.asarray(chunk, np.float32)))
        count = (len(rest) - window) // step + 1
        if count <= 0:
            continue
        pieces = np.lib.stride_tricks.sliding_window_view(rest, window)[: count * step : step]
        power = np.abs(np.fft.rfft(pieces * shape, axis=1)) ** 2
        levels.append(power @ bands)
        rest = rest[count * step :]
        done += count
        if progress is not None:
            progress(start_s + done * STEP_S)
    if done * STEP_S < 1.0:
        raise SoundError("The footage has less than a second of sound.")
    power = np.concatenate(levels)
    floor = 1e-4 * float(np.median(power.sum(axis=1))) / power.shape[1]
    if floor <= 0.0:
        raise SoundError("The footage has a sound track, but it is silent.")
    at_s: FloatArray = (
        start_s + np.arange(done, dtype=np.float64) * (step / rate_hz) + 0.5 * window / rate_hz
    )
    return SoundSignal(at_s, np.log(power + floor))


def _bands(window: int, rate_hz: float) -> FloatArray:
    """Which line of the spectrum belongs to which band: (lines, B)."""
    lines = np.fft.rfftfreq(window, 1.0 / rate_hz)
    edges = np.array([hz for hz in BAND_EDGES_HZ if hz < 0.5 * rate_hz])
    low, high = edges[:-1], edges[1:]
    inside = (lines[:, None] >= low) & (lines[:, None] < high)
    inside = inside[:, inside.any(axis=0)]
    return inside / inside.sum(axis=0)
