"""The curve to row towards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analysis.force.curves import Axis
from analysis.force.trace import FloatArray

Hold = Literal["none", "equal"]


@dataclass(frozen=True)
class TargetCurve:
    """A target curve over 0-100 % of the drive.

    The shape rises from nothing at `start_pct`, reaches `level_n` at `build_up_end_pct`, stays
    to `plateau_end_pct` and falls to nothing at `decline_end_pct`. A freehand curve replaces
    that shape by points; then `level_n` is its highest force. `hold_equal` keeps the work (by
    length) or the impulse (by time) equal to the athlete's own, so that the level follows.

    Attributes
    ----------
    freehand : pairs of (percent, fraction of level 0-1), ascending in percent, or empty
    """

    axis: Axis = "time"
    start_pct: float = 0.0
    build_up_end_pct: float = 35.0
    plateau_end_pct: float = 65.0
    decline_end_pct: float = 100.0
    level_n: float = 500.0
    hold_equal: bool = True
    freehand: tuple[tuple[float, float], ...] = ()
    name: str = ""


def sample_target(target: TargetCurve) -> FloatArray:
    """Force of the target at 0, 1 ... 100 % of the drive: (101,) N."""
    raise NotImplementedError
