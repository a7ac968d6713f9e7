"""Footage and force of one piece as signals, with everything drawn that lies between them.

Shapes and figures are this module's own: how long hands gather speed before the chain bites and in
which way, whether the body sets off before the handle or after it, how much of either the picture
shows, by how much the sound lags the wheel, how the way home is shaped. A knock on the handle
at rest may be in all three recordings, a clap in the film alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.trace import ForceTrace

FloatArray = NDArray[np.float64]
Rng = np.random.Generator

STEP_S = 0.005
FIRST_S = 9.0  # world time of the first stroke; rest before it
BANDS = 10


@dataclass(frozen=True)
class Habits:
    """What nobody who has the recordings knows.

    Attributes
    ----------
    take_up_s : how long the hands gather speed before the chain bites
    gather : speed grows with this power of time meanwhile
    lead_s : by how much the body sets off before the handle; below 0 the handle goes first
    shown : share of the handle in the motion of the picture
    lag_s : by how much the loudness of the film follows the speed of the wheel
    track_s : how much of that every sound of the film has
    """

    take_up_s: float
    gather: float
    lead_s: float
    shown: float
    lag_s: float
    track_s: float


@dataclass(frozen=True)
class Sent:
    """A submission as signals, with its truth."""

    motion: MotionSignal
    sound: SoundSignal
    trace: ForceTrace
    offset_s: float
    drift_ppm: float
    fps: float
    sign: int
    habits: Habits

    def film_s(self, trace_s: float) -> float:
        """Where a moment of the trace truly stands in the film."""
        return trace_s / (1.0 + self.drift_ppm * 1e-6) + self.offset_s


def draw_habits(rng: Rng) -> Habits:
    """Draw as widely as athletes and cameras differ."""
    lag = float(rng.uniform(0.0, 0.040))
    return Habits(
        take_up_s=float(rng.uniform(0.03, 0.25)),
        gather=float(rng.uniform(0.7, 1.8)),
        lead_s=float(np.clip(rng.normal(0.010, 0.022), -0.045, 0.065)),
        shown=float(rng.uniform(0.25, 0.75)),
        lag_s=lag,
        track_s=lag * float(rng.uniform(0.0, 1.0)),
    )


def draw(
    seed: int,
    *,
    position: bool = False,
    knock: bool = False,
    clap: bool = False,
    habits: Habits | None = None,
    seconds: float | None = None,
) -> Sent:
    """Row, film and record one piece."""
    rng = np.random.default_rng([seed, 77])
    drawn = draw_habits(rng)
    habits = habits or drawn
    length = float(rng.uniform(25.0, 55.0)) if seconds is None else seconds
    rowed = _row(rng, habits, length + 25.0)
    begin = float(rng.uniform(0.0, 2.0)) if knock or clap else float(rng.uniform(0.0, 20.0))
    zero = float(rng.uniform(0.0, 2.0)) if knock else float(rng.uniform(-20.0, 15.0))
    fps = float(rng.choice([25.0, 30.0, 30.0, 60.0]))
    knock_s = float(rng.uniform(3.5, 6.0)) if knock else None
    clap_s = float(rng.uniform(3.5, 6.0)) if clap else None
    struck = [s for s in (knock_s, clap_s) if s is not None]
    end = begin + length
    sign = int(rng.choice((-1, 1)))
    motion = _filmed(rng, rowed, habits, (begin, end), fps, struck, sign)
    sound = _heard(rng, rowed, habits, (begin, end), struck)
    drift_ppm = float(rng.uniform(-120.0, 120.0))
    until = min(end + float(rng.uniform(-6.0, 8.0)), float(rowed.time_s[-1]) - 1.0)
    trace = _recorded(rng, rowed, (zero, until), drift_ppm, knock_s, position)
    return Sent(motion, sound, trace, zero - begin, drift_ppm, fps, sign, habits)


@dataclass(frozen=True)
class _Rowed:
    time_s: FloatArray
    handle_m: FloatArray
    body_m: FloatArray
    force_n: FloatArray
    wheel: FloatArray


@dataclass(frozen=True)
class _Style:
    """Of one athlete: shapes of the pull and of the way home."""

    rise: float
    fall: float
    slow: float
    fast: float
    run_out_s: float
    still_s: float
    late_s: float
    home: float
    legs: float
    arms: float
    seat: float


def _row(rng: Rng, habits: Habits, length_s: float) -> _Rowed:
    style = _Style(
        rise=float(rng.uniform(0.55, 1.1)),
        fall=float(rng.uniform(0.7, 1.3)),
        slow=float(rng.uniform(1.0, 1.5)),
        fast=float(rng.uniform(1.6, 2.1)),
        run_out_s=float(rng.uniform(0.04, 0.20)),
        still_s=float(rng.uniform(0.0, 0.08)),
        late_s=float(rng.uniform(0.0, 0.12)),
        home=float(rng.uniform(0.8, 1.6)),
        legs=float(rng.uniform(0.7, 0.95)),
        arms=float(rng.uniform(0.65, 0.9)),
        seat=float(rng.uniform(0.0, 0.25)),
    )
    time_s = np.arange(-25.0, FIRST_S + length_s, STEP_S)
    handle, body, force = (np.zeros(len(time_s)) for _ in range(3))
    rate, peak = float(rng.uniform(19.0, 32.0)), float(rng.uniform(350.0, 800.0))
    spread, off, at = float(rng.uniform(0.012, 0.03)), 0.0, FIRST_S
    while at < time_s[-1] - 5.0:
        off = 0.4 * off + spread * float(rng.standard_normal())
        period = 60.0 / rate * float(np.exp(off))
        pull = float(np.clip(0.36 * period, 0.55, 0.95)) * float(np.exp(0.02 * rng.normal()))
        take_up = habits.take_up_s * float(np.exp(0.05 * rng.normal()))
        lead = habits.lead_s + 0.004 * float(rng.normal())
        bite, next_s = at + take_up, at + period
        part = slice(*np.searchsorted(time_s, [at - 0.3, next_s + 0.3]))
        near = time_s[part]
        handle[part] += _handle_speed(near, at, bite, pull, next_s, habits.gather, style)
        body[part] += _body_speed(near, at, bite, pull, next_s, habits, lead, style)
        share = np.clip((near - bite) / pull, 0.0, 1.0)
        curve = share**style.rise * (1.0 - share) ** style.fall
        force[part] += peak * float(np.exp(0.05 * rng.normal())) * curve / curve.max()
        at = next_s
    return _Rowed(
        time_s, np.cumsum(handle) * STEP_S, np.cumsum(body) * STEP_S, force, _wheel(rng, force)
    )


def _handle_speed(
    t: FloatArray, at: float, bite: float, pull: float, next_s: float, gather: float, style: _Style
) -> FloatArray:
    up = np.clip((t - at) / (bite - at), 0.0, 1.0) ** gather * style.slow
    drive = np.sin(0.5 * np.pi * np.clip((t - bite) / (0.7 * pull), 0.0, 1.0))
    down = np.clip(1.0 - (t - bite - pull) / style.run_out_s, 0.0, 1.0)
    speed: FloatArray = (up + (style.fast - style.slow) * drive) * down
    speed[t < at] = 0.0
    leave = bite + pull + style.run_out_s + 0.3 * style.late_s
    return speed - _home(t, leave, next_s - style.still_s, style.home, speed.sum())


def _body_speed(
    t: FloatArray,
    at: float,
    bite: float,
    pull: float,
    next_s: float,
    habits: Habits,
    lead: float,
    style: _Style,
) -> FloatArray:
    """Shoulders go as the handle does until the arms bend, the seat until the trunk swings."""
    ahead = t + lead
    handle = np.maximum(_handle_speed(ahead, at, bite, pull, next_s, habits.gather, style), 0.0)
    done = np.clip((ahead - at) / (bite - at + pull), 0.0, 1.0)
    shoulders = np.clip((1.0 - done) / (1.0 - style.arms), 0.0, 1.0)
    seat = np.clip(1.0 - done / style.legs, 0.0, 1.0)
    speed: FloatArray = handle * (style.seat * seat + (1.0 - style.seat) * shoulders)
    leave = bite + pull + style.late_s
    return speed - _home(t, leave, next_s - lead - style.still_s, style.home, speed.sum())


def _home(t: FloatArray, leave: float, arrive: float, shape: float, total: float) -> FloatArray:
    share = np.clip((t - leave) / max(arrive - leave, 0.3), 0.0, 1.0)
    way = share**shape * (1.0 - share) ** 1.1
    out: FloatArray = way * (total / way.sum())
    return out


def _wheel(rng: Rng, force: FloatArray) -> FloatArray:
    drag, now = float(rng.uniform(0.10, 0.20)), 1.0
    gain = drag / float(force[force > 0].mean() * 0.4)
    out = np.empty(len(force))
    for i, pull in enumerate((gain * force).tolist()):
        now += STEP_S * (pull - drag * now * now)
        if now < 0.05:  # twice as fast as `max`, and there are many steps
            now = 0.05
        out[i] = now
    return out


def _filmed(
    rng: Rng,
    rowed: _Rowed,
    habits: Habits,
    span_s: tuple[float, float],
    fps: float,
    struck: list[float],
    sign: int,
) -> MotionSignal:
    time_s = np.arange(span_s[0] + float(rng.uniform(0.0, 1.0 / fps)), span_s[1], 1.0 / fps)
    way = habits.shown * rowed.handle_m + (1.0 - habits.shown) * rowed.body_m
    travel = np.diff(np.interp(time_s, rowed.time_s, way), prepend=0.0) * 0.2
    travel[0] = 0.0
    usual = float(np.sqrt((travel**2).mean()))
    travel = travel + float(rng.uniform(0.05, 0.25)) * usual * rng.standard_normal(len(time_s))
    stir = 3.0 * np.abs(travel) + 0.3 * usual * np.abs(rng.standard_normal(len(time_s)))
    for at in struck:
        # Hands come nearer for a fifth of a second, ever faster, and stop dead.
        hand = np.clip((time_s - at + 0.2) / 0.2, 0.0, 1.0) ** 2.5
        stir += 25.0 * usual * np.diff(hand, prepend=hand[0]) * fps / 30.0
    travel *= sign
    region = np.ones((2, 2), np.float32)
    return MotionSignal(time_s - span_s[0], travel, 0.8, region, stir=stir)


def _heard(
    rng: Rng, rowed: _Rowed, habits: Habits, span_s: tuple[float, float], struck: list[float]
) -> SoundSignal:
    time_s = np.arange(span_s[0], span_s[1], 0.01)
    wheel = np.log(np.interp(time_s - habits.lag_s, rowed.time_s, rowed.wheel))
    gain = rng.uniform(1.0, 4.0, BANDS) * (rng.random(BANDS) < 0.6)
    gain[int(rng.integers(BANDS))] = 3.0
    level = np.outer(wheel, gain)
    level += float(rng.uniform(0.05, 0.35)) * rng.standard_normal(level.shape)
    for at in struck:
        # Looked at through 20 ms of a bell, dying away within some hundredths of a second.
        ring = np.arange(0.0, 0.15, 0.001)
        power = np.exp(-ring / float(rng.uniform(0.008, 0.025)))
        apart = time_s[:, None] - (at + habits.track_s + ring)[None]
        seen = np.cos(0.5 * np.pi * np.clip(apart / 0.01, -1.0, 1.0)) ** 4 @ power
        level = np.log(np.exp(level) + np.outer(seen, rng.uniform(20.0, 60.0, BANDS)))
    return SoundSignal(time_s - span_s[0], level)


def _recorded(
    rng: Rng,
    rowed: _Rowed,
    span_s: tuple[float, float],
    drift_ppm: float,
    knock_s: float | None,
    position: bool,
) -> ForceTrace:
    rate = float(rng.choice([50.0, 100.0, 200.0]))
    time_s = np.arange(span_s[0], span_s[1], 1.0 / rate)
    force = np.interp(time_s, rowed.time_s, rowed.force_n)
    if knock_s is not None:
        since = (time_s - knock_s) / float(rng.uniform(0.025, 0.05))
        bump = np.where((since > 0.0) & (since < 1.0), np.sin(np.pi * np.clip(since, 0, 1)), 0.0)
        force = force + float(rng.uniform(60.0, 250.0)) * bump
    force = force + 10.0 + 0.008 * float(force.max()) * rng.standard_normal(len(force))
    handle = np.interp(time_s, rowed.time_s, rowed.handle_m)
    clock = (time_s - span_s[0]) * (1.0 + drift_ppm * 1e-6)
    return ForceTrace(clock, force, handle if position else None)
