"""Which stroke of the footage is which stroke of the trace: every way is tried and weighed.

Rowing repeats itself, so a line-up that is off by one stroke fits nearly as well as the right one.
What tells them apart is that no two strokes take quite the same time: laid over the right strokes,
catches miss each other by the error of seeing them; laid over the neighbours, by the variation from
stroke to stroke. Rests, starts and changes of rate show in the whole signal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.clocks import coarse
from analysis.clocks.expected import Expected, expect
from analysis.clocks.fit import DRIFT_SD, Fit, Witness, contradiction, fit_line
from analysis.clocks.lags import Observed, picture_lags, sound_lags
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.clocks.trace_signal import TraceSignal
from analysis.clocks.unknowns import NORMAL_REACH, reach

FloatArray = NDArray[np.float64]

# How many times slower than life footage may run, and how much less each is expected than ordinary
# footage (natural logarithm). Whole ratios of capture to playback rate; common practice, no source.
FACTORS: dict[float, float] = {
    1.0: 0.0, 2.0: -2.0, 4.0: -2.0, 8.0: -2.0, 1.25: -4.0, 2.5: -4.0, 3.0: -4.0, 5.0: -4.0,
    6.0: -4.0, 10.0: -4.0, 16.0: -4.0,
}  # fmt: skip
# A phone's capture rate is not quite what it says.
SLOW_DRIFT_SD = 1e-3
# Lags tried: all that agree nearly as well as the best, but not without end.
MOST_PEAKS, WORTH_TRYING, OTHER_WORTH = 250, 0.6, 0.85
FEWEST_PERIODS = 1.6
# How a witness errs from stroke to stroke; measured on simulated submissions (tests/benchmarks),
# see docs/line-up.md. What it may be off by on all of them is in `unknowns`.
PICTURE_LEAST_S, SOUND_LEAST_S = 0.004, 0.010
# A stroke that is not where it should be, in natural logarithms.
MISSED, MOST_GAINED = -3.0, 2.5
POOR_MATCH = 0.35
# Share of strokes hidden by somebody passing or otherwise seen where they are not.
STRAY = 0.05
WHOLE_WEIGHT = 4.0
# Evidence of neighbouring strokes is not independent; part of it counts.
TEMPER = 0.6


@dataclass(frozen=True)
class Scene:
    """The three recordings."""

    motion: MotionSignal | None
    sound: SoundSignal | None
    signal: TraceSignal


@dataclass(frozen=True)
class Trial:
    """One way to lay footage over force, in seconds of life (video seconds over `factor`).

    Attributes
    ----------
    factor : how many times slower than life the footage is taken to run
    sign : 1 or -1, which motion in the picture is the drive
    witnesses, fit : what each signal says, and the line through it
    bands : (B,) weights that make one loudness of all bands, or None
    agree : correlation of whole signals, one for each witness
    common_s : length of the common part
    reach_s : how far around the lag each stroke was looked for
    score : evidence for it in natural logarithms, against any stroke fitting
    """

    factor: float
    sign: int
    witnesses: tuple[Witness, ...]
    fit: Fit
    bands: FloatArray | None
    agree: tuple[float, ...]
    common_s: float
    reach_s: float
    score: float = 0.0

    @property
    def strokes(self) -> int:
        """Common strokes."""
        return len(np.unique(np.concatenate([w.seen.stroke for w in self.witnesses])))

    @property
    def middle_s(self) -> float:
        """Trace time in the middle of the common strokes."""
        return float(np.mean([w.seen.trace_s.mean() for w in self.witnesses]))

    @property
    def contradiction(self) -> float:
        """By how many standard deviations picture and sound put the strokes apart."""
        return contradiction(self.witnesses, self.fit)

    def half_width(self, trace_s: float) -> float:
        """Half width of the 95 % interval of the video time of a trace time, seconds of life."""
        from scipy.special import stdtrit

        sd = self.fit.sd_at(trace_s)
        most, chance = min(
            ((len(w.seen), spread**2 / len(w.seen))
            for w, spread in zip(self.witnesses, self.fit.spread_s, strict=True)),
            key=lambda each: each[1],
        )  # fmt: skip
        # Only what differs from stroke to stroke was estimated from them (Welch-Satterthwaite).
        freedom = (most + 3.0) * max(sd**2 / chance, 1.0) ** 2
        flat = self.witnesses[0].late.flat_s / sd if len(self.witnesses) == 1 else 0.0
        # Witnesses that contradict each other are trusted less, both (Birge 1932).
        sd *= max(1.0, self.contradiction / NORMAL_REACH)
        return float(stdtrit(min(freedom, 1e6), 0.975) / NORMAL_REACH) * reach(flat) * sd


@dataclass(frozen=True)
class _Slowed:
    """The footage's signals with time in seconds of life, and how late they are held to be."""

    factor: float
    expected: Expected
    picture_s: FloatArray | None
    travel: FloatArray | None
    sound_s: FloatArray | None
    level: FloatArray | None


