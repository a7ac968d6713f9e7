"""Whether two strokes, or two pieces, differ by more than an athlete's strokes vary anyway."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from analysis.comparing.mean_error import FEW, WANDER, changes_slowly, mean_error
from analysis.measures.measures import Measures
from analysis.measures.registry import KEYS
from analysis.measures.rowed_piece import RowedPiece
from analysis.sections.finding_sections import find_sections
from analysis.sections.section import Section, section_of
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

# Below this many strokes nothing is known of how they vary. Common practice, no source.
FEWEST: Final = 5
CONFIDENCE: Final = 0.95
# With many strokes even a difference no coach would see is beyond chance: it must also be this
# share of the spread. Half a standard deviation, after Norman, Sloan & Wyrwich 2003 (Medical Care
# 41:582-592, from memory), which is about what patients notice; for rowing no source.
SMALLEST_SD: Final = 0.5

# What runs from turn to turn of the hands in the picture, and from catch to finish under force: two
# different things, some tenths of a second apart.
BY_TURNS: Final = frozenset({"drive_s", "recovery_s", "rhythm"})

Verdict = Literal["more", "within", "too_few"]
Basis = Literal["means", "one_of_many", "same_piece", ""]
# Why a row is a hint only: few strokes; a slow change in them; or not clear of slow wander nobody
# saw and of what a whole table of measures brings up by chance.
Doubt = Literal["", "few", "slow", "chance"]
Rowed = Sequence[tuple[Stroke, Measures]]


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
    interval : right less left, by the strokes alone; None where it cannot be told
    verdict : "more": more than strokes vary; "within": within how they vary; "too_few"
    hint : a difference that should be seen again before it is believed, or a range that may be
        too narrow
    with_wander : the interval with a fifth of the variation of strokes held to be slow wander;
        as `interval` for two strokes of one piece
    doubt : why it is a hint, "" where it is none
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
    with_wander: Interval | None = None
    doubt: Doubt = ""

    @property
    def difference(self) -> float | None:
        """Right less left."""
        return None if self.left is None or self.right is None else self.right - self.left

    @property
    def shown(self) -> Interval | None:
        """The range a reader is told: it holds its 95 % under slow wander too, of a fifth."""
        return self.interval if self.with_wander is None else self.with_wander

    @property
    def too_narrow(self) -> bool:
        """Whether the range that is told may be narrower than it should."""
        return self.doubt in ("few", "slow")


@dataclass(frozen=True)
class Apart:
    """A difference and how well it is known: Student's t of some variance and freedom."""

    difference: float
    variance: float
    freedom: float

    @property
    def interval(self) -> Interval:
        """The 95 % interval."""
        if self.variance <= 0.0:
            return Interval(self.difference, self.difference, self.difference)
        half = _t(self.freedom) * self.variance**0.5
        return Interval(self.difference, self.difference - half, self.difference + half)

    @property
    def chance(self) -> float:
        """How often nothing at all would look so different."""
        from scipy.stats import t as student

        if self.variance <= 0.0:
            return 1.0 if self.difference == 0.0 else 0.0
        return float(2.0 * student.sf(abs(self.difference) / self.variance**0.5, self.freedom))

    def turned(self) -> Apart:
        """The other way round."""
        return replace(self, difference=-self.difference)


def means_apart(left: FloatArray, right: FloatArray, wander: float = 0.0) -> Apart:
    """Difference of two means, right less left.

    The variances of both means add (`analysis.comparing.mean_error`); degrees of freedom after
    Welch 1947.

    Parameters
    ----------
    left, right : (L,), (R,) one value a stroke in the order they were rowed, two or more each
    wander : slow wander that the strokes do not show, times the variance they do show
    """
    parts: list[tuple[float, float]] = []
    for values in (left, right):
        error = mean_error(values)
        parts.append((error.variance, error.freedom))
        parts.append((wander * error.stroke_variance, len(values) - 1.0))
    return _added(float(right.mean() - left.mean()), parts)


def one_apart(many: FloatArray, value: float, wander: float = 0.0) -> Apart:
    """One stroke less the mean of many: a single further stroke is predicted.

    mean ± t(n - 1) s sqrt(1 + 1/n) of unrelated strokes; exact for normal values (any text of
    statistics, for instance Hahn & Meeker 1991, "Statistical Intervals"). Where neighbours resemble
    each other, both parts grow (`analysis.comparing.mean_error`).
    """
    n = len(many)
    # Of the mean never less than of unrelated strokes: nobody alternates that surely.
    of_mean = max(mean_error(many).variance, float(many.var(ddof=1)) / n)
    stroke = float(many.var()) + of_mean
    variance = stroke + of_mean + 2.0 * wander * stroke
    return Apart(value - float(many.mean()), variance, n - 1.0)


