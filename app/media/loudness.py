"""How loud a voice is to the ear, and bringing it to one level (ITU-R BS.1770-4, EBU R 128)."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

# Common practice for speech that is heard on a telephone, no standard: louder than the -23 LUFS of
# broadcasting, with room for the peaks of a voice.
VOICE_LUFS: Final = -16.0
# EBU R 128: what a lossy codec may add must still fit under full scale.
PEAK_DBTP: Final = -1.0
# More than this only raises the noise of a room in which nobody spoke.
MOST_GAIN_DB: Final = 30.0
BLOCK_S: Final = 0.4  # BS.1770's gating block; nothing shorter has a loudness
_OVERSAMPLING = 4  # BS.1770-4 annex 2, for 48 kHz
_HOLD_S = 0.005
_ROUNDS = 8


def loudness_lufs(samples: NDArray[np.float64], sample_hz: int) -> float:
    """Integrated loudness of (N,) or (N, channels) samples in -1..1, LUFS; -inf for silence.

    A recording shorter than one block of 0.4 s is measured as if it went on alike.
    """
    import pyloudnorm

    block = math.ceil(BLOCK_S * sample_hz)
    if len(samples) == 0:
        return -math.inf
    if len(samples) < block:
        times = [math.ceil(block / len(samples))] + [1] * (samples.ndim - 1)
        samples = np.tile(samples, times)
    if not np.any(samples):
        return -math.inf
    # This class of filter gives the standard's own coefficients at 48 kHz, to all their digits.
    meter = pyloudnorm.Meter(sample_hz, filter_class="DeMan")
    return float(meter.integrated_loudness(samples.astype(np.float64)))


def true_peak_dbtp(samples: NDArray[np.float64]) -> float:
    """Highest level of (N,) samples between the samples too, dB of full scale (4 times finer)."""
    if not np.any(samples):
        return -math.inf
    return 20.0 * math.log10(float(_peaks(samples).max()))


def evened(samples: NDArray[np.float64], sample_hz: int) -> NDArray[np.float64]:
    """Bring (N,) mono samples in -1..1 to `VOICE_LUFS`, with no true peak over `PEAK_DBTP`.

    Peaks that would stick out are turned down over 5 ms instead of being cut off. What is nearly
    silence is raised by `MOST_GAIN_DB` at most.
    """
    before = loudness_lufs(samples, sample_hz)
    if not math.isfinite(before):
        return samples.astype(np.float64)
    gain_db = min(VOICE_LUFS - before, MOST_GAIN_DB)
    aim = before + gain_db
    loud = samples.astype(np.float64)
    for _ in range(_ROUNDS):  # turning peaks down costs loudness, which a little more gain returns
        loud = _limited(samples * 10.0 ** (gain_db / 20.0), sample_hz)
        miss = aim - loudness_lufs(loud, sample_hz)
        if abs(miss) < 0.05:
            break
        gain_db = min(gain_db + miss, MOST_GAIN_DB)
    return loud


def _limited(samples: NDArray[np.float64], sample_hz: int) -> NDArray[np.float64]:
    ceiling = 10.0 ** (PEAK_DBTP / 20.0)
    peaks = _peaks(samples)
    if peaks.max() <= ceiling:
        return samples
    from scipy.ndimage import convolve1d, minimum_filter1d

    width = round(_HOLD_S * sample_hz) | 1
    wanted = np.minimum(1.0, ceiling / np.maximum(peaks, ceiling))
    # The lowest gain within a window, smoothed over the same window, is never over what is wanted.
    held = minimum_filter1d(wanted, width, mode="nearest")
    smooth = np.hanning(width + 2)[1:-1]
    return samples * convolve1d(held, smooth / smooth.sum(), mode="nearest")


def _peaks(samples: NDArray[np.float64]) -> NDArray[np.float64]:
    """The highest level in each sample's own stretch of time, of the signal 4 times finer."""
    from scipy.signal import resample_poly

    fine = np.abs(resample_poly(samples, _OVERSAMPLING, 1))
    # A peak between two samples counts for both.
    own = fine.reshape(len(samples), _OVERSAMPLING).max(axis=1)
    return np.maximum(own, np.concatenate(([0.0], own[:-1])))
