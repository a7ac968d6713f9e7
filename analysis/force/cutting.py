"""Where on a trace somebody is pulling: stretches of samples, pulls, and the level of rest."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.force.trace import FloatArray, ForceTrace

# A stretch ends where the recorder was silent this long; shorter silences are bridged.
# Common practice, no source: half of the shortest recovery at 40 strokes per minute is 0.35 s.
SPLIT_S = 0.4
# Low-pass of the signal pulls are looked for on. Common practice, no source: the build-up of a
# hard stroke takes 0.15 s or more, which 8 Hz follows.
LOW_PASS_HZ = 8.0
# A pull is where force stands above this share of the pulls around it. Low enough that a give
# in the drive does not split it, high enough that the cord's pull on the recovery is not one.
PULL_SHARE = 0.15
# In a long pause nothing is typical: there, half of the piece's strong pulls stands in. Light
# paddling is above that. Common practice, no source.
FAINT_SHARE = 0.5
# Between hard strokes a light one hides below that. Where none was found for longer than this many
# usual periods, one is looked for that stands clear of the hard pulls by so much, and above this
# share of them and so many times the noise. The cord's pull and tugs of 20 N stay below. Common
# practice, no source.
LIGHT_PERIODS = 1.25
LIGHT_CLEAR_S = 0.15
LIGHT_SHARE = 0.05
LIGHT_NOISES = 4.0
MERGE_S = 0.2  # two pulls closer than this are one; the shortest recovery is three times that
SHORTEST_PULL_S = 0.12
ROUNDING = 1e-9  # of the largest reading: what is no more than that is the computer's, not force
NEIGHBOURHOOD_S = 24.0  # over which "the pulls around it" are looked at, half to each side


@dataclass(frozen=True)
class Stretch:
    """Samples without a silence, put on an even clock for filtering.

    Attributes
    ----------
    time_s, force_n : (n,) the samples as recorded, s and N
    start_s, step_s : the even clock
    smooth_n : (m,) low-passed force on the even clock, N
    rest_n : (m,) slowly changing level between pulls, N
    first : index of the first sample in the whole trace
    """

    time_s: FloatArray
    force_n: FloatArray
    start_s: float
    step_s: float
    smooth_n: FloatArray
    rest_n: FloatArray
    first: int


@dataclass(frozen=True)
class Pull:
    """A stretch of force clearly above rest, in seconds, with its low-passed peak above rest."""

    start_s: float
    end_s: float
    peak_s: float
    peak_n: float
    rest_n: float


def stretches(trace: ForceTrace) -> Iterator[Stretch]:
    """Yield the stretches of a trace that are long enough to hold a pull."""
    if len(trace.time_s) < 2:
        return
    step = trace.interval_s
    cuts = np.flatnonzero(np.diff(trace.time_s) > max(SPLIT_S, 1.5 * step)) + 1
    edges = np.concatenate(([0], cuts, [len(trace.time_s)]))
    for first, last in pairwise(edges):
        time_s, force_n = trace.time_s[first:last], trace.force_n[first:last]
        if len(time_s) < 4 or time_s[-1] - time_s[0] < SHORTEST_PULL_S:
            continue
        yield _stretch(time_s, force_n, step, int(first))


def _stretch(time_s: FloatArray, force_n: FloatArray, step: float, first: int) -> Stretch:
    even_s = np.arange(time_s[0], time_s[-1] + 0.5 * step, step)
    smooth = low_pass(np.interp(even_s, time_s, force_n), step, LOW_PASS_HZ)
    return Stretch(time_s, force_n, float(time_s[0]), step, smooth, rest_level(smooth, step), first)


def low_pass(values: FloatArray, step_s: float, cut_hz: float) -> FloatArray:
    """Second-order Butterworth run forwards and backwards: no delay. Shape as given.

    As `scipy.signal` designs and runs it, which the tests hold; loading that library takes longer
    than most recordings take to read.
    """
    nyquist = 0.5 / step_s
    if cut_hz >= 0.9 * nyquist or len(values) < 16:
        return values
    # The bilinear transform of 1 / (s^2 + sqrt(2) s + 1), its corner put where it belongs.
    corner = math.tan(math.pi * cut_hz * step_s)
    whole = 1.0 + math.sqrt(2.0) * corner + corner**2
    gain = corner**2 / whole
    back = (1.0, 2.0 * (corner**2 - 1.0) / whole, 2.0 * (1.0 + corner**2) / whole - 1.0)
    pad = min(len(values) - 1, 15)
    before = 2.0 * values[0] - values[pad:0:-1]
    after = 2.0 * values[-1] - values[-2 : -pad - 2 : -1]
    once = _run(np.concatenate((before, values, after)), gain, back)
    return _run(once[::-1], gain, back)[::-1][pad : len(values) + pad]


def _run(values: FloatArray, gain: float, back: tuple[float, float, float]) -> FloatArray:
    """One run of a low-pass of second order that had stood at the first value for ever."""
    from scipy.linalg.lapack import dtbtrs

    first = values[0]
    fed = gain * (
        values
        + 2.0 * np.concatenate(([first], values[:-1]))
        + np.concatenate(([first, first], values[:-2]))
    )
    fed[0] -= (back[1] + back[2]) * first
    fed[1] -= back[2] * first
    # What each value owes to the two before it is a triangle with three bands.
    bands = np.repeat(np.array(back)[:, None], len(values), axis=1)
    passed: FloatArray = dtbtrs(bands, fed, uplo="L")[0].reshape(-1)
    return passed


def rest_level(smooth: FloatArray, step_s: float) -> FloatArray:
    """Level of rest under a force signal, following slow drift: (n,) N.

    A low percentile over the neighbourhood: drives fill less than two thirds of any of it.
    """
    from scipy.ndimage import percentile_filter, uniform_filter1d

    every = max(1, round(0.1 / step_s))
    thin = smooth[::every]
    size = min(len(thin), max(3, round(NEIGHBOURHOOD_S / 2 / (every * step_s))))
    rest = percentile_filter(thin, 20.0, size=size, mode="nearest")
    rest = uniform_filter1d(rest, max(1, size // 2), mode="nearest")
    at = np.arange(len(smooth)) / every
    level: FloatArray = np.interp(at, np.arange(len(rest)), rest)
    return level


def _height(above: FloatArray, step_s: float) -> FloatArray:
    """Typical peak of the pulls around each sample: (n,) N, never faint against the trace's."""
    every = max(1, round(1.0 / step_s))  # one highest value a second
    n = -(-len(above) // every)
    padded = np.pad(above, (0, n * every - len(above)), mode="edge")
    tops = padded.reshape(n, every).max(axis=1)
    from scipy.ndimage import percentile_filter

    size = min(n, max(1, round(NEIGHBOURHOOD_S)))
    # One second in three holds a peak even at 18 strokes per minute: the 85th percentile is one.
    height = percentile_filter(tops, 85.0, size=size, mode="nearest")
    strong = float(np.percentile(tops, 98.0)) if n > 1 else float(tops.max())
    height = np.maximum(height, FAINT_SHARE * strong)
    level: FloatArray = np.interp(np.arange(len(above)) / every - 0.5, np.arange(n), height)
    return level


def find_pulls(stretch: Stretch) -> list[Pull]:
    """Find the pulls of a stretch, strong or weak, in order of time."""
    above = stretch.smooth_n - stretch.rest_n
    if above.max() <= ROUNDING * float(np.abs(stretch.smooth_n).max()):
        return []
    runs = _pulls_above(above, PULL_SHARE * _height(above, stretch.step_s), stretch.step_s)
    runs = sorted([*runs, *_light_pulls(above, runs, stretch.step_s)])
    pulls = []
    for start, end in runs:
        top = int(start + np.argmax(above[start:end]))
        pulls.append(
            Pull(
                stretch.start_s + start * stretch.step_s,
                stretch.start_s + (end - 1) * stretch.step_s,
                stretch.start_s + top * stretch.step_s,
                float(above[top]),
                float(stretch.rest_n[top]),
            )
        )
    return pulls


def _pulls_above(
    above: FloatArray, level_n: FloatArray | np.float64, step_s: float
) -> list[tuple[int, int]]:
    """Samples from and to of each pull that rises above a level."""
    starts, ends = _merge(*_runs(above > level_n), round(MERGE_S / step_s))
    found = []
    for start, end in zip(starts, ends, strict=True):
        # Counted from its own peak: noise that was merged in before or after falls away.
        top_n = above[start:end].max()
        own = np.flatnonzero(above[start:end] > PULL_SHARE * top_n)
        end, start = int(start + own[-1] + 1), int(start + own[0])
        if (end - start) * step_s >= SHORTEST_PULL_S:
            found.append((start, end))
    return found


def _light_pulls(
    above: FloatArray, runs: list[tuple[int, int]], step_s: float
) -> list[tuple[int, int]]:
    """Pulls too light beside the hard ones around them: looked for where a stroke is missing."""
    if len(runs) < 2:
        return []
    edges = [0, *(sample for run in runs for sample in run), len(above)]
    begin, end = np.array(edges[::2]), np.array(edges[1::2])
    usual = float(np.median(np.diff([start for start, _ in runs])))
    clear = round(LIGHT_CLEAR_S / step_s)
    strong_n = float(np.percentile([above[a:b].max() for a, b in runs], 75.0))
    found: list[tuple[int, int]] = []
    for first, last in zip(begin, end, strict=True):
        if last - first < LIGHT_PERIODS * usual:
            continue
        inside = slice(int(first) + clear, int(last) - clear)
        part = above[inside]
        if len(part) < 2:
            continue
        low_n, middle_n = np.percentile(part, [10.0, 50.0])
        least_n = max(LIGHT_SHARE * strong_n, LIGHT_NOISES * float(middle_n - low_n))
        level_n = np.maximum(PULL_SHARE * _height(part, step_s), 0.5 * least_n)
        found += [
            (a + inside.start, b + inside.start)
            for a, b in _pulls_above(part, level_n, step_s)
            if part[a:b].max() > least_n
        ]
    return found


def _runs(mask: NDArray[np.bool_]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    edges = np.diff(np.concatenate(([0], mask.astype(np.int8), [0])))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)


def _merge(
    starts: NDArray[np.intp], ends: NDArray[np.intp], gap: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    if len(starts) < 2:
        return starts, ends
    apart = (starts[1:] - ends[:-1]) > gap
    return starts[np.concatenate(([True], apart))], ends[np.concatenate((apart, [True]))]