def trials(scene: Scene, factor: float | None = None) -> list[Trial]:
    """Try every lag at which the signals agree.

    Parameters
    ----------
    factor : how many times slower than life the footage runs; None tries `FACTORS`
    """
    groups = []
    expected = expect(scene.signal)
    for f in FACTORS if factor is None else (factor,):
        slowed = _slow(scene, f, expected)
        for sign in (1, -1) if scene.motion is not None else (1,):
            groups.append(_starts(slowed, scene.signal, sign))
    best = max((start[0] for group in groups for start in group), default=0.0)
    found: list[Trial] = []
    for group in groups:
        top = max((start[0] for start in group), default=0.0)
        # Another speed or direction has to agree nearly as well somewhere to be tried at all.
        for worth, slowed, sign, offset_s in group if top >= OTHER_WORTH * best else ():
            trial = None
            if worth >= WORTH_TRYING * top:
                trial = _try(slowed, scene.signal, sign, offset_s)
            if trial is not None:
                found.append(trial)
    return _weighed(found, scene.signal)


def drift_sd(factor: float) -> float:
    """How far the trace's clock is expected to be off, as a share."""
    return DRIFT_SD if factor == 1.0 else SLOW_DRIFT_SD


def likelihoods(found: Sequence[Trial]) -> FloatArray:
    """Share of belief in each trial: (n,), adding to 1."""
    evidence = np.array([TEMPER * t.score + FACTORS.get(t.factor, 0.0) for t in found])
    share = np.exp(evidence - evidence.max())
    belief: FloatArray = share / share.sum()
    return belief


def trial_near(scene: Scene, offset_s: float, sign: int, factor: float = 1.0) -> Trial | None:
    """Look for the strokes around an offset that is known roughly, seconds of life."""
    return _try(_slow(scene, factor, expect(scene.signal)), scene.signal, sign, offset_s)


def _slow(scene: Scene, factor: float, expected: Expected) -> _Slowed:
    motion, sound = scene.motion, scene.sound
    return _Slowed(
        factor,
        expected,
        None if motion is None else motion.time_s / factor,
        None if motion is None else motion.travel,
        None if sound is None else sound.time_s / factor,
        None if sound is None else sound.level,
    )


def _starts(
    slowed: _Slowed, signal: TraceSignal, sign: int
) -> list[tuple[float, _Slowed, int, float]]:
    """Lags worth trying: worth, footage, sign and offset of each."""
    lags = _lags(slowed, signal, sign)
    if lags is None:
        return []
    period = signal.period_s
    enough = lags.common_s >= FEWEST_PERIODS * period
    lags = coarse.Lags(lags.offset_s[enough], lags.agree[enough], lags.common_s[enough])
    if len(lags.offset_s) < 3:
        return []
    at = coarse.peaks(lags, 1, MOST_PEAKS, 0.4 * period)
    return [(float(lags.agree[i]), slowed, sign, float(lags.offset_s[i])) for i in at]


def _lags(slowed: _Slowed, signal: TraceSignal, sign: int) -> coarse.Lags | None:
    """Agreement at every lag by all witnesses together."""
    trace_s, handle, wheel = coarse.trace_on_grid(signal)
    if len(trace_s) < 3:
        return None
    seen = heard = None
    if slowed.picture_s is not None and slowed.travel is not None:
        grid, way = coarse.picture_on_grid(slowed.picture_s, sign * slowed.travel)
        if len(grid) > 2:
            seen = coarse.correlate(float(grid[0]), way, float(trace_s[0]), handle)
    if slowed.sound_s is not None and slowed.level is not None:
        heard = _heard(slowed.sound_s, slowed.level, float(trace_s[0]), wheel)
    if seen is None or heard is None:
        return heard if seen is None else seen
    by_ear = np.interp(seen.offset_s, heard.offset_s, heard.agree, left=0.0, right=0.0)
    return coarse.Lags(seen.offset_s, (seen.agree + 0.5 * by_ear) / 1.5, seen.common_s)


def _heard(
    sound_s: FloatArray, level: FloatArray, trace_start_s: float, wheel: FloatArray
) -> coarse.Lags | None:
    """Agreement of loudness and wheel, bands weighed by how well each ever agrees."""
    grid, bands = coarse.sound_on_grid(sound_s, level)
    if len(grid) < 3:
        return None
    each = [coarse.correlate(float(grid[0]), band, trace_start_s, wheel) for band in bands.T]
    weight = np.array([max(float(lags.agree.max(initial=0.0)), 0.0) ** 4 for lags in each])
    if weight.sum() <= 0.0:
        return None
    agree = sum(w * lags.agree for w, lags in zip(weight, each, strict=True)) / weight.sum()
    return coarse.Lags(each[0].offset_s, agree, each[0].common_s)


