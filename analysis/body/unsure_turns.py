"""Turns in an unclear picture, placed anew by how other drives go on from theirs.

A turn is timed by the drive just beside it (`turns.py`). Where the picture is unclear there, as in
the first second of a coarse film, one turn may be a tenth of a second late. The same drive is seen
better further on: each height it comes to says when it turned, by how long others took to there.
A drive that is clearly seen and goes differently is never touched: that is how it was rowed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.signals.signal import FloatArray

# Heights of a drive above its turn, as shares of the usual way.
HEIGHTS: Final = (0.08, 0.2, 0.35, 0.5, 0.65, 0.8)
# A turn is unsure where the way's deviation within so long is so many times the usual one.
NEAR_S: Final = 0.2
UNSURE_TIMES: Final = 1.9
FEWEST: Final = 4  # other turns of a kind, that say how drives go on
_LEAST_SD_S: Final = 0.01  # by which drives of one athlete differ in any case
# A turn that is where other drives put it, within so many deviations, is left where it was seen.
_AGREES: Final = 2.0
# What does not move as a body moves is often further off than its deviation.
_FURTHER: Final = 3.0


@dataclass(frozen=True)
class PlacedTurn:
    """A turn: when, and how sure in s where it is less sure than others (else 0)."""

    time_s: float
    sd_s: float


def sure_turns(
    time_s: FloatArray, calm: FloatArray, sd: FloatArray, turns_s: FloatArray, way: float
) -> list[PlacedTurn]:
    """Place the turns of one kind that are unsure by the drives of the others.

    Parameters
    ----------
    time_s, calm, sd : (N,) the way without its jitter, rising after each turn, and its deviation
    turns_s : (S,) when each turn was seen, ascending
    way : the usual one
    """
    kept = [PlacedTurn(float(turn_s), 0.0) for turn_s in turns_s]
    usual = float(np.median(sd)) if len(sd) else 0.0
    near = [sd[np.abs(time_s - turn_s) <= NEAR_S] for turn_s in turns_s]
    unsure = np.array([len(one) > 0 and one.max() > UNSURE_TIMES * usual for one in near])
    if not unsure.any() or (~unsure).sum() < FEWEST or not usual > 0.0:
        return kept
    took = np.array([_took(time_s, calm, float(turn_s), way) for turn_s in turns_s])
    speeds = np.array([_speed(row, way) for row in took])
    usual_took = np.nanmedian(took[~unsure], axis=0)
    spread = 1.4826 * np.nanmedian(np.abs(took[~unsure] - usual_took), axis=0)
    for i in np.flatnonzero(unsure):
        slower = float(np.clip(np.nanmedian(speeds[~unsure]) / speeds[i], 0.7, 1.5))
        said = turns_s[i] + took[i] - slower * usual_took
        own = _own_sd(time_s, sd, speeds[i], turns_s[i] + took[i])
        kept[i] = _placed(float(turns_s[i]), said, spread, own)
    return kept


def _took(time_s: FloatArray, calm: FloatArray, turn_s: float, way: float) -> FloatArray:
    """How long after its turn a drive comes to each of `HEIGHTS`, s; NaN where it does not."""
    after = np.flatnonzero((time_s > turn_s - NEAR_S) & (time_s < turn_s + 2.0))
    found = np.full(len(HEIGHTS), np.nan)
    if len(after) < 3:
        return found
    begin = after[: max(int((time_s[after] < turn_s + NEAR_S).sum()), 1)]
    low = int(begin[calm[begin].argmin()])
    for k, share in enumerate(HEIGHTS):
        level = calm[low] + share * way
        beyond = np.flatnonzero(calm[low : after[-1] + 1] >= level)
        if len(beyond) and beyond[0] > 0:
            i = low + int(beyond[0])
            part = (level - calm[i - 1]) / (calm[i] - calm[i - 1])
            found[k] = time_s[i - 1] + part * (time_s[i] - time_s[i - 1]) - turn_s
    return found


def _speed(took: FloatArray, way: float) -> float:
    """Between the last heights of a drive, in the way's unit a second."""
    return float((HEIGHTS[-1] - HEIGHTS[-3]) * way / max(took[-1] - took[-3], 1e-3))


def _own_sd(time_s: FloatArray, sd: FloatArray, speed: float, at_s: FloatArray) -> FloatArray:
    """How far off in time the heights may be, by the way's deviation there: s."""
    known = np.where(np.isfinite(at_s), at_s, time_s[0])
    more = np.maximum(np.interp(known, time_s, sd) - float(np.median(sd)), 0.0)
    own: FloatArray = _FURTHER * more / max(speed, 1e-9)
    return own


def _placed(seen_s: float, said: FloatArray, spread: FloatArray, own: FloatArray) -> PlacedTurn:
    sd = np.hypot(np.hypot(spread, _LEAST_SD_S), own)
    known = np.isfinite(said) & np.isfinite(sd)
    if not known.any():
        return PlacedTurn(seen_s, 0.0)
    weight = 1.0 / np.square(sd[known])
    at_s = float(np.average(said[known], weights=weight))
    # Heights of one drive err together: no surer than the best of them, nor than they agree.
    apart = float(np.sqrt(np.average(np.square(said[known] - at_s), weights=weight)))
    sd_s = float(np.hypot(sd[known].min(), apart))
    return PlacedTurn(seen_s if abs(at_s - seen_s) < _AGREES * sd[known].min() else at_s, sd_s)
