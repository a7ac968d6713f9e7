"""What stands between a force trace and what a camera has of it, and nobody told: as priors.

Each is a distribution with its source. They are averaged over: what a witness of the strokes is
expected to be off by on all of them alike follows from them, with its spread, and where two
witnesses share one of them the spreads hang together (`fit`). Uniform and normal ones alike go into
the line as their mean and variance; where one witness stands alone, `reach` says how far its 95 %
go.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

COMMON_PRACTICE = "common practice, no source"
NORMAL_REACH = 1.959964  # 95 % of a normal distribution lie within so many standard deviations


@dataclass(frozen=True)
class Prior:
    """What is held of a quantity before anything is measured.

    Attributes
    ----------
    mean, sd : in the unit of the quantity
    source : where it comes from
    """

    mean: float
    sd: float
    source: str

    @classmethod
    def between(cls, low: float, high: float, source: str) -> Prior:
        """Anything from one figure to another, all alike."""
        return cls(0.5 * (low + high), (high - low) / 12.0**0.5, source)

    def nodes(self) -> FloatArray:
        """(2, 5) figures and weights that average a function of something uniform."""
        at, weight = np.polynomial.legendre.leggauss(5)
        out: FloatArray = np.stack((self.mean + 3.0**0.5 * self.sd * at, 0.5 * weight))
        return out


# The hands gather the chain's speed for so long before it bites, s.
TAKE_UP_S = Prior.between(0.03, 0.25, COMMON_PRACTICE)
# How much earlier seat and trunk set off, and slow down, than the handle; below 0 the handle goes
# first, s.
BODY_LEAD_S = Prior(0.015, 0.024, COMMON_PRACTICE)
# How much of what is seen to move is body, the rest handle and arms.
BODY_SHARE = Prior.between(0.3, 0.9, COMMON_PRACTICE)
# How long before its 5 % force sets in is read from its 10 and 20 %; off by this share of it.
FOOT_SHARE = Prior(0.0, 0.5, "drawn pieces, docs/line-up.md")
# What else a picture may be off by: how hands gather speed, how the way home ends, how it is seen.
SEEN_S = Prior(0.0025, 0.006, "drawn pieces, docs/line-up.md")
IMPLIED_S = Prior(0.0, 0.012, "drawn pieces, docs/line-up.md")
# Loudness follows the wheel's speed by this, all on the way to the film's sound track included, s.
SOUND_LAG_S = Prior.between(0.0, 0.040, COMMON_PRACTICE)
# How much of that all sound of the film has: the way through the air (343 m/s) and the device.
TRACK_SHARE = Prior.between(0.0, 1.0, COMMON_PRACTICE)
# Chain and seat are heard before the wheel gathers speed; as measured on the simulated sound, s.
HEARD_EARLY_S = Prior.between(0.0, 0.011, "the simulated sound")
HEARD_S = Prior(0.0, 0.005, "drawn pieces, docs/line-up.md")


@dataclass(frozen=True)
class Late:
    """By how much a witness is expected to be late on all strokes alike.

    Attributes
    ----------
    mean_s, sd_s : expected, and the spread of what it may be
    shared_s : how much of the spread it has in common with all else that is on the sound track
    flat_s : how much of the spread is that of something uniform, which has no tails
    """

    mean_s: float
    sd_s: float
    shared_s: float = 0.0
    flat_s: float = 0.0


@dataclass(frozen=True)
class Heard:
    """What is held of the film's sound: of the wheel in it, and of any knock."""

    wheel: Late
    knock: Late


def body_late() -> Late:
    """By how much body and handle together are later than the handle alone."""
    lead, share = BODY_LEAD_S, BODY_SHARE
    mean = lead.mean * share.mean
    square = (lead.mean**2 + lead.sd**2) * (share.mean**2 + share.sd**2)
    return Late(-mean, float(np.sqrt(square - mean**2)))


def heard(track_s: float | None = None, sd_s: float = 0.0) -> Heard:
    """Average over how the sound's lag is shared between the way to the track and all else.

    Parameters
    ----------
    track_s, sd_s : how late the track was seen to be by something seen and heard, and how well
    """
    lag = SOUND_LAG_S.mean + 3.0**0.5 * SOUND_LAG_S.sd * _even(121)[:, None]
    share = TRACK_SHARE.mean + 3.0**0.5 * TRACK_SHARE.sd * _even(121)[None]
    track = lag * share
    weight = np.ones_like(track)
    if track_s is not None:
        weight = np.exp(-0.5 * ((track - track_s) / sd_s) ** 2) + 1e-12
    weight /= weight.sum()
    lag = np.broadcast_to(lag, track.shape)
    late, on_track = float((weight * lag).sum()), float((weight * track).sum())
    lag_sd = float(np.sqrt((weight * (lag - late) ** 2).sum()))
    track_sd = float(np.sqrt((weight * (track - on_track) ** 2).sum()))
    both = float((weight * (lag - late) * (track - on_track)).sum())
    wheel = Late(
        late - HEARD_EARLY_S.mean,
        float(np.sqrt(lag_sd**2 + HEARD_EARLY_S.sd**2 + HEARD_S.sd**2)),
        both / track_sd,
        SOUND_LAG_S.sd if track_s is None else 0.0,
    )
    return Heard(wheel, Late(on_track, track_sd, track_sd))


def reach(flat: float) -> float:
    """Standard deviations that 95 % of a normal and a uniform error together lie within.

    Parameters
    ----------
    flat : standard deviation of the uniform one as a share of both together
    """
    from scipy.optimize import brentq
    from scipy.special import ndtr

    if flat <= 0.0:
        return NORMAL_REACH
    flat = min(flat, 0.99)
    at = 3.0**0.5 * flat * _even(60)
    rest = (1.0 - flat**2) ** 0.5
    return float(brentq(lambda x: float(ndtr((x - at) / rest).mean()) - 0.975, 1.0, 2.2))


def _even(count: int) -> FloatArray:
    out: FloatArray = (2.0 * np.arange(count, dtype=np.float64) + 1.0) / count - 1.0
    return out