def _try(slowed: _Slowed, signal: TraceSignal, sign: int, offset_s: float) -> Trial | None:
    """Look at each stroke near a lag, and fit."""
    bands = _bands(slowed, signal, offset_s)
    fit: Fit | None = None
    witnesses: tuple[Witness, ...] = ()
    expected = slowed.expected
    late = {"picture": expected.picture.mean_s, "sound": expected.sound.wheel.mean_s}
    reach = min(0.30, 0.14 * signal.period_s)
    for reach_s, step_s in ((reach, 0.012), (min(reach, 0.16), 0.004)):
        start = offset_s if fit is None else fit.offset_s
        rate = 1.0 if fit is None else 1.0 / fit.slope
        witnesses = _witnesses(slowed, signal, sign, bands, start, rate, late, reach_s, step_s)
        if not witnesses:
            return None
        fit = fit_line(witnesses, drift_sd(slowed.factor))
        # Strokes are looked for around where this witness has them.
        for witness, bias in zip(witnesses, fit.bias_s, strict=True):
            late[witness.name] = witness.late.mean_s + bias
    assert fit is not None
    agree = _whole(slowed, signal, sign, bands, fit, late)
    first = slowed.picture_s if slowed.picture_s is not None else slowed.sound_s
    assert first is not None
    begin = max(float(first[0]), fit.offset_s + float(signal.time_s[0]) * fit.slope)
    end = min(float(first[-1]), fit.offset_s + float(signal.time_s[-1]) * fit.slope)
    return Trial(slowed.factor, sign, witnesses, fit, bands, agree, end - begin, reach)


def _witnesses(
    slowed: _Slowed,
    signal: TraceSignal,
    sign: int,
    bands: FloatArray | None,
    offset_s: float,
    rate: float,
    late: dict[str, float],
    reach_s: float,
    step_s: float,
) -> tuple[Witness, ...]:
    out = []
    if slowed.picture_s is not None and slowed.travel is not None:
        at, travel = offset_s + late["picture"], sign * slowed.travel
        seen = picture_lags(slowed.picture_s, travel, signal, at, rate, reach_s, step_s)
        if len(seen):
            frame_s = float(np.median(np.diff(slowed.picture_s)))
            least = float(np.hypot(PICTURE_LEAST_S, 0.1 * frame_s))
            out.append(Witness("picture", seen, slowed.expected.picture, least))
    if slowed.sound_s is not None and slowed.level is not None and bands is not None:
        at = offset_s + late["sound"]
        seen = sound_lags(slowed.sound_s, slowed.level @ bands, signal, at, rate, reach_s, step_s)
        if len(seen):
            out.append(Witness("sound", seen, slowed.expected.sound.wheel, SOUND_LEAST_S))
    return tuple(out)


def _bands(slowed: _Slowed, signal: TraceSignal, offset_s: float) -> FloatArray | None:
    """Weights that make one loudness of all bands: those that follow the wheel at this lag."""
    if slowed.sound_s is None or slowed.level is None:
        return None
    grid, bands = coarse.sound_on_grid(slowed.sound_s, slowed.level)
    trace_s, _, wheel = coarse.trace_on_grid(signal)
    said = np.interp(grid - offset_s, trace_s, wheel, left=np.nan, right=np.nan)
    common = np.isfinite(said)
    if common.sum() * coarse.STEP_S < 2.0:
        return None
    said, heard = said[common], bands[common]
    norm = np.sqrt((heard**2).sum(axis=0) * (said**2).sum()) + 1e-12
    follows = np.clip((heard * said[:, None]).sum(axis=0) / norm, 0.0, 0.98)
    spread = slowed.level.std(axis=0) + 1e-6
    weight = np.where(follows > 0.15, follows / (1.0 - follows**2), 0.0) / spread
    return weight / weight.sum() if weight.sum() > 0.0 else None


def _whole(
    slowed: _Slowed,
    signal: TraceSignal,
    sign: int,
    bands: FloatArray | None,
    fit: Fit,
    late: dict[str, float],
) -> tuple[float, ...]:
    """Correlation of the whole common part, one for each kind of signal that is there."""
    out = []
    if slowed.picture_s is not None and slowed.travel is not None:
        at = (slowed.picture_s - fit.offset_s - late["picture"]) / fit.slope
        known = np.interp(at, signal.time_s, signal.known.astype(float), left=0.0, right=0.0)
        said = np.diff(np.interp(at, signal.time_s, signal.travel), prepend=0.0)
        use = known > 0.99
        use[0] = False
        out.append(_correlation(said[use], sign * slowed.travel[use]))
    if slowed.sound_s is not None and slowed.level is not None and bands is not None:
        grid, loud = coarse.sound_on_grid(slowed.sound_s, (slowed.level @ bands)[:, None])
        trace_s, _, wheel = coarse.trace_on_grid(signal)
        at = (grid - fit.offset_s - late["sound"]) / fit.slope
        said = np.interp(at, trace_s, wheel, left=0.0, right=0.0)
        out.append(_correlation(said[said != 0.0], loud[said != 0.0, 0]))
    return tuple(out)


