"""How far an athlete differs from day to day, where too few days were seen to know it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from analysis.following_up.conditions import LikeSections

DAY: Final = 0.5  # variance from day to day, in variances of single strokes, before any is seen
DAY_WEIGHT: Final = 2.0  # degrees of freedom of that guess: common practice, no source
SEEN_WEIGHT: Final = 0.5  # of each other measure: told by the same strokes, they go together
MOST_ALLOWED: Final = 0.25  # of a squared allowance for rate and pressure, in the same variances


@dataclass(frozen=True)
class DaySpread:
    """How far days are guessed to differ.

    Attributes
    ----------
    variance : in variances of single strokes
    freedom : degrees of freedom, how much the guess is worth
    """

    variance: float
    freedom: float


# Of shares of strokes: the fault that went moves other measures too, which then say nothing of
# days; and a share has ends, so that days fool it less often (`docs/following-up.md`).
DAYS_OF_SHARES: Final = DaySpread(DAY, 6.0)


def lie_apart(pair: LikeSections, keys: Iterable[str]) -> dict[str, float]:
    """How far measures lie apart between the two, as a variance in those of strokes.

    What another rate or pressure may have moved as far as strokes vary says nothing of days.
    """
    found = {}
    for key in keys:
        then, now = pair.before.measures[key], pair.after.measures[key]
        strokes = then.stroke_variance + now.stroke_variance
        allowed = pair.allowance(key, then.mean) ** 2 <= MOST_ALLOWED * strokes
        if min(then.count, now.count) >= 2 and strokes > 0.0 and allowed:
            found[key] = (now.mean - then.mean) ** 2 / strokes
    return found


def guessed(apart: Iterable[float]) -> DaySpread:
    """What is held before any day was seen, together with what these two days show."""
    seen = list(apart)
    freedom = DAY_WEIGHT + SEEN_WEIGHT * len(seen)
    return DaySpread((DAY_WEIGHT * DAY + SEEN_WEIGHT * sum(seen)) / freedom, freedom)


def together(parts: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """The sum of variances with its degrees of freedom (Welch, Satterthwaite)."""
    total = sum(variance for variance, _ in parts)
    below = sum(variance**2 / freedom for variance, freedom in parts)
    return total, total**2 / below if below > 0.0 else 1.0


def quantile(freedom: float, chance: float) -> float:
    """How many standard errors leave so little beyond them on both sides together (Student)."""
    from scipy.special import stdtrit

    return float(stdtrit(max(freedom, 1.0), 1.0 - 0.5 * chance))
