"""No target far above what the athlete rows without a yes."""

from __future__ import annotations

from collections.abc import Callable

from analysis.force.curves import CurveSet
from analysis.force.target import TargetCurve, sample_target
from analysis.force.target_proposal import PEAK_FACTOR, highest_peak, peak_bound
from app.window.tasks.message_line import Messages, Offer


class PeakQuestion:
    """Asks before a target above the bound is taken; until then the review keeps what it has."""

    def __init__(self, messages: Messages, take: Callable[[TargetCurve], None]) -> None:
        self._messages = messages
        self._take = take
        self._asked: TargetCurve | None = None

    def is_over(
        self, target: TargetCurve, curves: CurveSet | None, accepted: TargetCurve | None
    ) -> bool:
        """Say whether a target is above the bound and above what was already accepted.

        Parameters
        ----------
        accepted : the target of the review; what stands there was said yes to, or is of an
            earlier day
        """
        if curves is None:
            return False
        highest = peak_bound(highest_peak(curves))
        if accepted is not None and accepted.axis == target.axis:
            highest = max(highest, _peak(accepted))
        return _peak(target) > highest * (1.0 + 1e-9)

    def ask(
        self, target: TargetCurve, curves: CurveSet, lower: Callable[[float], TargetCurve]
    ) -> None:
        """Ask in the message line; either answer is one change of the review.

        Parameters
        ----------
        lower : gives the target within a highest force in N
        """
        own = highest_peak(curves)
        self._asked = target
        self._messages.warn(
            f"This target would peak at {_peak(target):.0f} N, more than {PEAK_FACTOR:g} times the"
            f" athlete's own highest {own:.0f} N; the target was left as it was.",
            Offer("Use it anyway", lambda: self._answer(target, target)),
            Offer("Lower it", lambda: self._answer(target, lower(peak_bound(own)))),
        )

    def forget(self) -> None:
        """The review goes on without an answer: an old button does nothing then."""
        self._asked = None

    def _answer(self, asked: TargetCurve, answer: TargetCurve) -> None:
        if self._asked is not asked:
            self._messages.say("The review has changed since; draw or drag the target again.")
            return
        self._take(answer)
        peak = _peak(answer)
        self._messages.say(f"The target peaks at {peak:.0f} N now; undo takes it back.")


def _peak(target: TargetCurve) -> float:
    return float(sample_target(target).max())
