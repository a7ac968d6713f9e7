"""What was prescribed over the months: a value a review, and when it was asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Final

import numpy as np

from app.scene.figure import Figure, Moment, Tick
from app.scene.force_curve import Curve

if TYPE_CHECKING:
    from app.library.past import Past, PastReview

MOST: Final = 3  # curves that are shown
_FEWEST: Final = 2  # pieces: a single one has no history
_ROOM: Final = 0.15
_LETTER: Final = 11.0


@dataclass(frozen=True)
class History:
    """One value over the pieces of an athlete.

    Attributes
    ----------
    days : ordinals of the days, rising
    told : ordinals of the days on which it was prescribed
    """

    title: str
    unit: str
    days: tuple[int, ...]
    values: tuple[float, ...]
    told: tuple[int, ...]


def histories(past: Past) -> tuple[History, ...]:
    """Give the share of strokes that show what was prescribed, what was told last first.

    The value of a piece is that of all its strokes; pieces nobody looked at in that way are left
    out, and so is a piece without a day.
    """
    codes: dict[str, str] = {}
    for review in reversed(past.reviews):
        for told in review.prescriptions:
            if told.finding:
                codes.setdefault(told.finding, told.title)
    found = (_of(past.reviews, code, title) for code, title in codes.items())
    return tuple(one for one in found if len(one.days) >= _FEWEST)[:MOST]


def _of(reviews: Sequence[PastReview], code: str, title: str) -> History:
    points: dict[int, float] = {}
    told: list[int] = []
    for review in reviews:
        day = _day(review.when)
        if day is None:
            continue
        if any(p.finding == code for p in review.prescriptions):
            told.append(day)
        if not review.piece.source or code in review.piece.unjudged:
            continue
        shares = [f.share for f in review.piece.findings if f.code == code]
        points[day] = 100.0 * (shares[0] if shares else 0.0)
    days = tuple(sorted(points))
    return History(title, "%", days, tuple(points[day] for day in days), tuple(told))


def _day(when: str) -> int | None:
    try:
        return date.fromisoformat(when[:10]).toordinal()
    except ValueError:
        return None


def figure_of(one: History) -> Figure:
    """A small curve with each prescription marked and numbered on it."""
    days = np.array(one.days, dtype=float)
    values = np.array(one.values)
    top = max(float(values.max()), 1.0)
    first, last = one.days[0], max(one.days[-1], one.days[0] + 1)
    inside = [day for day in one.told if first <= day <= last]
    ticks = [Tick(float(day), _words(day)) for day in dict.fromkeys((first, last))]
    return Figure(
        (331.0, 120.0), _LETTER, (Curve("own", days, values),), (float(first), float(last)),
        (0.0, top * (1.0 + _ROOM)), ticks, title=f"{one.title}, {one.unit} of the strokes",
        most_levels=3, moments=[Moment(float(d), str(n)) for n, d in enumerate(inside, 1)],
    )  # fmt: skip


def _words(day: int) -> str:
    at = date.fromordinal(day)
    return f"{at.day} {at:%b %y}"
