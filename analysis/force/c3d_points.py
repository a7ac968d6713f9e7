"""The handle's way out of the points that a C3D motion recording follows.

A marker on the handle says how far it is from the flywheel better than anything made up from the
force. It is taken only where its label says handle, its unit is told, it moves as far as a handle
does, and the force says which way is the drive.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.force.columns import FORCE_WORDS, HANDLE_WORDS, POSITION_WORDS

FloatArray = NDArray[np.float64]

METRES: Final = {"m": 1.0, "cm": 0.01, "mm": 0.001}
REACH_M: Final = (0.3, 2.5)  # of a handle, from catch to finish
FEWEST: Final = 50  # frames
LONGEST_HIDDEN_S: Final = 0.2  # that is bridged by a straight line
LEAST_ALONG: Final = 0.9  # share of all its motion that lies along its line
LEAST_AGREE: Final = 0.3  # between force and speed, for the force to say which way is the drive


def words_of(label: str) -> frozenset[str]:
    """The words of a label, in lower case."""
    return frozenset(re.findall(r"[^\W\d_]+", label.casefold()))


def handle_points(labels: Sequence[str]) -> list[int]:
    """Which points are of the handle, by their labels: one, or both its ends."""
    named = [i for i, label in enumerate(labels) if words_of(label) & HANDLE_WORDS]
    return named if len(named) <= 2 else []


def force_channel(headings: Sequence[str]) -> int | None:
    """Which analog channel is the force, None where that is not plain; none has a position."""
    words = [words_of(heading) for heading in headings]
    if any(each & POSITION_WORDS for each in words):
        return None
    named = [i for i, each in enumerate(words) if each & FORCE_WORDS]
    return named[0] if len(named) == 1 else None


def handle_way(
    seen: NDArray[np.floating[Any]], unit: str, force: FloatArray, rate_hz: float
) -> FloatArray | None:
    """How far the handle is along its line, growing away from the flywheel.

    Parameters
    ----------
    seen : (frames, points, 4) of the handle: place in `unit`, and below 0 where it was not seen
    force : (frames,) the force at each frame, any unit
    rate_hz : frames a second

    Returns
    -------
    (frames,) metres; None where it is no handle's way, or was hidden for too long.
    """
    if unit not in METRES or not len(seen) or len(force) != len(seen):
        return None
    there = (seen[:, :, 3] >= 0.0).all(axis=1) & np.isfinite(seen).all(axis=(1, 2))
    hidden_s = _longest_hidden(there) / rate_hz
    if there.sum() < FEWEST or hidden_s > LONGEST_HIDDEN_S or not np.isfinite(force).all():
        return None
    place = seen[:, :, :3].astype(float).mean(axis=1) * METRES[unit]
    calm = place[there] - np.median(place[there], axis=0)
    _left, size, lines = np.linalg.svd(calm, full_matrices=False)
    if size[0] ** 2 < LEAST_ALONG * float((size**2).sum()):
        return None
    along = calm @ lines[0]
    low, high = np.percentile(along, (1.0, 99.0))
    if not REACH_M[0] <= high - low <= REACH_M[1]:
        return None
    at = np.arange(len(seen)) / rate_hz
    way: FloatArray = np.interp(at, at[there], along)
    agree = float(np.corrcoef(np.gradient(way), force)[0, 1]) if force.std() > 0.0 else 0.0
    if abs(agree) < LEAST_AGREE:
        return None
    return way - low if agree > 0.0 else high - way


def _longest_hidden(there: NDArray[np.bool_]) -> int:
    """The longest run of frames in which it was not seen."""
    at = np.flatnonzero(np.concatenate(([True], there, [True])))
    return int(np.diff(at).max()) - 1
