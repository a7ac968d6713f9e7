"""A force recording that is several, with long silences between: each is tried by itself.

A clock that jumps by a day or a year would need a signal of any size, and no film reaches over half
an hour of silence. So such a recording falls into parts, and the film belongs to one of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

LONGEST_SILENCE_S: Final = 1200.0  # longer than what is read of any film
MOST_PARTS: Final = 5
FEWEST_STROKES: Final = 2


def parts_of(
    trace: ForceTrace, strokes: Sequence[Stroke]
) -> list[tuple[ForceTrace, tuple[Stroke, ...]]]:
    """The parts of a recording between its long silences, on the clock of the whole.

    Where there are more than five, those with the most strokes.

    Returns
    -------
    The recording itself where no silence parts it.
    """
    silent = np.flatnonzero(np.diff(trace.time_s) > LONGEST_SILENCE_S) + 1
    if len(silent) == 0:
        return [(trace, tuple(strokes))]
    out = []
    for first, last in pairwise((0, *silent.tolist(), len(trace.time_s))):
        begin_s, end_s = trace.time_s[first], trace.time_s[last - 1]
        own = tuple(s for s in strokes if s.catch_s >= begin_s and s.finish_s <= end_s)
        if len(own) >= FEWEST_STROKES:
            out.append((_cut(trace, slice(first, last)), own))
    out.sort(key=lambda part: -len(part[1]))
    return out[:MOST_PARTS] or [(trace, tuple(strokes))]


def _cut(trace: ForceTrace, part: slice) -> ForceTrace:
    position = None if trace.position_m is None else trace.position_m[part]
    return ForceTrace(trace.time_s[part], trace.force_n[part], position, timed=trace.timed)
