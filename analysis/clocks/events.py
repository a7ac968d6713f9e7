"""Moments struck in one blow: a knock on the handle at rest, a clap before the camera.

A knock that the force recorded and the film's sound has too ties the two clocks without any of
what is unknown about a stroke. Something seen to stop dead and heard at once tells how late the
film's sound is on its own picture. Either counts only where nothing else could be meant: where
blows are so rare that one is hardly there by chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.clocks import unknowns
from analysis.clocks.candidates import Trial, drift_sd
from analysis.clocks.fit import Witness, fit_line
from analysis.clocks.lags import Observed
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

FloatArray = NDArray[np.float64]

# A blow on the handle: this many times the noise and this share of a usual pull, over within this
# time, nobody pulling so long before and after. Common practice, no source.
CLEAR_TIMES, LEAST_SHARE, LONGEST_BLOW_S, REST_S = 10.0, 0.04, 0.12, 0.5
SHORTEST_DRIVE_S = 0.25
# A blow heard: all pitches louder by this within 20 ms (natural logarithm of power), and as much
# more than the sound ever changes otherwise.
HEARD_RISE, HEARD_TIMES = 2.0, 6.0
# Something seen to stop: so much faster than what usually moves most, and this share of it left.
SEEN_TIMES, SEEN_LEFT, SEEN_AROUND_S = 2.5, 0.5, 1.0
# How late sound may be on the picture of the same blow.
TRACK_S = (-0.040, 0.090)
# By so much a blow may miss where the strokes put it beyond the interval they give.
SLACK_S = 0.030
# Where this many would be there by chance, it could be another.
RARE = 0.05
# How well a blow's moment is read from loudness, from force and picture beyond half a step.
HEARD_SD_S, READ_SD_S, STEP_SHARE = 0.005, 0.004, 0.35
SAME_S = 0.05


@dataclass(frozen=True)
class Events:
    """What was struck.

    Attributes
    ----------
    force_s, heard_s : blows of the trace, trace s, and of the sound, video s
    film_s : how long the sound is
    step_s : between samples of the trace
    track_s, track_sd_s : how late the sound is on the picture by what was seen and heard; None
        where nothing was
    """

    force_s: FloatArray
    heard_s: FloatArray
    film_s: float
    step_s: float
    track_s: float | None = None
    track_sd_s: float = 0.0


def find_events(
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
) -> Events:
    """Look for blows in all three recordings."""
    if sound is None:
        return Events(np.zeros(0), np.zeros(0), 0.0, trace.interval_s)
    heard = blows_heard(sound)
    film_s = float(sound.time_s[-1] - sound.time_s[0])
    events = Events(blows_felt(trace, strokes), heard, film_s, trace.interval_s)
    late = None if motion is None else _late_sound(blows_seen(motion), heard, film_s)
    if motion is None or late is None:
        return events
    frame_s = float(np.median(np.diff(motion.time_s)))
    sd = float(np.hypot(np.hypot(STEP_SHARE * frame_s, READ_SD_S), HEARD_SD_S))
    return replace(events, track_s=late, track_sd_s=sd)


def with_events(trial: Trial, events: Events) -> Trial:
    """The same way to lay footage over force, narrowed by what was struck."""
    late = unknowns.heard(events.track_s, events.track_sd_s)
    witnesses = [replace(w, late=late.wheel) if w.name == "sound" else w for w in trial.witnesses]
    knocks = _knocks(trial, events)
    if knocks is not None:
        sd = float(np.hypot(HEARD_SD_S, np.hypot(READ_SD_S, STEP_SHARE * events.step_s)))
        # Fewer than three count with twice the least error (`fit`).
        least = 0.5 * sd if len(knocks) < 3 else sd
        witnesses.append(Witness("knock", knocks, late.knock, least))
    elif events.track_s is None or "sound" not in {w.name for w in witnesses}:
        return trial
    fit = fit_line(witnesses, drift_sd(trial.factor))
    return replace(trial, witnesses=tuple(witnesses), fit=fit)


def _knocks(trial: Trial, events: Events) -> Observed | None:
    """Blows felt and heard that can be nothing but each other."""
    slope, late_s = trial.fit.slope, unknowns.heard().knock.mean_s
    heard = events.heard_s / trial.factor
    length = max(events.film_s / trial.factor, 1.0)
    felt, met = [], []
    for at in events.force_s.tolist():
        reach = trial.half_width(at) + SLACK_S
        close = heard[np.abs(heard - (trial.fit.offset_s + slope * at + late_s)) <= reach]
        others = events.force_s[np.abs(events.force_s - at) <= 2.0 * reach]
        # How many would be there if all that was heard were strewn over the film.
        chance = 2.0 * reach * max(len(heard) - 1, 0) / length
        if len(close) == 1 and len(others) == 1 and chance <= RARE:
            felt.append(at)
            met.append(float(close[0]))
    if not felt:
        return None
    n = len(felt)
    whole, sharp = np.ones(n), np.zeros(n, bool)
    return Observed(np.full(n, -1, np.intp), np.array(felt), np.array(met), whole, sharp)


def blows_felt(trace: ForceTrace, strokes: Sequence[Stroke]) -> FloatArray:
    """Short blows on the handle while nobody pulls, trace s."""
    from scipy.ndimage import median_filter

    time_s, force = trace.time_s, trace.force_n
    drives = [s for s in strokes if s.finish_s - s.catch_s >= SHORTEST_DRIVE_S]
    if len(time_s) < 50 or not drives:
        return np.zeros(0)
    usual = float(np.percentile(force, 98.0) - np.median(force))
    size = 2 * max(2, round(2.0 * LONGEST_BLOW_S / trace.interval_s)) + 1
    above = force - median_filter(force, size, mode="nearest")
    rest = np.ones(len(time_s), bool)
    for s in drives:
        rest[slice(*np.searchsorted(time_s, [s.catch_s - REST_S, s.finish_s + REST_S]))] = False
    if rest.sum() < 20:
        return np.zeros(0)
    noise = 1.4826 * float(np.median(np.abs(above[rest])))
    size_n = np.where(rest, np.abs(above), 0.0)
    high = size_n > max(CLEAR_TIMES * noise, LEAST_SHARE * usual)
    return _alone([_onset(time_s, size_n, i, j) for i, j in _runs(high) if _brief(time_s, i, j)])


def _brief(time_s: FloatArray, first: int, last: int) -> bool:
    return float(time_s[last - 1] - time_s[first]) <= LONGEST_BLOW_S and first > 0


def _onset(time_s: FloatArray, size: FloatArray, first: int, last: int) -> float:
    """Where a bump begins: as far before its half as half the way from there to its top."""
    top = first + int(np.argmax(size[first:last]))
    k = top
    while k > 0 and size[k - 1] > 0.5 * size[top]:
        k -= 1
    rise = size[k] - size[k - 1]
    part = (0.5 * size[top] - size[k - 1]) / rise if rise > 0.0 else 1.0
    half = float(time_s[k - 1] + part * (time_s[k] - time_s[k - 1]))
    return half - 0.5 * (float(time_s[top]) - half)


def blows_heard(sound: SoundSignal) -> FloatArray:
    """Where all pitches grow loud at once, video s."""
    level = sound.level
    if len(level) < 50:
        return np.zeros(0)
    rise = np.zeros(len(level))
    rise[2:] = np.median(level[2:] - level[:-2], axis=1)
    usual = 1.4826 * float(np.median(np.abs(rise - np.median(rise))))
    high = rise > max(HEARD_RISE, HEARD_TIMES * usual)
    found = []
    for first, last in _runs(high):
        base = np.exp(level[max(0, first - 4) : max(1, first - 1)]).mean(axis=0)
        near = slice(max(0, first - 2), min(len(level), last + 3))
        power = np.median(np.maximum(np.exp(level[near]) / base - 1.0, 0.0), axis=1)
        k = int(np.argmax(power > 0.5 * power.max()))
        before = power[k - 1] if k > 0 else 0.0
        part = (power[k] - 0.5 * power.max()) / max(power[k] - before, 1e-9)
        step = float(sound.time_s[1] - sound.time_s[0])
        found.append(float(sound.time_s[near][k]) - min(float(part), 1.0) * step)
    return _alone(found)


def blows_seen(motion: MotionSignal) -> FloatArray:
    """Where something fast stops dead in the picture, video s."""
    from scipy.ndimage import median_filter

    stir, time_s = motion.stir, motion.time_s
    if stir is None or len(stir) < 20:
        return np.zeros(0)
    frame_s = float(np.median(np.diff(time_s)))
    size = 2 * max(2, round(SEEN_AROUND_S / frame_s)) + 1
    usual = np.maximum(
        median_filter(stir, size, mode="nearest"), float(np.percentile(stir, 90.0)) / SEEN_TIMES
    )
    found = []
    for i in np.flatnonzero(stir[1:-2] > SEEN_TIMES * usual[1:-2]) + 1:
        is_top = stir[i] > stir[i - 1] and stir[i] >= stir[i + 1]
        if is_top and min(stir[i + 1], stir[i + 2]) < SEEN_LEFT * stir[i]:
            left = min(max(float((stir[i + 1] - usual[i]) / stir[i]), 0.0), 1.0)
            found.append(float(time_s[i]) + left * frame_s)
    return _alone(found)


def _late_sound(seen: FloatArray, heard: FloatArray, film_s: float) -> float | None:
    """How late the sound is on the picture by blows that can be nothing but each other."""
    width = TRACK_S[1] - TRACK_S[0]
    if max(len(seen), len(heard)) * width > RARE * max(film_s, 1.0):
        return None
    late = [
        float(near[0])
        for at in seen.tolist()
        if len(near := (heard - at)[(heard - at > TRACK_S[0]) & (heard - at < TRACK_S[1])]) == 1
    ]
    if not late or max(late) - min(late) > SAME_S:
        return None
    return float(np.median(late))


def _runs(high: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], high.astype(np.int8), [0]))))
    return [(int(i), int(j)) for i, j in zip(edges[::2], edges[1::2], strict=True)]


def _alone(found: Sequence[float]) -> FloatArray:
    """Blows with those left out that only ring on."""
    kept: list[float] = []
    for at in sorted(found):
        if not kept or at - kept[-1] > 3.0 * SAME_S:
            kept.append(at)
    return np.array(kept)
