"""Whether the strokes of footage and force keep step at all, or are of two pieces.

Two rhythms can always be laid over each other somehow. What tells a piece from another is that
the catches of one piece stay together from stroke to stroke, while those of two wander apart: each
stroke adds its own deviation. So the question is asked of the rhythm alone: laid where it fits
best, by how much do the catches miss each other; and would other strokes, as unsteady as these,
have fitted as well? Slow changes of rate and rests stay where they are in these, for another rowing
of the same plan has them too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.candidates import POOR_MATCH, Trial
from analysis.clocks.fit import Witness
from analysis.clocks.trace_signal import TraceSignal

FloatArray = NDArray[np.float64]
Verdict = Literal["lined up", "one of several", "not together"]

# Nothing is sure on fewer strokes.
FEWEST_SURE = 5
# Below this the best candidate is not good enough to stand alone.
SURE = 0.99
# Nothing is sure where picture and sound put the strokes farther apart than so many standard
# deviations of all that is unknown: one of them is not of this force. On fewer than eight strokes
# less is enough.
MOST_CONTRADICTION, ON_FEW, FEWEST_MANY = 5.0, 4.0, 8
# A rhythm that others would meet more often than this is no proof that it is the same one.
RARE = 0.01
# How far catches of one piece may wander from those of the force over several strokes, and how far
# each may be off by itself, as it is seen or heard; set on rhythms drawn for it, see line-up.md.
WANDER_S = 0.015
SEEN_S = {"picture": 0.040, "sound": 0.050}
# Where nobody looks, a line-up is left out whose strokes may with this belief be of two pieces; see
# line-up.md for how many right and wrong pairs that leaves out.
MOST_NONE = 0.2
# A fit below this is none, unless chance would hardly give it.
FITS = 0.30
# Fewer catches than this have no rhythm to judge.
FEWEST = 3
# Where fewer strokes than this could meet, only signals that agree less than this are refused.
FEW, FEW_AGREE = 5, 0.6
# A way that uses less of what could be common counts less: some short stretch always fits.
MOST_SHARE = 0.7
# Whole signals that agree less than this only happen to match around some catches.
LEAST_AGREE = 0.2
RHYTHMS = 400
# An interval this far from those around it is a rest or a change of plan and stays.
PLANNED_SHARE = 0.12
SMOOTH_OVER = 5
FARTHEST = 30  # strokes to either side at which drawn rhythms are tried
KEPT = 0.8  # of the residuals: the others may be hidden
# The middle four fifths of a normal distribution spread 0.66 times as far as all of it.
KEPT_SPREAD = 0.66


@dataclass(frozen=True)
class Step:
    """How strokes of footage and force keep step where they do it best.

    Attributes
    ----------
    strokes : how many catches of the force found their partner in the footage
    apart_s : by how much partners miss each other from stroke to stroke, seconds of life; infinite
        where too few were found
    fits : how well that, and how much of both they share, becomes one piece, 0 to 1
    by_chance : share of rhythms as unsteady as this one that would fit as well, 0 to 1
    """

    strokes: int = 0
    apart_s: float = float("inf")
    fits: float = 0.0
    by_chance: float = 1.0

    @property
    def none(self) -> float:
        """Belief that the two do not belong together, 0 to 1."""
        return self.by_chance / (self.by_chance + self.fits)


def judge(
    found: Sequence[Trial], belief: FloatArray, signal: TraceSignal, film_s: float
) -> tuple[Verdict, Step]:
    """Say whether the most likely way holds, is one of several, or none does.

    Parameters
    ----------
    found : every way that was tried, at least one
    belief : share of belief in each among them
    film_s : how long the footage lasts, video s
    """
    top = found[int(np.argmax(belief))]
    fits = [_fit(trial, _could(trial, signal, film_s))[0] for trial in found]
    best = found[int(np.argmax(fits))]
    step = keeping_step(best, signal, film_s)
    apart = step.fits < FITS and step.by_chance > RARE
    if apart and not _too_few(best, signal, film_s):
        return "not together", step
    step = keeping_step(top, signal, film_s)
    sure = (
        float(belief.max()) >= SURE
        and step.strokes >= FEWEST_SURE
        and step.fits >= FITS
        and step.by_chance <= RARE
        and not contradicts(top)
    )
    return ("lined up" if sure else "one of several"), step


def contradicts(trial: Trial) -> bool:
    """Whether picture and sound cannot both be of this force."""
    most = MOST_CONTRADICTION if trial.strokes >= FEWEST_MANY else ON_FEW
    return trial.contradiction > most


def keeping_step(trial: Trial, signal: TraceSignal, film_s: float) -> Step:
    """Judge by its rhythm whether a way to lay footage over force holds."""
    fits, m = _fit(trial, _could(trial, signal, film_s))
    witness, residual = trial.witnesses[m], trial.fit.residual_s[m]
    good = _good(witness)
    if good.sum() < FEWEST:
        return Step(int(good.sum()))
    apart_s = float(_spread(residual[good]))
    chance = _by_chance(witness.seen.stroke[good], residual[good], signal, apart_s)
    return Step(int(good.sum()), apart_s, fits, chance)


def _could(trial: Trial, signal: TraceSignal, film_s: float) -> float:
    """For how long both could run side by side at most, seconds of life."""
    trace_s = signal.time_s[-1] - signal.time_s[0]
    return max(min(float(trace_s), film_s / trial.factor), signal.period_s)


def _too_few(trial: Trial, signal: TraceSignal, film_s: float) -> bool:
    """Whether there is too little of both to say that they do not belong together."""
    few = min(len(signal.catch_s), _could(trial, signal, film_s) / signal.period_s) < FEW
    return few and max(trial.agree, default=0.0) >= FEW_AGREE


def _good(witness: Witness) -> NDArray[np.bool_]:
    seen = witness.seen
    good: NDArray[np.bool_] = ~(seen.at_edge | (seen.match < POOR_MATCH))
    return good


def _fit(trial: Trial, could_s: float) -> tuple[float, int]:
    """How well a way holds by the witness for whom it holds best, and which that is."""
    fits = []
    for m, (witness, residual) in enumerate(
        zip(trial.witnesses, trial.fit.residual_s, strict=True)
    ):
        good = _good(witness)
        count = int(good.sum())
        if count < FEWEST or max(trial.agree, default=0.0) < LEAST_AGREE:
            fits.append((0.0, m))
            continue
        wander, alone = _wandering(residual[good])
        off = (wander / WANDER_S) ** 2 + (alone / SEEN_S[witness.name]) ** 2
        shared = min(1.0, trial.common_s / (MOST_SHARE * could_s)) ** 2
        fits.append((float(np.exp(-0.5 * off)) * float(good.mean()) * shared, m))
    return max(fits)


def _wandering(residual: FloatArray) -> tuple[float, float]:
    """How far strokes are off together with their neighbours, and each by itself, s.

    Errors of seeing differ from stroke to stroke; two rhythms go apart and come together slowly.
    Half the mean square of the steps between neighbours is what each is off by itself (von
    Neumann 1941).
    """
    spread = float(_spread(residual))
    calm = np.clip(residual - np.median(residual), -2.5 * spread, 2.5 * spread)
    alone = 0.5 * float((np.diff(calm) ** 2).mean())
    return float(np.sqrt(max(float(calm.var()) - alone, 0.0))), float(np.sqrt(alone))


def _spread(residual: FloatArray) -> FloatArray:
    """Spread along the last axis of what lies best, as the standard deviation of all."""
    apart = np.sort(np.abs(residual - np.median(residual, axis=-1, keepdims=True)), axis=-1)
    kept = apart[..., : max(FEWEST, int(np.ceil(KEPT * apart.shape[-1])))]
    out: FloatArray = np.sqrt((kept**2).mean(axis=-1)) / KEPT_SPREAD
    return out


def _by_chance(
    stroke: NDArray[np.intp], residual: FloatArray, signal: TraceSignal, apart_s: float
) -> float:
    """Share of rhythms drawn on this plan that somewhere miss the footage's by no more."""
    rng = np.random.default_rng(len(residual))
    seen_s = signal.catch_s[stroke] + residual
    period = np.diff(signal.catch_s)
    plan, free = _planned(period)
    drawn = np.repeat(period[None], RHYTHMS, axis=0)
    stray_s = float((period - plan)[free].std()) if free.any() else 0.0
    drawn[:, free] = plan[free] + stray_s * rng.standard_normal((RHYTHMS, int(free.sum())))
    catch_s = np.concatenate((np.zeros((RHYTHMS, 1)), np.cumsum(drawn, axis=1)), axis=1)
    best = np.full(RHYTHMS, np.inf)
    for shift in range(-FARTHEST, FARTHEST + 1):
        at = stroke + shift
        if at[0] >= 0 and at[-1] < len(signal.catch_s):
            best = np.minimum(best, _spread(seen_s - catch_s[:, at]))
    return float((1 + (best <= apart_s).sum()) / (1 + RHYTHMS))


def _planned(period_s: FloatArray) -> tuple[FloatArray, NDArray[np.bool_]]:
    """The intervals as planned, and which stray from the plan only as strokes do."""
    from scipy.ndimage import median_filter

    plan: FloatArray = median_filter(period_s, SMOOTH_OVER, mode="nearest")
    return plan, np.abs(period_s - plan) < PLANNED_SHARE * plan
