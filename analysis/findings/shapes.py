"""The drives of a piece as smooth curves, ready for the rules."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.force.piece import PieceAnalysis
from analysis.force.trace import FloatArray, ForceTrace
from analysis.measures.noise import drive_samples, noise_of
from analysis.sections.section import Section
from analysis.signals.stroke import Stroke

POINTS = 201
PCT: FloatArray = np.linspace(0.0, 100.0, POINTS)
# Cut-off of the smoothing: a give of a tenth of a second keeps its depth at the first; at the
# second, noise of 3 % of the peak no longer makes dips of its own. Common practice, no source.
CUT_OFF_HZ = (14.0, 9.0)
NOISE_RANGE = (0.004, 0.025)  # noise, share of the peak: quieter needs no smoothing
# Noise left in one stroke, as a share of its peak, above which neighbours are averaged.
NEIGHBOURS = ((0.006, 1), (0.012, 3))
MOST_NEIGHBOURS = 5
MOST_TIMES_SAMPLES = 20


@dataclass(frozen=True)
class Shapes:
    """S whole strokes of a piece.

    Attributes
    ----------
    strokes : those without a remark
    curves : (S, 201) force as a share of the stroke's peak, over drive time
    peak_n, impulse_ns : (S,)
    drive_s : (S,) from the catch to the finish
    noise : noise left in a curve, as a share of the peak
    together : how many neighbouring strokes each curve is the mean of
    """

    strokes: tuple[Stroke, ...]
    curves: FloatArray
    peak_n: FloatArray
    impulse_ns: FloatArray
    drive_s: FloatArray
    noise: float
    together: int
    trace: ForceTrace

    @property
    def count(self) -> int:
        """How many strokes there are."""
        return len(self.strokes)

    def of(self, section: Section) -> Shapes:
        """Those of one section."""
        return self.only(np.array([section.holds(stroke.index) for stroke in self.strokes]))

    def only(self, rows: NDArray[np.bool_]) -> Shapes:
        """Some of them: (S,) which."""
        return replace(
            self,
            strokes=tuple(s for s, kept in zip(self.strokes, rows, strict=True) if kept),
            curves=self.curves[rows],
            peak_n=self.peak_n[rows],
            impulse_ns=self.impulse_ns[rows],
            drive_s=self.drive_s[rows],
        )

    @property
    def mean_to_peak(self) -> FloatArray:
        """(S,) mean over the drive as a share of the peak."""
        return np.asarray(np.trapezoid(self.curves, dx=1.0 / (POINTS - 1), axis=1))


def blur(values: FloatArray, sample_hz: float, cut_off_hz: float) -> FloatArray:
    """Gaussian mean with half power at the cut-off.

    Not a sharper filter: those ring, and beside a steep catch the ringing would be a give.

    Parameters
    ----------
    values : (N,) evenly sampled
    """
    from scipy.ndimage import gaussian_filter1d

    smooth: FloatArray = gaussian_filter1d(values, blur_s(cut_off_hz) * sample_hz, mode="nearest")
    return smooth


def blur_s(cut_off_hz: float) -> float:
    """Standard deviation of the Gaussian, s: its gain exp(-2 (pi f s)**2) is 2**-0.5 there."""
    return float(np.sqrt(np.log(2.0)) / (2.0 * np.pi * cut_off_hz))


def drive_shapes(piece: PieceAnalysis) -> Shapes | None:
    """Smooth and stack the whole strokes of a piece; None when there is none."""
    trace = piece.trace
    strokes = tuple(s for s in piece.strokes if not s.remark)
    if not strokes:
        return None
    even_s, calm, left = _calm(trace, strokes)
    together = next((k for limit, k in NEIGHBOURS if left < limit), MOST_NEIGHBOURS)
    together = min(together, len(strokes))
    catch = np.array([s.catch_s for s in strokes])
    drive_s = np.array([s.finish_s for s in strokes]) - catch
    at = catch[:, None] + PCT / 100.0 * drive_s[:, None]
    force = np.interp(at, even_s, calm)
    impulse = np.asarray(np.trapezoid(force, dx=1.0 / (POINTS - 1), axis=1)) * drive_s
    curves = _with_neighbours(force, together)
    own_peak = force.max(axis=1)
    curves = curves / np.maximum(curves.max(axis=1), 1e-9)[:, None]
    return Shapes(
        strokes=strokes,
        curves=curves,
        peak_n=own_peak,
        impulse_ns=impulse,
        drive_s=drive_s,
        noise=left / together**0.5,
        together=together,
        trace=trace,
    )


def _calm(trace: ForceTrace, strokes: tuple[Stroke, ...]) -> tuple[FloatArray, FloatArray, float]:
    """Times and force without noise, and the noise that is left as a share of the peak."""
    noise_n, peak_n = _noise(trace, strokes)
    share = noise_n / peak_n
    step_s = trace.interval_s
    # A clock with a hole of days in it would make an even grid of any size.
    filled = trace.duration_s / step_s < MOST_TIMES_SAMPLES * len(trace.time_s)
    if share <= NOISE_RANGE[0] or not filled:
        return trace.time_s, trace.force_n, share
    even_s = np.arange(trace.time_s[0], trace.time_s[-1] + 0.5 * step_s, step_s)
    raw = np.interp(even_s, trace.time_s, trace.force_n)
    cut_off = float(np.interp(share, NOISE_RANGE, CUT_OFF_HZ))
    calm = blur(raw, 1.0 / step_s, cut_off)
    # White noise behind a Gaussian mean of many samples.
    kept = float(np.sqrt(step_s / (2.0 * np.sqrt(np.pi) * blur_s(cut_off))))
    return even_s, calm, share * min(1.0, kept)


def _noise(trace: ForceTrace, strokes: tuple[Stroke, ...]) -> tuple[float, float]:
    """Noise of the raw samples and a rough peak, N, medians over up to 40 strokes."""
    every = max(1, len(strokes) // 40)
    noise, peak = [], []
    for stroke in strokes[::every]:
        force = drive_samples(trace.force, stroke.catch_s, stroke.finish_s)[1]
        noise.append(noise_of(force[1:-1]))
        peak.append(float(force.max()))
    return float(np.median(noise)), max(float(np.median(peak)), 1e-9)


def _with_neighbours(force: FloatArray, together: int) -> FloatArray:
    """Mean of each row and its neighbours, `together` rows in all (fewer kinds at the ends)."""
    if together <= 1:
        return force
    from scipy.ndimage import uniform_filter1d

    mean: FloatArray = uniform_filter1d(force, together, axis=0, mode="nearest")
    return mean
