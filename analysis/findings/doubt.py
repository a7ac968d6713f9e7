"""Whether points are sure enough of what a rule reads from them.

The whole way from points to a rule's value is gone again with errors drawn as such points have
them; what the value does then is its uncertainty. A finding is raised where the value passes its
limit with that much to spare.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from analysis.body.angles import BODY_LENGTHS, SIGNALS, BodySeries
from analysis.body.error_parts import draw_error
from analysis.body.strokes import USUAL_STATURE_M
from analysis.findings.body_rules import BodyCycles, Rule, body_cycles
from analysis.findings.raised import Raised
from analysis.findings.thresholds import Thresholds
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

DRAWS = 24
# How much people of unknown stature differ from the usual one, for limits in metres: common
# practice, no source.
STATURE_SD = 0.06

Judge = Callable[[Rule], tuple[Raised, FloatArray | None]]


def judge_of(cycles: BodyCycles, body: BodySeries, limits: Thresholds) -> Judge:
    """Give what asks a rule and answers only what the points are sure of.

    Returns
    -------
    Called with a rule: its answer, with the strokes that surely show it, in the body's own unit of
    length; and the standard deviation of each stroke's value, None where nothing is known of it.
    """
    drawn = drawn_cycles(cycles, body)

    def judge(rule: Rule) -> tuple[Raised, FloatArray | None]:
        raised = rule(cycles, limits)
        if not drawn:
            return raised, None
        others = [rule(each, limits) for each in drawn]
        sd, lift = _spread(raised, [each for each in others if each.measure == raised.measure])
        shows = raised.shows & (_to_spare(raised, lift) > limits["body-sure"] * sd)
        return _in_own_lengths(replace(raised, shows=shows), sd, body)

    return judge


def drawn_cycles(cycles: BodyCycles, body: BodySeries) -> list[BodyCycles]:
    """The same drives with errors drawn; none where nothing is known of the errors."""
    if not body.sd:
        return []
    rng = np.random.default_rng(0)
    phase = _phase(body.time_s, cycles.strokes)
    return [
        body_cycles(_drawn(body, phase, rng), cycles.strokes, cycles.force) for _ in range(DRAWS)
    ]


def _phase(time_s: FloatArray, strokes: Sequence[Stroke]) -> FloatArray:
    """Of the stroke at each instant, rad: (T,)."""
    begins = np.array([stroke.catch_s for stroke in strokes])
    if len(begins) < 2:
        return 2.0 * np.pi * (time_s - begins[0]) / 2.5
    inner = np.interp(time_s, begins, np.arange(len(begins), dtype=np.float64))
    usual_s = float(np.median(np.diff(begins)))
    before = np.minimum(time_s - begins[0], 0.0) / usual_s
    after = np.maximum(time_s - begins[-1], 0.0) / usual_s
    phase: FloatArray = 2.0 * np.pi * (inner + before + after)
    return phase


def _drawn(body: BodySeries, phase: FloatArray, rng: np.random.Generator) -> BodySeries:
    length_sd = body.length_sd
    if body.length_unit == BODY_LENGTHS:
        length_sd = float(np.hypot(length_sd, STATURE_SD))
    longer = 1.0 + length_sd * float(rng.normal())
    rows = {}
    for name in SIGNALS:
        row = body.values(name) * (longer if name.endswith("_m") else 1.0)
        sd = body.sd.get(name)
        rows[name] = row if sd is None else row + draw_error(np.nan_to_num(sd), phase, rng)
    return body.with_values(rows)


def _spread(raised: Raised, others: Sequence[Raised]) -> tuple[FloatArray, FloatArray]:
    """Standard deviation of each stroke's value, and by how much errors lift it: (S,) each."""
    if len(others) < DRAWS // 2:  # the rule does not even read the same thing
        return np.full(len(raised.values), np.inf), np.zeros(len(raised.values))
    off = np.array([each.values for each in others]) - raised.values
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # strokes of which nothing is known
        return np.nanstd(off, axis=0, ddof=1), np.nanmean(off, axis=0)


def _to_spare(raised: Raised, lift: FloatArray) -> FloatArray:
    """How far each value is beyond its limit, less what errors alone put it there: (S,)."""
    sign = 1.0 if raised.strong >= raised.threshold else -1.0
    spare = sign * (raised.values - raised.threshold) - np.maximum(sign * lift, 0.0)
    return np.nan_to_num(spare, nan=-np.inf)


def _in_own_lengths(
    raised: Raised, sd: FloatArray, body: BodySeries
) -> tuple[Raised, FloatArray | None]:
    """Say a way in percent of body length where metres are not known."""
    if raised.unit != "m" or body.length_unit != BODY_LENGTHS:
        return raised, sd
    share = 100.0 / USUAL_STATURE_M
    own = replace(
        raised,
        unit="% of body length",
        values=raised.values * share,
        threshold=raised.threshold * share,
        strong=raised.strong * share,
    )
    return own, sd * share


def unjudged(body: BodySeries, strokes: tuple[Stroke, ...], rules: Sequence[Rule],
             limits: Thresholds) -> tuple[str, ...]:  # fmt: skip
    """Codes of what cannot be judged from these points: not known, or strong faults could hide."""
    if not strokes:
        return ()
    judge = judge_of(body_cycles(body, strokes), body, limits)
    codes = []
    for rule in rules:
        raised, sd = judge(rule)
        known = np.isfinite(raised.values)
        room = abs(raised.strong - raised.threshold)
        unsure = (
            sd is not None and known.any() and limits["body-sure"] * np.median(sd[known]) > room
        )
        if not known.any() or unsure:
            codes.append(raised.code)
    return tuple(codes)
