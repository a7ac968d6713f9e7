"""What became of what an athlete was told, as a bundle takes it."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.following_up.follow import Followed
from analysis.force.trace import FloatArray
from app.review.parts.sending import LAST_TIME, SendingPlan


@dataclass(frozen=True)
class MeanPair:
    """Two mean drives over 0-100 % of their time.

    Attributes
    ----------
    then, now : (101,) in `unit`
    title : of the signal
    is_force : whether they are handle forces in newtons
    """

    then: FloatArray
    now: FloatArray
    title: str = "Force"
    unit: str = "N"
    is_force: bool = True


@dataclass(frozen=True)
class LastTime:
    """What became of what an athlete was told.

    Attributes
    ----------
    rowed_on : ISO date of last time, "" where it is not known
    rows : what was prescribed then, each with its outcome
    unlike : the two were rowed so differently that nothing can be compared
    means : mean curve and mean curve, None where one is not at hand
    """

    rowed_on: str = ""
    rows: tuple[Followed, ...] = ()
    unlike: bool = False
    means: MeanPair | None = None

    @property
    def says_something(self) -> bool:
        """Whether there is anything to show an athlete."""
        return bool(self.rows) or (self.means is not None and not self.unlike)


def sent_last_time(plan: SendingPlan, last: LastTime | None) -> LastTime | None:
    """Give what became of last time, None where the coach leaves it out."""
    return None if LAST_TIME in plan.left_out else last
