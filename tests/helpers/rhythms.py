"""Footage and force that belong together, or do not, made without the simulated athlete.

Strokes are drawn here by rhythms of their own: intervals that remember the one before, pyramids,
rests, a metronome. Handle, force and wheel have shapes of their own too. Footage is made as the
signals measured of it: motion with errors of seeing, noise and somebody who walks past, loudness in
bands of which some follow the wheel.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.trace import ForceTrace

FloatArray = NDArray[np.float64]
Rng = np.random.Generator

RHYTHMS = ("steady", "loose", "metronome", "pyramid", "rests", "drifting")
ROWED = ("another piece", "same rate", "same plan", "another section")
NOT_ROWED = ("walking", "sitting", "stretching", "noise")
STEP_S = 0.01


@dataclass(frozen=True)
class Rowed:
    """Strokes on world time.

    Attributes
    ----------
    catch_s, drive_s : (S,) when each drive begins and how long it is
    time_s, handle_m, force_n, wheel : (N,) what a recorder and a camera could see
    """

    catch_s: FloatArray
    drive_s: FloatArray
    time_s: FloatArray
    handle_m: FloatArray
    force_n: FloatArray
    wheel: FloatArray


@dataclass(frozen=True)
class Met:
    """Footage met with a force recording.

    Attributes
    ----------
    kind : what the footage shows, "right" or one of `ROWED` and `NOT_ROWED`
    rhythm : of the strokes on the trace
    use : "picture", "sound" or "both"
    offset_s : true offset; NaN where they do not belong together
    common : whole strokes in both; 0 where they do not belong together
    slow : how many times slower than life the footage runs
    """

    kind: str
    rhythm: str
    use: str
    motion: MotionSignal | None
    sound: SoundSignal | None
    trace: ForceTrace
    offset_s: float
    common: int
    slow: float = 1.0


def periods(rng: Rng, rhythm: str, rate_spm: float, length_s: float) -> FloatArray:
    """Times from catch to catch that fill a length of time, s."""
    count = int(length_s * rate_spm / 60.0 * 1.4) + 8
    share = {"steady": 0.012, "loose": 0.03, "metronome": 0.003}.get(rhythm, 0.015)
    keep = float(rng.uniform(0.0, 0.6))
    off = np.zeros(count)
    for i in range(1, count):
        off[i] = keep * off[i - 1] + float(rng.standard_normal())
    period = 60.0 / rate_spm * np.exp(share * float(rng.uniform(0.7, 1.4)) * off)
    if rhythm == "pyramid":
        period /= _pyramid(rng, count)
    if rhythm == "drifting":
        period *= np.exp(np.linspace(0.0, float(rng.uniform(-0.2, 0.2)), count))
    if rhythm == "rests":
        at = rng.integers(3, count, max(1, count // 14))
        period[at] += rng.uniform(2.0, 9.0, len(at))
    return period


def _pyramid(rng: Rng, count: int) -> FloatArray:
    steps = np.array((1.0, 1.1, 1.2, 1.3, 1.2, 1.1))
    long = int(rng.integers(5, 11))
    first = int(rng.integers(0, 6))
    return steps[(np.arange(count) // long + first) % 6]


def row(rng: Rng, period_s: FloatArray, start_s: float = 0.0) -> Rowed:
    """Row strokes at given intervals from a moment on."""
    catch = start_s + np.cumsum(period_s)[:-1]
    drive = np.clip(0.38 * period_s[1:], 0.55, 1.1) * np.exp(0.02 * rng.standard_normal(len(catch)))
    time_s = np.arange(start_s, catch[-1] + period_s[-1], STEP_S)
    handle, force = np.zeros(len(time_s)), np.zeros(len(time_s))
    length, peak = float(rng.uniform(1.1, 1.4)), float(rng.uniform(350.0, 800.0))
    skew = float(rng.uniform(0.75, 1.05))
    for k, (at, pull) in enumerate(zip(catch, drive, strict=True)):
        until = catch[k + 1] if k + 1 < len(catch) else time_s[-1]
        reach = length * float(np.exp(0.02 * rng.standard_normal()))
        out = (time_s >= at) & (time_s < at + pull)
        share = (time_s[out] - at) / pull
        handle[out] = reach * 0.5 * (1.0 - np.cos(np.pi * share**0.95))
        force[out] = (
            peak * float(np.exp(0.05 * rng.standard_normal())) * np.sin(np.pi * share**skew)
        )
        # In a rest the athlete comes forward and sits.
        home_s = min(until - at - pull, 1.7 * float(np.median(period_s)))
        back = (time_s >= at + pull) & (time_s < until)
        way = np.clip((time_s[back] - at - pull) / max(home_s, 0.2), 0.0, 1.0)
        handle[back] = reach * 0.5 * (1.0 + np.cos(np.pi * way**1.1))
    return Rowed(catch, drive, time_s, handle, force, _wheel(force))


def _wheel(force: FloatArray) -> FloatArray:
    """Speed of something heavy that is pulled round and slows down by air."""
    now, out = 10.0, np.empty(len(force))
    gain = 0.0155 * 100.0 / max(float(force.mean()), 1.0)
    for i, pull in enumerate(force.tolist()):
        now = max(now + STEP_S * (gain * pull - 0.0155 * now * now), 0.1)
        out[i] = now
    return out


def filmed(
    rng: Rng, rowed: Rowed, begin_s: float, length_s: float, slow: float = 1.0
) -> MotionSignal:
    """The rower's motion: each stroke seen some milliseconds off, with noise and passers-by."""
    fps = float(rng.choice([25.0, 30.0, 60.0])) * (1.0 if slow == 1.0 else slow)
    time_s = np.arange(begin_s, begin_s + length_s, 1.0 / fps)
    off = float(rng.uniform(0.004, 0.014)) * rng.standard_normal(len(rowed.catch_s))
    seen = time_s - np.interp(time_s, rowed.catch_s, off) - float(rng.normal(0.0, 0.015))
    way = np.interp(seen, rowed.time_s, rowed.handle_m)
    travel = np.diff(way, prepend=way[0]) * float(rng.uniform(0.1, 0.3))
    travel *= float(rng.choice((-1.0, 1.0)))
    usual = float(np.sqrt((travel**2).mean()))
    noise = float(rng.uniform(0.05, 0.3)) * usual
    travel = travel + noise * rng.standard_normal(len(travel))
    if rng.random() < 0.25:
        _pass_by(rng, time_s, travel, usual)
    travel[0] = 0.0
    return _motion((time_s - begin_s) * slow, travel)


