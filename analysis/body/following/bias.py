"""What a reader of points gets wrong again and again, learnt from points placed by hand.

A detector's error is mostly bias: it puts a joint where it is not, much the same in every stroke.
The bias of each point and axis is taken as a Gaussian process of three parts: one constant, one
that returns with the stroke, one that lasts an instant. A prior wider than what was measured lets
a few clicks swing the track further than the detector was ever wrong.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

# Of stature: what two networks usually state of a coordinate (they are 1.8 % apart); the prior was
# measured where they did. Networks of one family may agree and both be wrong: of a labelled
# stranger's points, on which they agree well, 95 % intervals narrowed by it held 83 % only.
# So agreement makes nothing surer; disagreement makes it up to half less sure.
USUAL_SD, _LEAST_SURE = 0.0174, 1.5
CLICK_SD = 0.005  # of stature; of a point placed by hand


@dataclass(frozen=True)
class BiasPrior:
    """How wrong a reader is before anything was clicked; standard deviations, shares of stature.

    Attributes
    ----------
    constant, periodic, local : of the three parts
    width : how quickly the periodic part changes within a stroke
    local_s : how long the local part lasts, s
    """

    constant: float
    periodic: float
    local: float
    width: float = 0.8
    local_s: float = 0.3

    @property
    def whole(self) -> float:
        """All parts together."""
        return float(np.sqrt(self.constant**2 + self.periodic**2 + self.local**2))


DETECTOR = BiasPrior(0.012, 0.010, 0.003)
# A point carried over from clicked frames has no constant bias; it slides along cloth.
CARRIED = BiasPrior(0.003, 0.007, 0.005)


@dataclass(frozen=True, eq=False)
class Moments:
    """Instants: time (N,) s, phase (N,) strokes or NaN, doubt (N,) px beyond the prior."""

    time_s: FloatArray
    phase: FloatArray
    doubt_px: FloatArray

    def at(self, rows: NDArray[np.intp]) -> Moments:
        """Give some of the instants."""
        return Moments(self.time_s[rows], self.phase[rows], self.doubt_px[rows])

    def still_at_turns(self) -> Moments:
        """Let the phase stand still at whole and half strokes, and what returns with it too.

        A bias that changes while a point turns would be a shift of the turn in time.
        """
        still = self.phase - np.sin(4.0 * np.pi * self.phase) / (4.0 * np.pi)
        return Moments(self.time_s, still, self.doubt_px)


def covariance(prior: BiasPrior, size_px: float, a: Moments, b: Moments) -> FloatArray:
    """Covariance (A, B) of the bias between instants, px^2; doubt left out."""
    lag = a.time_s[:, None] - b.time_s[None, :]
    local = prior.local**2 * np.exp(-0.5 * (lag / prior.local_s) ** 2)
    periodic = prior.periodic**2 * _same_phase(prior, a, b)
    whole: FloatArray = size_px**2 * (prior.constant**2 + periodic + local)
    return whole


def doubt_covariance(prior: BiasPrior, a: Moments, b: Moments) -> FloatArray:
    """Covariance (A, B) that comes from strokes that tell different things, px^2."""
    shared = _same_phase(prior, a, b) ** 4
    doubt: FloatArray = a.doubt_px[:, None] * b.doubt_px[None, :] * shared
    return doubt


def _same_phase(prior: BiasPrior, a: Moments, b: Moments) -> FloatArray:
    """How alike (A, B) two instants are by their phase; unknown phase is like itself alone."""
    gap = a.phase[:, None] - b.phase[None, :]
    alike = np.exp(-2.0 * (np.sin(np.pi * gap) / prior.width) ** 2)
    itself = a.time_s[:, None] == b.time_s[None, :]
    return np.where(np.isfinite(gap), alike, itself.astype(np.float64))


@dataclass(frozen=True, eq=False)
class Bias:
    """What was learnt of one point's bias at N instants.

    Attributes
    ----------
    offset_px : (N, 2) to be added to the readings
    variance_px2 : (N,) of each coordinate that is left
    """

    offset_px: FloatArray
    variance_px2: FloatArray


def learn(
    prior: BiasPrior,
    size_px: float,
    everywhere: Moments,
    clicked: Moments,
    missing_px: FloatArray,
    noise_px2: FloatArray,
) -> Bias:
    """Learn one point's bias from clicks.

    Parameters
    ----------
    everywhere : the N instants it is wanted at
    clicked : the C instants clicked
    missing_px : (C, 2) clicked place minus what the reader said
    noise_px2 : (C,) variance of that difference besides the bias
    """
    prior_px2 = np.full(len(everywhere.time_s), (prior.whole * size_px) ** 2)
    prior_px2 = prior_px2 + everywhere.doubt_px**2
    if len(clicked.time_s) == 0:
        return Bias(np.zeros((len(prior_px2), 2)), prior_px2)
    noise_px2 = _tolerant(prior, size_px, missing_px, noise_px2)
    among = covariance(prior, size_px, clicked, clicked)
    across = covariance(prior, size_px, everywhere, clicked)
    offset = across @ np.linalg.solve(among + np.diag(noise_px2), missing_px)
    doubtful = among + doubt_covariance(prior, clicked, clicked) + np.diag(noise_px2)
    reach = across + doubt_covariance(prior, everywhere, clicked)
    told = (reach * np.linalg.solve(doubtful, reach.T).T).sum(axis=1)
    floor = (0.3 * prior.local * size_px) ** 2
    return Bias(offset, np.maximum(prior_px2 - told, floor))


def as_agreed(
    left_px2: FloatArray, prior: BiasPrior, size_px: float, read_sd_px: FloatArray
) -> FloatArray:
    """Variance of what is left of a bias by how far the networks agree in this film: (N,) px^2.

    What clicks have taught stays as they taught it.

    Parameters
    ----------
    left_px2 : (N,) as `learn` gives it
    read_sd_px : of the readings of the point, as the networks' disagreement puts it
    """
    # The middle of the surest third: those of the frames that both networks were asked in.
    stated = float(np.percentile(read_sd_px, 100.0 / 6.0)) / (USUAL_SD * size_px)
    times = float(np.clip(stated, 1.0, _LEAST_SURE))
    untaught = np.minimum(left_px2 / (prior.whole * size_px) ** 2, 1.0)
    agreed: FloatArray = left_px2 * (1.0 + (times**2 - 1.0) * untaught)
    return agreed


def _tolerant(
    prior: BiasPrior, size_px: float, missing_px: FloatArray, noise_px2: FloatArray
) -> FloatArray:
    """Let clicks that contradict the prior count for less: the reader was lost, not biased."""
    usual = 3.0 * np.sqrt((prior.whole * size_px) ** 2 + noise_px2)
    times = np.hypot(missing_px[:, 0], missing_px[:, 1]) / usual
    more = np.maximum(times**2 - 1.0, 0.0) * (prior.whole * size_px) ** 2
    tolerant: FloatArray = noise_px2 + more
    return tolerant
