"""What became of what an athlete was told, as a bundle takes it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from analysis.body.order import Order
from analysis.following_up.follow import Followed
from analysis.force.trace import FloatArray
from app.review.parts.sending import LAST_TIME, SendingPlan
from app.review.parts.state import ReviewState


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
class Earlier:
    """The earlier review, from whose film its stroke is shown, its faces hidden as it says."""

    state: ReviewState
    path: Path


@dataclass(frozen=True)
class LastTime:
    """What became of what an athlete was told.

    Attributes
    ----------
    rowed_on : ISO date of last time, "" where it is not known
    rows : what was prescribed then, each with its outcome
    unlike : the two were rowed so differently that nothing can be compared
    means : mean curve and mean curve, None where one is not at hand
    orders : the order of movement then and now, None where one is not known
    earlier : the review of last time, None where it is not at hand
    """

    rowed_on: str = ""
    rows: tuple[Followed, ...] = ()
    unlike: bool = False
    means: MeanPair | None = None
    orders: tuple[Order, Order] | None = None
    earlier: Earlier | None = None

    @property
    def says_something(self) -> bool:
        """Whether there is anything to show an athlete."""
        return bool(self.rows) or (
            not self.unlike and not (self.means is None and self.orders is None)
        )


def sent_last_time(plan: SendingPlan, last: LastTime | None) -> LastTime | None:
    """Give what became of last time, None where the coach leaves it out."""
    return None if LAST_TIME in plan.left_out else last