def _pass_by(rng: Rng, time_s: FloatArray, travel: FloatArray, usual: float) -> None:
    start = float(rng.uniform(time_s[0], time_s[-1]))
    hidden = (time_s > start) & (time_s < start + float(rng.uniform(0.8, 3.0)))
    travel[hidden] = usual * rng.standard_normal(int(hidden.sum()))


def _motion(time_s: FloatArray, travel: FloatArray) -> MotionSignal:
    return MotionSignal(time_s, travel, 0.8, np.ones((2, 2), np.float32))


def heard(
    rng: Rng, rowed: Rowed, begin_s: float, length_s: float, slow: float = 1.0
) -> SoundSignal:
    """Ten bands, of which some follow the wheel, under noise or talk."""
    time_s = np.arange(begin_s, begin_s + length_s, STEP_S / slow)
    wheel = np.log(np.interp(time_s - 0.01, rowed.time_s, rowed.wheel))
    gain = rng.uniform(1.0, 4.0, 10) * (rng.random(10) < 0.6)
    gain[int(rng.integers(10))] = 3.0
    level = np.outer(wheel, gain) + _din(rng, len(time_s), float(rng.uniform(0.05, 0.35)))
    return SoundSignal((time_s - begin_s) * slow, level)


def _din(rng: Rng, count: int, much: float) -> FloatArray:
    """Noise of each band, and syllables common to some."""
    level = much * rng.standard_normal((count, 10))
    if rng.random() < 0.5:
        bumps = np.convolve(rng.random(count) < 0.03, np.hanning(20), "same")
        speaking = np.repeat(rng.random(count // 200 + 1) < 0.6, 200)[:count]
        level += np.outer(bumps * speaking, rng.uniform(0.0, 1.0, 10) * (rng.random(10) < 0.5))
    return level


def cut_out(
    motion: MotionSignal, sound: SoundSignal | None, from_s: float, until_s: float
) -> tuple[MotionSignal, SoundSignal | None, float]:
    """A film with a stretch left out, and by how much all that follows is too early, s."""
    time_s = motion.time_s
    kept = (time_s < from_s) | (time_s >= until_s)
    first = int((time_s < from_s).sum())
    gone = float(time_s[time_s >= until_s][0] - time_s[first])
    changed = np.ones(len(time_s)) + 0.1 * np.sin(7.0 * np.arange(len(time_s)))
    changed = changed[kept]
    changed[first] = 4.0
    shown = np.where(time_s >= until_s, time_s - gone, time_s)[kept]
    motion = replace(motion, time_s=shown, travel=motion.travel[kept], changed=changed)
    if sound is not None:
        kept = (sound.time_s < from_s) | (sound.time_s >= from_s + gone)
        level = sound.level[kept]
        sound = SoundSignal(sound.time_s[: len(level)], level)
    return motion, sound, gone


def recorded(rng: Rng, rowed: Rowed, begin_s: float, length_s: float, zero_s: float) -> ForceTrace:
    """A force recording of a stretch of world time; its clock reads 0 at `zero_s`."""
    time_s = np.arange(begin_s, begin_s + length_s, 1.0 / float(rng.choice([50.0, 100.0])))
    force = np.interp(time_s, rowed.time_s, rowed.force_n)
    force = force + 8.0 + 0.01 * force.max() * rng.standard_normal(len(force))
    handle = np.interp(time_s, rowed.time_s, rowed.handle_m)
    rate = 1.0 + float(rng.uniform(-150.0, 150.0)) * 1e-6
    return ForceTrace((time_s - zero_s) * rate, force, handle if rng.random() < 0.5 else None)


def draw_right(seed: int, slow: float = 1.0) -> Met:
    """Footage and force of the same strokes."""
    rng = np.random.default_rng([seed, 11])
    rhythm, use = str(rng.choice(RHYTHMS)), str(rng.choice(("picture", "sound", "both")))
    length = float(rng.uniform(8.0, 70.0))
    before, after = float(rng.uniform(1.0, 60.0)), float(rng.uniform(1.0, 60.0))
    rate = float(rng.uniform(17.0, 36.0))
    rowed = row(rng, periods(rng, rhythm, rate, before + length + after))
    begin = before
    zero = float(rng.uniform(0.5, before + 0.4 * length))
    end = min(before + length + after, float(rowed.time_s[-1])) - 0.5
    trace = recorded(rng, rowed, zero, end - zero, zero)
    motion = filmed(rng, rowed, begin, length, slow) if use != "sound" else None
    sound = heard(rng, rowed, begin, length, slow) if use != "picture" else None
    inside = (rowed.catch_s > max(zero, begin) + 0.3) & (
        rowed.catch_s + rowed.drive_s < min(end, begin + length)
    )
    offset = (zero - begin) * slow
    return Met("right", rhythm, use, motion, sound, trace, offset, int(inside.sum()), slow)


def draw_wrong(seed: int, kind: str) -> Met:
    """Footage of something else than the force recording."""
    rng = np.random.default_rng([seed, 12])
    rhythm, use = str(rng.choice(RHYTHMS)), str(rng.choice(("picture", "sound", "both")))
    length, long = float(rng.uniform(8.0, 70.0)), float(rng.uniform(20.0, 150.0))
    rate = float(rng.uniform(17.0, 36.0))
    plan = int(rng.integers(1 << 30))
    if kind == "another section":
        rowed = row(rng, periods(rng, rhythm, rate, long + length + 40.0))
        trace = recorded(rng, rowed, 1.0, long, 1.0)
        seen, begin = rowed, long + float(rng.uniform(5.0, 25.0))
    else:
        own = np.random.default_rng(plan) if kind == "same plan" else rng
        rowed = row(rng, periods(own, rhythm, rate, long + 20.0))
        trace = recorded(rng, rowed, 1.0, long, 1.0)
        seen, begin = _another(rng, kind, rhythm, rate, length, plan, rowed), 1.5
    if kind in NOT_ROWED:
        motion: MotionSignal | None = idle(rng, kind, length)
        sound: SoundSignal | None = SoundSignal(
            np.arange(0.0, length, STEP_S), _din(rng, len(np.arange(0.0, length, STEP_S)), 0.2)
        )
    else:
        motion = filmed(rng, seen, begin, length)
        sound = heard(rng, seen, begin, length)
    return Met(
        kind, rhythm, use,
        None if use == "sound" else motion, None if use == "picture" else sound,
        trace, float("nan"), 0,
    )  # fmt: skip


def _another(
    rng: Rng, kind: str, rhythm: str, rate: float, length: float, plan: int, rowed: Rowed
) -> Rowed:
    """Other strokes than those of the trace."""
    if kind == "same rate":
        usual = float(np.mean(np.diff(rowed.catch_s)))
        period = periods(rng, rhythm, rate, length + 20.0)
        return row(rng, period * usual / float(period.mean()))
    if kind == "same plan":
        # The same exercise rowed another time: rates and rests as planned, strokes as they come.
        period = periods(np.random.default_rng(plan), rhythm, rate, length + 20.0)
        return row(rng, period * np.exp(0.015 * rng.standard_normal(len(period))))
    return row(rng, periods(rng, str(rng.choice(RHYTHMS)), float(rng.uniform(17, 36)), length + 20))


def idle(rng: Rng, kind: str, length_s: float) -> MotionSignal:
    """What moves where nobody rows."""
    time_s = np.arange(0.0, length_s, 1.0 / float(rng.choice([25.0, 30.0, 60.0])))
    step = float(time_s[1])
    noise = rng.standard_normal(len(time_s))
    if kind == "walking":
        cadence = float(rng.uniform(1.5, 2.1)) * (1.0 + 0.03 * np.sin(0.4 * time_s))
        phase = 2.0 * np.pi * np.cumsum(cadence) * step
        speed = np.sin(phase) + 0.4 * np.sin(0.5 * phase + 1.0) + 0.3 * noise
    elif kind == "sitting":
        breath = 2.0 * np.pi * np.cumsum(rng.uniform(0.2, 0.35) * (1 + 0.1 * _slow(rng, time_s)))
        speed = np.sin(breath * step) + 0.8 * _slow(rng, time_s) + 0.4 * noise
    elif kind == "stretching":
        period = rng.uniform(1.6, 4.0) * np.exp(0.25 * rng.standard_normal(int(length_s) + 10))
        phase = np.interp(time_s, np.cumsum(period), np.arange(len(period)), left=0.0)
        speed = np.sin(2.0 * np.pi * phase) + 0.2 * noise
    else:
        speed = noise
    travel = 0.1 * speed * step
    travel[0] = 0.0
    return _motion(time_s, travel)


def _slow(rng: Rng, time_s: FloatArray) -> FloatArray:
    """A random wave of some second's length, of spread 1."""
    from scipy.ndimage import gaussian_filter1d

    raw = gaussian_filter1d(rng.standard_normal(len(time_s)), 0.4 / float(time_s[1]))
    out: FloatArray = raw / (raw.std() + 1e-9)
    return out


def write_other_piece(path: Path) -> Path:
    """Write a force file of strokes that nobody filmed."""
    rng = np.random.default_rng(3)
    rowed = row(rng, periods(rng, "loose", 34.0, 90.0))
    trace = recorded(rng, rowed, 1.0, 60.0, 1.0)
    rows = (f"{t:.3f},{n:.1f}" for t, n in zip(trace.time_s, trace.force_n, strict=True))
    path.write_text("\n".join(("time_s,force_n", *rows)) + "\n", "utf-8")
    return path