def _correlation(a: FloatArray, b: FloatArray) -> float:
    norm = float(np.sqrt((a**2).sum() * (b**2).sum()))
    return float((a * b).sum()) / norm if norm > 0.0 else 0.0


def _variation(signal: TraceSignal) -> float:
    """By how much catches miss each other when the piece is laid over itself one stroke on, s."""
    period = np.diff(signal.catch_s)
    usual = period[period < 1.6 * np.median(period)]
    if len(usual) < 3:
        return 0.03
    spread = 1.4826 * float(np.median(np.abs(usual - np.median(usual))))
    return max(spread, 0.004)


def _evidence(witness: Witness, residual: FloatArray, reach_s: float, chance_s: float) -> float:
    """How much better the strokes fit than strokes laid over each other by chance would.

    Parameters
    ----------
    residual : (n,) what each stroke is off by
    chance_s : by how much strokes are off that do not belong together

    Returns
    -------
    Natural logarithm of the ratio of both likelihoods, the random error being unknown.
    """
    seen: Observed = witness.seen
    missed = seen.at_edge | (seen.match < POOR_MATCH)
    good = residual[~missed]
    lost = MISSED * float(missed.sum())
    if len(good) < 2:
        return lost
    least = 0.5 * witness.least_s
    sigmas = np.geomspace(least, max(0.7 * chance_s, 1.5 * least), 20)[:, None]
    wide = STRAY / (2.0 * reach_s)
    each = np.log(_bell(good, sigmas) + wide) - np.log(_bell(good, chance_s) + wide)
    total = np.minimum(each, MOST_GAINED).sum(axis=1)
    best = float(total.max())
    gained = best + float(np.log(np.mean(np.exp(total - best))))
    # Offset and drift were fitted to the same strokes.
    return lost + gained * max(len(good) - 1.5, 0.0) / len(good)


def _bell(residual: FloatArray, sigma: FloatArray | float) -> FloatArray:
    out: FloatArray = (1.0 - STRAY) * np.exp(-0.5 * (residual / sigma) ** 2) / (sigma * 2.5066)
    return out


def _weighed(found: list[Trial], signal: TraceSignal) -> list[Trial]:
    """The trials at different places, each with its evidence."""
    kept = _distinct(found, signal)
    names = sorted({w.name for t in kept for w in t.witnesses})
    chance = {name: _chance(kept, name, signal) for name in names}
    count = max((len(t.agree) for t in kept), default=0)
    top = [max(t.agree[i] for t in kept if len(t.agree) > i) for i in range(count)]
    return [replace(t, score=_score(t, chance, top, signal.period_s)) for t in kept]


def _score(trial: Trial, chance: dict[str, float], top: list[float], period_s: float) -> float:
    score = sum(
        _evidence(witness, residual, trial.reach_s, chance[witness.name])
        for witness, residual in zip(trial.witnesses, trial.fit.residual_s, strict=True)
    )
    # Rests, starts and half strokes in one signal and not in the other spoil the whole.
    for agree, best in zip(trial.agree, top, strict=False):
        short = 0.85 * max(best, 0.0) ** 2 - max(agree, 0.0) ** 2
        score -= WHOLE_WEIGHT * max(short, 0.0) * trial.common_s / period_s
    return score


def _chance(kept: list[Trial], name: str, signal: TraceSignal) -> float:
    """By how much strokes miss each other that do not belong together, s."""
    spreads = [
        float(np.sqrt((residual**2).mean()))
        for trial in kept
        for witness, residual in zip(trial.witnesses, trial.fit.residual_s, strict=True)
        if witness.name == name and len(residual) >= 4
    ]
    usual = float(np.median(spreads)) if len(spreads) >= 5 else 0.0
    return max(usual, 1.4 * _variation(signal))


def _distinct(found: list[Trial], signal: TraceSignal) -> list[Trial]:
    """Keep the tightest of trials that came out at one place."""
    kept: list[Trial] = []
    for trial in sorted(found, key=lambda t: sum(t.fit.spread_s)):
        at = trial.fit.offset_s + trial.middle_s * (trial.fit.slope - 1.0)
        if all(
            trial.factor != other.factor or abs(at - other.fit.offset_s) > 0.2 * signal.period_s
            for other in kept
        ):
            kept.append(trial)
    return kept
