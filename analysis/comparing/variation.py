"""Whether two strokes, or two pieces, differ by more than an athlete's strokes vary anyway."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from analysis.comparing.alike import UNSEEN, is_hint, spread_of
from analysis.force.piece import PieceAnalysis
from analysis.measures.registry import KEYS
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

# Below this many strokes nothing is known of how they vary. Common practice, no source.
FEWEST: Final = 5
ROUNDS: Final = 2000
SEED: Final = 20  # the same strokes give the same interval, every time
CONFIDENCE: Final = 0.95
# With many strokes even a difference no coach would see is beyond chance: it must also be this
# share of the spread. Half a standard deviation, after Norman, Sloan & Wyrwich 2003 (Medical Care
# 41:582-592, from memory), which is about what patients notice; for rowing no source.
SMALLEST_SD: Final = 0.5

Verdict = Literal["more", "within", "too_few"]
Basis = Literal["means", "one_of_many", "same_piece", ""]


@dataclass(frozen=True)
class Interval:
    """A difference with its 95 % interval."""

    difference: float
    low: float
    high: float

    @property
    def beyond_none(self) -> bool:
        """Whether no difference at all lies outside the interval."""
        return self.low > 0.0 or self.high < 0.0


@dataclass(frozen=True)
class MeasureRow:
    """One measure of two strokes, in the unit of `Measures`.

    Attributes
    ----------
    left, right : what is compared: the stroke's own value, or its piece's mean ("means", and the
        side with many strokes in "one_of_many"); None where not known
    left_sd, right_sd : spread from stroke to stroke in either piece
    left_count, right_count : whole strokes behind the spread
    interval : right less left; None where it cannot be told
    verdict : "more": more than strokes vary; "within": within how they vary; "too_few"
    hint : whether so few strokes lie behind the interval that it may be too narrow: a hint, which
        should be seen again before it is believed
    """

    name: str
    left: float | None
    right: float | None
    left_sd: float | None
    right_sd: float | None
    left_count: int
    right_count: int
    basis: Basis
    interval: Interval | None
    verdict: Verdict
    hint: bool = False

    @property
    def difference(self) -> float | None:
        """Right less left."""
        return None if self.left is None or self.right is None else self.right - self.left


def difference_of_means(left: FloatArray, right: FloatArray, at_least: float = 0.0) -> Interval:
    """95 % bootstrap interval of the difference of two means, right less left.

    Percentile interval from `ROUNDS` resamplings of either side with a fixed seed (Efron &
    Tibshirani 1993), its ends moved out for few strokes as Hesterberg 2015 does ("What teachers
    should know about the bootstrap", The American Statistician 69:371-386, "expanded percentile"):
    resamples of n vary by sqrt((n - 1) / n) too little, and Student's t takes the place of the
    normal distribution, with the degrees of freedom of Welch 1947. Where neighbouring strokes
    resemble each other, they vary still less than the mean does: `analysis.comparing.alike`.

    Parameters
    ----------
    left, right : (L,), (R,) one value a stroke in the order they were rowed, two or more each
    at_least : an autocorrelation to reckon with although less is seen
    """
    from scipy.stats import bootstrap, norm
    from scipy.stats import t as student

    middle = float(right.mean() - left.mean())
    spreads = [spread_of(values, at_least) for values in (left, right)]
    parts, freedoms = [s.mean_variance for s in spreads], [s.freedom for s in spreads]
    # What resamples of n strokes vary by.
    plain = [float(values.var()) / len(values) for values in (left, right)]
    if sum(plain) <= 0.0:
        return Interval(middle, middle, middle)
    freedom = sum(parts) ** 2 / sum(p**2 / f for p, f in zip(parts, freedoms, strict=True))
    wider = float(np.sqrt(sum(parts) / sum(plain)))
    tail = float(student.ppf(0.5 + CONFIDENCE / 2.0, freedom)) * wider
    share = float(norm.cdf(-tail))
    drawn = bootstrap(
        (right, left),
        _gap,
        n_resamples=ROUNDS,
        method="percentile",
        rng=np.random.default_rng(SEED),
    ).bootstrap_distribution
    low, high = np.quantile(drawn, (share, 1.0 - share))
    if share < 5.0 / ROUNDS:  # so far out there are no resamples: their spread carries on
        sd = float(np.sqrt(sum(plain)))
        low, high = min(low, middle - tail * sd), max(high, middle + tail * sd)
    return Interval(middle, float(low), float(high))


def single_stroke(many: FloatArray, value: float, at_least: float = 0.0) -> Interval:
    """One stroke against many: 95 % prediction interval of a single further stroke.

    mean ± t(n - 1) s sqrt(1 + 1/n); exact for normal values (any text of statistics, for instance
    Hahn & Meeker 1991, "Statistical Intervals"). Where neighbouring strokes resemble each other, s
    and the share of the mean grow (`analysis.comparing.alike`). A bootstrap of the mean would
    answer another question: how well the mean is known, not how far one stroke may lie from it.

    Returns
    -------
    Interval
        `value` less the mean of the many.
    """
    spread = spread_of(many, at_least)
    half = _t(len(many) - 1) * (spread.variance + spread.mean_variance) ** 0.5
    apart = value - float(many.mean())
    return Interval(apart, apart - half, apart + half)


def two_strokes(others: FloatArray, left: float, right: float) -> Interval:
    """Two strokes of one piece: 95 % prediction interval of the difference of two further ones.

    0 ± t(n - 1) s sqrt(2), s from the other strokes of the piece; exact for normal values.
    """
    half = _t(len(others) - 1) * float(others.std(ddof=1)) * 2.0**0.5
    return Interval(right - left, right - left - half, right - left + half)


def compare_measures(
    left: tuple[PieceAnalysis, Stroke], right: tuple[PieceAnalysis, Stroke], same_piece: bool
) -> tuple[MeasureRow, ...]:
    """Compare every measure of two strokes with how strokes vary.

    Two strokes of one piece are judged by its other strokes; pieces of `FEWEST` whole strokes or
    more each by their means; one stroke against such a piece by the piece's strokes.

    Returns
    -------
    One row a measure, in the order of `Measures`; those known of neither stroke are left out.
    """
    rows = []
    for name in KEYS:
        own = [_own(piece, stroke, name) for piece, stroke in (left, right)]
        if own[0] is None and own[1] is None:
            continue
        many = [_whole(piece, name) for piece, _ in (left, right)]
        if same_piece:
            leave = frozenset((left[1].index, right[1].index))
            rows.append(_same(name, own, _whole(left[0], name), _whole(left[0], name, leave)))
        else:
            rows.append(_apart(name, own, many))
    return tuple(rows)


def _gap(right: FloatArray, left: FloatArray, axis: int) -> FloatArray:
    gap: FloatArray = right.mean(axis=axis) - left.mean(axis=axis)
    return gap


def _t(freedom: int) -> float:
    from scipy.stats import t as student

    return float(student.ppf(0.5 + CONFIDENCE / 2.0, freedom))


def _own(piece: PieceAnalysis, stroke: Stroke, name: str) -> float | None:
    for measures, other in zip(piece.measures, piece.strokes, strict=True):
        if other.index == stroke.index:
            return measures[name]
    return None


def _whole(piece: PieceAnalysis, name: str, without: frozenset[int] = frozenset()) -> FloatArray:
    """A measure of the whole strokes of a piece, in the order they were rowed."""
    values = [
        measures[name]
        for measures, stroke in zip(piece.measures, piece.strokes, strict=True)
        if not stroke.remark and stroke.index not in without
    ]
    return np.array([v for v in values if v is not None], dtype=np.float64)


def _same(name: str, own: list[float | None], whole: FloatArray, others: FloatArray) -> MeasureRow:
    sd, count = _sd(whole), len(whole)
    left, right = own
    interval = None
    if left is not None and right is not None and len(others) >= FEWEST:
        interval = two_strokes(others, left, right)
    verdict: Verdict = "too_few"
    if interval is not None:
        verdict = "more" if interval.beyond_none else "within"
    return MeasureRow(name, left, right, sd, sd, count, count, "same_piece", interval, verdict)


def _apart(name: str, own: list[float | None], many: list[FloatArray]) -> MeasureRow:
    left, right = own
    enough = [len(values) >= FEWEST for values in many]
    basis: Basis = ""
    interval, wider = None, None
    if all(enough):
        basis, interval = "means", difference_of_means(many[0], many[1])
        wider = difference_of_means(many[0], many[1], UNSEEN)
        left, right = float(many[0].mean()), float(many[1].mean())
    elif enough[0] and right is not None:
        basis, interval = "one_of_many", single_stroke(many[0], right)
        wider = single_stroke(many[0], right, UNSEEN)
        left = float(many[0].mean())
    elif enough[1] and left is not None:
        turned, wider = single_stroke(many[1], left), single_stroke(many[1], left, UNSEEN)
        basis, interval = "one_of_many", Interval(-turned.difference, -turned.high, -turned.low)
        right = float(many[1].mean())
    sds = (_sd(many[0]), _sd(many[1]))
    verdict: Verdict = "too_few"
    if interval is not None:
        spread = max((sd for sd, many_ in zip(sds, enough, strict=True) if many_ and sd), default=0)
        seen = basis != "means" or abs(interval.difference) >= SMALLEST_SD * spread
        verdict = "more" if interval.beyond_none and seen else "within"
    counts = (len(many[0]), len(many[1]))
    judged = [values for values, is_many in zip(many, enough, strict=True) if is_many]
    # A difference that would be beyond chance even of strokes as alike as can be is no mere hint.
    sure = verdict == "more" and wider is not None and wider.beyond_none
    hint = interval is not None and not sure and is_hint(*judged)
    return MeasureRow(name, left, right, *sds, *counts, basis, interval, verdict, hint)


def _sd(values: FloatArray) -> float | None:
    return float(values.std(ddof=1)) if len(values) > 1 else None