def two_apart(others: FloatArray, left: float, right: float) -> Apart:
    """Two strokes of one piece, right less left: the difference of two further ones is predicted.

    0 ± t(n - 1) s sqrt(2), s from the other strokes of the piece; exact for normal values.
    """
    return Apart(right - left, 2.0 * float(others.var(ddof=1)), len(others) - 1.0)


def difference_of_means(left: FloatArray, right: FloatArray) -> Interval:
    """95 % interval of the difference of two means, right less left: `means_apart`."""
    return means_apart(left, right).interval


def single_stroke(many: FloatArray, value: float) -> Interval:
    """95 % prediction interval of one stroke less the mean of many: `one_apart`."""
    return one_apart(many, value).interval


def two_strokes(others: FloatArray, left: float, right: float) -> Interval:
    """95 % prediction interval of two strokes of one piece: `two_apart`."""
    return two_apart(others, left, right).interval


def compare_measures(
    left: tuple[RowedPiece, Stroke],
    right: tuple[RowedPiece, Stroke],
    same_piece: bool,
    sections: tuple[Sequence[Section], Sequence[Section]] | None = None,
) -> tuple[MeasureRow, ...]:
    """Compare every measure of two strokes with how strokes vary.

    Each stroke stands for its section, so that another rate is not taken for variation. Two strokes
    of one piece are judged by the others of their sections; sections of `FEWEST` whole strokes or
    more each by their means; one stroke against such a section by its strokes.

    A difference is no hint only where it stands although a fifth of the variation were slow wander
    (all of it, where few strokes or a slow change in them leave that open), and although all
    measures are looked at together: of tables in which nothing changed one in twenty at most says
    so (Benjamini & Hochberg 1995, J R Stat Soc B 57:289-300).

    Parameters
    ----------
    sections : of either piece; those found in it if None

    Returns
    -------
    One row a measure, in the order of `Measures`; those known of neither stroke are left out, and
    `BY_TURNS` where one stroke is of the picture and the other of a force.
    """
    if sections is None:
        found = find_sections(left[0])
        sections = found, found if same_piece else find_sections(right[0])
    many = [_rowed(side, cut) for side, cut in zip((left, right), sections, strict=True)]
    judged = []
    unlike = left[0].from_picture != right[0].from_picture
    for name in KEYS:
        if unlike and name in BY_TURNS:
            continue
        own = [_own(piece, stroke, name) for piece, stroke in (left, right)]
        if own[0] is None and own[1] is None:
            continue
        if same_piece:
            judged.append(_same(name, own, many, {left[1].index, right[1].index}))
        else:
            judged.append(_apart(name, own, [_values(each, name) for each in many]))
    return _as_one_table(judged)


def judge_together(
    measured: Sequence[tuple[str, FloatArray, FloatArray]],
) -> tuple[MeasureRow, ...]:
    """Judge means as one table; of each measure its name and the values of both sides."""
    return _as_one_table([_apart(name, [None, None], [a, b]) for name, a, b in measured])


@dataclass(frozen=True)
class _Judged:
    """A row on its way into the table.

    Attributes
    ----------
    sure : the estimate it is called sure by, with what the strokes may not show
    doubt : what speaks against its range whatever the other rows say
    """

    row: MeasureRow
    sure: Apart | None = None
    doubt: Doubt = ""


def _as_one_table(judged: Sequence[_Judged]) -> tuple[MeasureRow, ...]:
    from scipy.stats import false_discovery_control

    known = [each.sure.chance for each in judged if each.sure is not None]
    together = false_discovery_control(known, method="bh").tolist() if known else []
    adjusted: Iterator[float] = iter(together)
    rows = []
    for each in judged:
        sure = each.sure is not None and next(adjusted) <= 1.0 - CONFIDENCE
        more = each.row.verdict == "more"
        doubt: Doubt = "" if more and sure else each.doubt or ("chance" if more else "")
        rows.append(replace(each.row, hint=doubt != "", doubt=doubt))
    return tuple(rows)


def _doubt(sides: Sequence[FloatArray]) -> Doubt:
    """Why a range of these strokes may be too narrow, "" where nothing says so."""
    if not sides:
        return ""
    if min(len(values) for values in sides) < FEW:
        return "few"
    return "slow" if any(changes_slowly(values) for values in sides) else ""


