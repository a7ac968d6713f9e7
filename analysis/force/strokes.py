"""Catches and finishes found on a force trace."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.force.trace import ForceTrace


@dataclass(frozen=True)
class Stroke:
    """One stroke, in seconds on the trace's clock.

    `next_catch_s` is None for a last stroke or one followed by a pause. `remark` says in plain
    words why a stroke should not be averaged ("half stroke", "samples missing", ...), "" if
    nothing is wrong with it.
    """

    index: int
    catch_s: float
    finish_s: float
    next_catch_s: float | None = None
    remark: str = ""


def find_strokes(trace: ForceTrace) -> tuple[Stroke, ...]:
    """Cut a trace into strokes."""
    raise NotImplementedError
