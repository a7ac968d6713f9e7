"""Line-ups as a search gives them, for tests of what is made of them."""

from __future__ import annotations

import numpy as np

from analysis.clocks.alignment import Alignment
from analysis.clocks.keeping_step import Step, Verdict
from analysis.clocks.matching import Candidate, LineUp


def laid(offsets_s: dict[float, float], verdict: Verdict = "lined up") -> LineUp:
    """A film over a force, in as many ways as there are offsets, each with its likelihood."""
    ways = tuple(Candidate(o, 0.0, share, 0.01) for o, share in offsets_s.items())
    sure = verdict == "lined up"
    alignment = Alignment(ways[0].offset_s, 0.0, 0.01, "by picture and sound", not sure)
    return LineUp(
        alignment, ways, 12, 1.0, "left", 0.0, 0.01, None, None, np.zeros(0), Step(), verdict
    )