def _added(difference: float, parts: Sequence[tuple[float, float]]) -> Apart:
    """Variances that add, each with its freedom (Welch 1947)."""
    total = sum(variance for variance, _ in parts)
    below = sum(variance**2 / freedom for variance, freedom in parts)
    return Apart(difference, total, total**2 / below if below > 0.0 else 1.0)


def _t(freedom: float) -> float:
    from scipy.stats import t as student

    return float(student.ppf(0.5 + CONFIDENCE / 2.0, freedom))


def _own(piece: RowedPiece, stroke: Stroke, name: str) -> float | None:
    for measures, other in zip(piece.measures, piece.strokes, strict=True):
        if other.index == stroke.index:
            return measures[name]
    return None


def _rowed(side: tuple[RowedPiece, Stroke], sections: Sequence[Section]) -> Rowed:
    """Whole strokes of the section a stroke belongs to, in the order they were rowed."""
    piece, stroke = side
    section = section_of(sections, stroke.index)
    return [
        (other, measures)
        for other, measures in zip(piece.strokes, piece.measures, strict=True)
        if not other.remark and (section is None or section.holds(other.index))
    ]


def _values(rowed: Rowed, name: str, without: set[int] | None = None) -> FloatArray:
    values = [m[name] for stroke, m in rowed if stroke.index not in (without or ())]
    return np.array([v for v in values if v is not None], dtype=np.float64)


def _same(name: str, own: list[float | None], many: list[Rowed], compared: set[int]) -> _Judged:
    whole = [_values(each, name) for each in many]
    others = [_values(each, name, compared) for each in many]
    if many[0] == many[1]:
        rest = others[0]
    else:  # of two sections, how strokes lie about the mean of their own
        rest = np.concatenate(
            [values - values.mean() for values in others if len(values)] or others
        )
    left, right = own
    estimate = None
    if left is not None and right is not None and len(rest) >= FEWEST:
        estimate = two_apart(rest, left, right)
    row = _row(name, own, whole, "same_piece", estimate, estimate)
    return _Judged(row, estimate, "few" if estimate is not None and len(rest) < FEW else "")


def _apart(name: str, own: list[float | None], many: list[FloatArray]) -> _Judged:
    left, right = own
    enough = [len(values) >= FEWEST for values in many]
    sides = [values for values, is_many in zip(many, enough, strict=True) if is_many]
    doubt = _doubt(sides)
    # Nothing of the wander is known where few strokes, or a slow change in them, leave it open:
    # then a side counts as one stroke, for a mean lies no farther off than its strokes.
    shares = (0.0, WANDER, 1.0 if doubt else WANDER)
    basis: Basis = ""
    found: list[Apart] = []
    if all(enough):
        basis = "means"
        found = [means_apart(many[0], many[1], share) for share in shares]
        own = [float(many[0].mean()), float(many[1].mean())]
    elif enough[0] and right is not None:
        basis = "one_of_many"
        found = [one_apart(many[0], right, share) for share in shares]
        own = [float(many[0].mean()), right]
    elif enough[1] and left is not None:
        basis = "one_of_many"
        found = [one_apart(many[1], left, share).turned() for share in shares]
        own = [left, float(many[1].mean())]
    if not found:
        return _Judged(_row(name, own, many, basis, None, None))
    return _Judged(_row(name, own, many, basis, found[0], found[1]), found[2], doubt)


def _row(
    name: str,
    own: list[float | None],
    many: list[FloatArray],
    basis: Basis,
    estimate: Apart | None,
    wide: Apart | None,
) -> MeasureRow:
    sds = (_sd(many[0]), _sd(many[1]))
    counts = (len(many[0]), len(many[1]))
    verdict: Verdict = "too_few"
    interval = None
    if estimate is not None:
        interval = estimate.interval
        spread = max(
            (sd for sd, n in zip(sds, counts, strict=True) if n >= FEWEST and sd), default=0.0
        )
        seen = basis != "means" or abs(interval.difference) >= SMALLEST_SD * spread
        verdict = "more" if interval.beyond_none and seen else "within"
    outer = None if wide is None else wide.interval
    return MeasureRow(
        name, own[0], own[1], *sds, *counts, basis, interval, verdict, with_wander=outer
    )


def _sd(values: FloatArray) -> float | None:
    return float(values.std(ddof=1)) if len(values) > 1 else None
