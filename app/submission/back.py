"""The trend of the load on the low back, where a submission tells enough for it; else why not.

It needs both the force at the handle and the posture in the picture. It is an estimate and a trend
within one athlete; it never becomes a finding.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from app.submission.submission import LoadedSubmission

if TYPE_CHECKING:
    from analysis.body.back_trend import BackTrend
    from analysis.clocks.alignment import Alignment
    from analysis.force.piece import PieceAnalysis
    from app.submission.body import LoadedBody

Lack = Literal[
    "no_force", "no_body", "not_lined_up", "off_square", "no_stature", "few_points", "few_strokes"
]
# For the mass where nobody said it: the middle of what is called usual (body mass index), kg/m^2.
# It goes into weight and muscle alike, so a trend hardly hangs on it; see docs/measures.md.
USUAL_MASS_INDEX: Final = 22.5
FEWEST_STROKES: Final = 5
# In the coach's words; an athlete's page has its own.
SAID: Final[dict[Lack, str]] = {
    "no_force": "A trend of the load on the low back needs a recorded handle force.",
    "no_body": "A trend of the load on the low back needs the body followed in the film.",
    "not_lined_up": "A trend of the load on the low back needs film and force lined up.",
    "off_square": "No trend of the load on the low back: the camera stood too far off square.",
    "no_stature": "A trend of the load on the low back needs the athlete's stature.",
    "few_points": "No trend of the load on the low back: hip, shoulder or handle are known too "
    "seldom in the drives.",
    "few_strokes": f"A trend of the load on the low back needs {FEWEST_STROKES} whole strokes.",
}


@dataclass(frozen=True, eq=False)
class BackSeen:
    """What can be said of the load on the low back.

    Attributes
    ----------
    trend : None where it cannot be told; its `change` is known where it is not None
    lack : why not, "" where there is one
    """

    trend: BackTrend | None = None
    lack: Lack | Literal[""] = ""

    @property
    def why_not(self) -> str:
        """Why there is none, one sentence for the coach; "" where there is one."""
        return SAID[self.lack] if self.lack else ""


def back_seen(sent: LoadedSubmission) -> BackSeen:
    """Say how the estimated load ran over the longest section of the piece."""
    piece, body = sent.main_piece, sent.body
    if piece is None:
        return BackSeen(lack="no_force")
    if body is None:
        return BackSeen(lack="no_body")
    if not sent.clock.is_lined_up or not sent.clock.runs:
        return BackSeen(lack="not_lined_up")
    if body.refused:
        return BackSeen(lack="off_square")
    stature_m = body.analysis.stature_m
    if stature_m is None:
        return BackSeen(lack="no_stature")
    return _seen(piece, body, sent.clock.in_force, stature_m)


def _seen(
    piece: PieceAnalysis, body: LoadedBody, alignment: Alignment, stature_m: float
) -> BackSeen:
    import numpy as np

    from analysis.body.angles import METRES
    from analysis.body.back_load import Athlete
    from analysis.body.back_trend import back_trend

    series = body.series
    if series.length_unit != METRES:
        return BackSeen(lack="no_stature")
    if not np.isfinite(series.values("hip_height_m")).any():
        return BackSeen(lack="few_points")  # levers are taken within each frame, or not at all
    athlete = Athlete(USUAL_MASS_INDEX * stature_m**2, stature_m, 0.0)
    trend = back_trend(piece, series, alignment, athlete)
    if trend is None:
        return BackSeen(lack="few_points")
    whole = [s for s in piece.strokes if not s.remark]
    if len(whole) < FEWEST_STROKES:
        return BackSeen(lack="few_strokes")
    if trend.change is None or not np.isfinite(trend.relative).all():
        return BackSeen(lack="few_points")
    return BackSeen(trend)
