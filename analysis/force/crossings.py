"""Where a drive starts and ends: noisy force crossing a level, to a part of a sample."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.cutting import Pull, Stretch
from analysis.force.trace import FloatArray

SEARCH_S = 0.5  # how far outside a pull its edge is looked for
REST_S = 0.4  # the piece of recovery whose middle value is the level of rest


@dataclass(frozen=True)
class Edges:
    """Catch and finish of one pull, in seconds; open where the samples begin or end first."""

    catch_s: float
    finish_s: float
    open_start: bool = False
    open_end: bool = False


def cut_edges(stretch: Stretch, pulls: Sequence[Pull], share: float) -> list[Edges]:
    """Find where each pull crosses a share of its own peak, both counted from rest."""
    edges = []
    for i, pull in enumerate(pulls):
        earliest = pulls[i - 1].end_s if i else -np.inf
        latest = pulls[i + 1].start_s if i + 1 < len(pulls) else np.inf
        edges.append(_cut_one(stretch, pull, share, earliest, latest))
    return edges


def _cut_one(stretch: Stretch, pull: Pull, share: float, earliest: float, latest: float) -> Edges:
    begin = max(pull.start_s - SEARCH_S, earliest)
    end = min(pull.end_s + SEARCH_S, latest)
    time_s = stretch.time_s
    level_n = pull.rest_n + share * pull.peak_n
    first, top, last = np.searchsorted(time_s, [begin, pull.peak_s, end])
    top = min(int(top), len(time_s) - 1)
    catch_s = last_rise(time_s[first : top + 1], stretch.force_n[first : top + 1], level_n)
    after, force_n = time_s[top:last], stretch.force_n[top:last]
    finish_s = last_rise(-after[::-1], force_n[::-1], level_n)
    return Edges(
        float(time_s[first]) if catch_s is None else catch_s,
        float(time_s[max(top, last - 1)]) if finish_s is None else -finish_s,
        catch_s is None,
        finish_s is None,
    )


def last_rise(time_s: FloatArray, force_n: FloatArray, level_n: float) -> float | None:
    """Last upward crossing of a level before the end of the samples, interpolated; s or None."""
    below = np.flatnonzero(force_n < level_n)
    if len(below) == 0 or below[-1] + 1 >= len(force_n):
        return None
    i = int(below[-1])
    rise = force_n[i + 1] - force_n[i]
    return float(time_s[i] + (level_n - force_n[i]) / rise * (time_s[i + 1] - time_s[i]))
