"""Each measure this time against last time: changed, not yet, or it cannot be told.

Three things make an athlete who did not change look changed, and each is allowed for:

- *The day.* Strokes of one piece do not show how an athlete differs from day to day. From three
  earlier pieces on, what those differed by is taken. Before that it is guessed, and the guess is
  known to be one (`days.py`): half the variance of single strokes (a day is off by 0.7 of what
  strokes vary), worth no more than two degrees of freedom, together with how far all measures
  nobody prescribed lie apart between the two pieces. Who is another rower each day shows it in
  most of them.
- *Regression to the mean.* What was prescribed was picked out because it was bad that day, and part
  of that goes by itself: of a day on the bad side 0.8 of a day's deviation, the mean of half a
  normal distribution. Against the mean of several earlier pieces there is less of it.
- *Many looks.* Whoever looks at twenty measures sees one change by chance. Of one chance in twenty
  for the whole table four fifths are spent on what was prescribed, one fifth on all the rest
  (Bonferroni).

Measured on drawn athletes: tests/benchmarks/follow_up_rates.py, docs/following-up.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, pi, sqrt
from typing import Final, Literal

import numpy as np

from analysis.following_up.conditions import CHOSEN, Conditions, LikeSections, conditions_of, like
from analysis.following_up.days import (
    DAY,
    DAYS_OF_SHARES,
    DaySpread,
    guessed,
    lie_apart,
    quantile,
    together,
)
from analysis.following_up.prescribed import GONE_SHARE, Prescribed
from analysis.following_up.summaries import (
    FindingSummary,
    MeasureSummary,
    PieceSummary,
    SectionSummary,
)

Outcome = Literal["changed", "not yet", "cannot tell"]
WRONG: Final = 0.05  # chance of a wrong word anywhere in a table
FOR_PRESCRIBED: Final = 0.8  # of which so much is for what was prescribed
PICKED: Final = sqrt(2.0 / pi)  # of a day's deviation, where the day was picked for being bad
SMALLEST_SD: Final = 0.5  # as `comparing.variation.SMALLEST_SD`
EARLIER: Final = 3  # like pieces before last time from which days are known to differ by so much


@dataclass(frozen=True)
class Change:
    """A difference with its 95 % interval, and the wider one it is judged by."""

    difference: float
    low: float
    high: float
    sure_low: float
    sure_high: float

    @property
    def is_sure(self) -> bool:
        """Whether no change at all lies outside the wider interval."""
        return self.sure_low > 0.0 or self.sure_high < 0.0


@dataclass(frozen=True)
class Followed:
    """One measure, or the share of strokes that show a finding, then and now.

    Attributes
    ----------
    key : of the measure; "share" for the share of strokes that show a finding
    prescribed : what it follows, None for a measure nobody prescribed
    before, after : None where not known
    before_sd, after_sd : from stroke to stroke, None where not known
    change : None where it cannot be told
    why : the reason of "cannot tell", a half sentence
    better : whether a change goes the way it should; None where no way was prescribed
    """

    key: str
    prescribed: Prescribed | None
    before: float | None
    after: float | None
    before_sd: float | None
    after_sd: float | None
    change: Change | None
    outcome: Outcome
    why: str = ""
    better: bool | None = None


@dataclass(frozen=True)
class FollowUp:
    """What became of everything since last time.

    Attributes
    ----------
    rows : what was prescribed first
    earlier : how many pieces the days' differences were taken from, 0 for none
    """

    conditions: Conditions
    rows: tuple[Followed, ...]
    earlier: int = 0


def follow_up(
    before: PieceSummary,
    after: PieceSummary,
    prescribed: Sequence[Prescribed] = (),
    history: Sequence[PieceSummary] = (),
) -> FollowUp:
    """Say of each measure whether it changed.

    Parameters
    ----------
    before, after : last time and this time
    prescribed : what the athlete was told to change since
    history : pieces before last time, from a time in which nothing of this was prescribed
    """
    found = conditions_of(before, after)
    if found.pair is None:
        return FollowUp(found, tuple(_untold(each, found.why_not) for each in prescribed))
    pair = found.pair
    followed = {each.key for each in prescribed if each.key}
    others = [k for k in pair.after.measures if k not in followed and k not in CHOSEN]
    others = [key for key in others if key in pair.before.measures]
    chances = _chances(len(prescribed), len(others))
    earlier = _earlier(pair.before, history)
    sections = [section for _, section in earlier]
    apart = lie_apart(pair, others)
    day = guessed(apart.values())
    rows = [
        _measure(each.key, each, pair, chances[0], sections, day)
        if each.key
        else _share(each, before, after, pair, chances[0], earlier)
        for each in prescribed
    ]
    for key in others:  # none vouches for itself
        rest = guessed(value for name, value in apart.items() if name != key)
        rows.append(_measure(key, None, pair, chances[1], sections, rest))
    return FollowUp(found, tuple(rows), len(earlier))


def _chances(prescribed: int, others: int) -> tuple[float, float]:
    """How often each row may be wrong, of those prescribed and of the others."""
    if prescribed and others:
        return WRONG * FOR_PRESCRIBED / prescribed, WRONG * (1.0 - FOR_PRESCRIBED) / others
    return WRONG / max(prescribed, 1), WRONG / max(others, 1)


def _earlier(
    last: SectionSummary, history: Sequence[PieceSummary]
) -> tuple[tuple[PieceSummary, SectionSummary], ...]:
    """Each earlier piece that was rowed like last time, with the section that was."""
    found = []
    for piece in history:
        pairs = [p for section in piece.sections if (p := like(section, last)) is not None]
        if pairs:
            found.append((piece, max(pairs, key=lambda pair: pair.count).before))
    return tuple(found) if len(found) >= EARLIER else ()


def _untold(each: Prescribed, why: str) -> Followed:
    return Followed(each.key or "share", each, None, None, None, None, None, "cannot tell", why)


def _measure(
    key: str,
    each: Prescribed | None,
    pair: LikeSections,
    chance: float,
    earlier: Sequence[SectionSummary],
    day: DaySpread,
) -> Followed:
    then, now = pair.before.measures.get(key), pair.after.measures.get(key)
    if then is None or now is None or min(then.count, now.count) < 2:
        side = "last time" if then is None or then.count < 2 else "this time"
        why = f"it was not measured {side}"
        return _row(key, each, then, now, None, "cannot tell", why)
    days = [s.measures[key].mean for s in earlier if key in s.measures]
    known = _of_days(then, now, days) if len(days) >= EARLIER else _of_strokes(then, now, day)
    allowed = pair.allowance(key, then.mean)
    way = _sign(each)
    change = _change(known, known.picked * way, allowed, chance)
    smallest = SMALLEST_SD * max(then.sd or 0.0, now.sd or 0.0)
    if change.is_sure and abs(change.difference) >= smallest:
        better = None if way == 0.0 else change.difference * way > 0.0
        return _row(key, each, then, now, change, "changed", better=better)
    if len(days) >= EARLIER:
        alone = (known.error**2, known.freedom)
    else:
        alone = (day.variance * now.stroke_variance, day.freedom)
    missed = each is not None and _missed(each, now, alone, allowed, chance)
    why = "" if missed else "days differ by as much, or it may still be chance"
    return _row(key, each, then, now, change, "not yet" if missed else "cannot tell", why)


@dataclass(frozen=True)
class _Known:
    """A difference as it was measured, with its standard error, and what a picked day adds."""

    difference: float
    error: float
    freedom: float
    picked: float


def _of_strokes(then: MeasureSummary, now: MeasureSummary, day: DaySpread) -> _Known:
    """From the strokes of two pieces; of days it is only guessed how they differ."""
    strokes = then.stroke_variance + now.stroke_variance
    parts = [(day.variance * strokes, day.freedom)]
    for side in (then, now):
        # Strokes that were seen to wander say less of their day's mean.
        wander = side.stroke_variance if side.slow else 0.0
        parts.append((side.variance, max(side.freedom, 1.0)))
        parts.append((0.5 * wander, max(side.count - 1.0, 1.0)))
    total, freedom = together(parts)
    picked = sqrt(day.variance * then.stroke_variance + then.variance)
    return _Known(now.mean - then.mean, sqrt(total), freedom, PICKED * picked)


def _of_days(then: MeasureSummary, now: MeasureSummary, days: Sequence[float]) -> _Known:
    """From earlier pieces: against the mean of all before, by how much those differed."""
    every = np.array([*days, then.mean])
    n = len(every)
    apart = max(float(every.var(ddof=1)), then.variance)
    error = sqrt(apart * (1.0 + 1.0 / n))
    # One of n days was picked for being bad: its share of their mean.
    return _Known(now.mean - float(every.mean()), error, n - 1.0, PICKED * sqrt(apart) / n)


def _change(known: _Known, picked: float, allowed: float, chance: float) -> Change:
    """Take off what goes by itself, and widen by what rate and pressure may have done."""
    middle = known.difference - picked
    # It takes off what looks like a success, and never makes one of a failure.
    if picked and middle * known.difference <= 0.0 < known.difference * picked:
        middle = 0.0
    elif picked and known.difference * picked <= 0.0:
        middle = known.difference
    usual = known.error * quantile(known.freedom, WRONG) + allowed
    sure = known.error * quantile(known.freedom, chance) + allowed
    return Change(known.difference, middle - usual, middle + usual, middle - sure, middle + sure)


def _missed(
    each: Prescribed,
    now: MeasureSummary,
    day: tuple[float, float],
    allowed: float,
    chance: float,
) -> bool:
    """Whether what was aimed at was surely not reached: this time alone, against the aim.

    Parameters
    ----------
    day : variance from day to day, and its degrees of freedom
    """
    way = _sign(each)
    if each.target is None or way == 0.0:
        return False
    total, freedom = together([(now.variance, max(now.freedom, 1.0)), day])
    error = sqrt(total)
    return way * now.mean + error * quantile(freedom, 2.0 * chance) + allowed < way * each.target


def _share(
    each: Prescribed,
    before: PieceSummary,
    after: PieceSummary,
    pair: LikeSections,
    chance: float,
    earlier: Sequence[tuple[PieceSummary, SectionSummary]],
) -> Followed:
    """Follow a finding by the strokes that show it, as a limit on something that varies by days.

    A share stands for how far the middle stroke lies from the limit, in standard deviations of
    strokes (the quantile of a normal distribution); days differ on that scale as everywhere.
    """
    then, now = _finding(each, before), _finding(each, after)
    if then is None or not then.raised:
        return _untold(each, "it was not found last time")
    if then.whole_piece:
        return _untold(each, "it speaks of the whole piece, not of strokes")
    if not _could_show(then, now, after):
        return _untold(each, "what it is seen by is missing this time")
    seen = [(p, s) for p, s in earlier if _could_show(then, _finding(each, p), p)]
    if earlier and len(seen) < EARLIER:
        return _untold(each, "what it is seen by is missing in earlier pieces")
    count = pair.before.count, pair.after.count
    shares = _share_in(then, before, pair.before), _share_in(now, after, pair.after)
    places = [_place(share, n) for share, n in zip(shares, count, strict=True)]
    days = [_place(_share_in(_finding(each, p), p, s), s.count)[0] for p, s in seen]
    known, apart = _of_shares(places, min(count), days)
    change = _change(known, -known.picked, 0.0, chance)
    if change.is_sure:
        return _share_row(each, *shares, change, "changed", change.difference < 0.0)
    alone = sqrt(apart) * quantile(known.freedom, 2.0 * chance)
    if places[1][0] - alone > _place(GONE_SHARE, count[1])[0]:
        return _share_row(each, *shares, change, "not yet", None)
    return _share_row(each, *shares, change, "cannot tell", None)


def _finding(each: Prescribed, piece: PieceSummary) -> FindingSummary | None:
    return next((f for f in piece.findings if f.code == each.finding), None)


def _could_show(then: FindingSummary, found: FindingSummary | None, piece: PieceSummary) -> bool:
    """Whether a piece was looked at for a finding, so that none there means none was rowed."""
    missing = found is None and then.seen_in not in piece.looked_at
    return not missing and then.code not in piece.unjudged


def _of_shares(
    places: Sequence[tuple[float, float]], count: int, days: Sequence[float]
) -> tuple[_Known, float]:
    """A difference of two shares, and the variance of this time's about the athlete's mean.

    Parameters
    ----------
    places : of last time and this time, each with the variance its counting leaves
    count : strokes of the side that has fewer
    days : places of earlier pieces, empty where too few are known
    """
    (then, then_counted), (now, now_counted) = places
    day = DAYS_OF_SHARES
    if not days:
        counted = [(v, max(count - 1.0, 1.0)) for v in (then_counted, now_counted)]
        total, freedom = together([(2.0 * day.variance, day.freedom), *counted])
        picked = PICKED * sqrt(day.variance + then_counted)
        return _Known(now - then, sqrt(total), freedom, picked), now_counted + day.variance
    every = np.array([*days, then])
    n = len(every)
    # Shares near none and all hide how far days differ, so never less than is assumed without them.
    apart = max(float(every.var(ddof=1)), DAY + max(then_counted, now_counted))
    error = sqrt(apart * (1.0 + 1.0 / n))
    picked = PICKED * sqrt(apart) / n
    return _Known(now - float(every.mean()), error, n - 1.0, picked), apart


def _share_in(
    finding: FindingSummary | None, piece: PieceSummary, section: SectionSummary
) -> float:
    if finding is None:
        return 0.0
    at = piece.sections.index(section)
    if at < len(finding.in_sections) and section.count:
        return min(1.0, finding.in_sections[at] / section.count)
    return finding.share


def _place(share: float, count: int) -> tuple[float, float]:
    """A share as a quantile of the normal distribution, and the variance its counting leaves."""
    from scipy.special import ndtri

    drawn = (share * count + 0.5) / (count + 1.0)
    at = float(ndtri(drawn))
    height = exp(-0.5 * at**2) / sqrt(2.0 * pi)
    return at, drawn * (1.0 - drawn) / (count * height**2)


def _share_row(
    each: Prescribed,
    then: float,
    now: float,
    change: Change,
    outcome: Outcome,
    better: bool | None,
) -> Followed:
    why = "days differ by as much, or it may still be chance" if outcome == "cannot tell" else ""
    return Followed("share", each, then, now, None, None, change, outcome, why, better)


def _row(
    key: str,
    each: Prescribed | None,
    then: MeasureSummary | None,
    now: MeasureSummary | None,
    change: Change | None,
    outcome: Outcome,
    why: str = "",
    better: bool | None = None,
) -> Followed:
    return Followed(
        key, each,
        None if then is None else then.mean, None if now is None else now.mean,
        None if then is None else then.sd, None if now is None else now.sd,
        change, outcome, why, better,
    )  # fmt: skip


def _sign(each: Prescribed | None) -> float:
    return 0.0 if each is None else {"more": 1.0, "less": -1.0, "": 0.0}[each.way]
