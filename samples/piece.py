"""One simulated piece: handle, force and flywheel over time, with its strokes as they truly were.

The athlete pulls with a force that is known over the length of the pull; how long the drive takes
follows from the flywheel. Time here is world time, which is also video time.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

import numpy as np

from samples.faults import (
    CurveShape,
    Faults,
    SampleError,
    fault_strengths,
    force_curve,
)
from samples.flywheel import FloatArray, Flywheel, running_integral

POINTS = 401  # along one pull
TAKE_UP_S = 0.10  # the hands gather speed until the chain bites
RUN_OUT_S = 0.10  # the hands come to rest after the force is gone
SHORTEST_RETURN_S = 0.58  # nobody brings a handle home faster; the rate falls instead
EDGE = 0.35  # share of the way home spent speeding up, and again slowing down
CATCH_SHARE = 0.05  # a drive starts and ends at this share of the stroke's peak


@dataclass(frozen=True)
class PieceOptions:
    """What to simulate.

    Attributes
    ----------
    seed : the same seed and options give the same piece
    duration_s, start_s : s, the piece runs from `start_s` for `duration_s`
    rate_spm, end_rate_spm : strokes per minute at the start and at the end
    peak_n : N, nominal peak of a clean stroke; None takes one that suits the rate
    pull_m : m, length over which the chain pulls in a full stroke
    faults : pairs of code and strength 0-1
    variation : how much strokes differ; 1 is natural, 0 makes every stroke the same
    pauses : pairs (stroke, s): the athlete sits still after that stroke, counted from 0
    half_strokes : strokes rowed at half length
    grid_hz : samples per second of the arrays
    cord_n : N, constant pull of the cord that takes the handle home
    """

    seed: int = 1
    duration_s: float = 40.0
    start_s: float = 0.0
    rate_spm: float = 22.0
    end_rate_spm: float | None = None
    peak_n: float | None = None
    pull_m: float = 1.22
    faults: Faults = ()
    variation: float = 1.0
    pauses: tuple[tuple[int, float], ...] = ()
    half_strokes: tuple[int, ...] = ()
    grid_hz: float = 500.0
    cord_n: float = 12.0
    flywheel: Flywheel = field(default_factory=Flywheel)


@dataclass(frozen=True)
class TrueStroke:
    """A stroke as it was rowed, world seconds.

    Catch and finish are where the noise-free force above the pull of the cord crosses 5 % of
    this stroke's peak. `next_catch_s` is None for the last stroke and before a pause.
    """

    catch_s: float
    finish_s: float
    next_catch_s: float | None
    kind: Literal["full", "half"] = "full"
    peak_n: float = 0.0  # above the pull of the cord
    pull_m: float = 0.0


@dataclass(frozen=True)
class Cycle:
    """When and where the handle turned, world seconds and metres.

    The handle leaves `start_m` at `start_s`, the chain bites at `engage_s`, the force is gone at
    `release_s`, the handle is farthest (`far_m`) at `far_s`, sets off home at `leave_s` and
    arrives at `end_s`, where the next cycle starts.
    """

    start_s: float
    engage_s: float
    release_s: float
    far_s: float
    leave_s: float
    end_s: float
    start_m: float
    far_m: float
    half: bool = False


@dataclass(frozen=True)
class Piece:
    """A simulated piece.

    Attributes
    ----------
    time_s : (N,) world s, even
    handle_m : (N,) m, 0 at a usual catch, growing towards the finish
    force_n : (N,) N at the handle, the pull of the cord included
    flywheel_rad_s : (N,) rad/s
    strokes : those whose catch and finish lie within the piece
    cycles : all, some of which begin before the piece or end after it
    """

    options: PieceOptions
    time_s: FloatArray
    handle_m: FloatArray
    force_n: FloatArray
    flywheel_rad_s: FloatArray
    strokes: tuple[TrueStroke, ...]
    cycles: tuple[Cycle, ...]


@dataclass(frozen=True)
class _Plan:
    """What the athlete means to do in each of N strokes."""

    period_s: FloatArray
    peak_n: FloatArray
    start_m: FloatArray
    pull_m: FloatArray
    build_up: FloatArray
    decline_from: FloatArray
    hold_s: FloatArray
    half: tuple[bool, ...]


def simulate_piece(options: PieceOptions) -> Piece:
    """Simulate one piece.

    Raises
    ------
    SampleError
        Options that cannot be rowed.
    """
    _check(options)
    strength = fault_strengths(options.faults)
    plan = _plan(options, strength)
    curves = _curves(plan, strength)
    step = 1.0 / options.grid_hz
    time_s: FloatArray = (
        options.start_s
        + np.arange(round(options.duration_s * options.grid_hz) + 1, dtype=np.float64) * step
    )
    handle_m = np.full(len(time_s), plan.start_m[0])
    force_n = np.full(len(time_s), options.cord_n)
    speed = np.zeros(len(time_s))
    cycles: list[Cycle] = []
    marks: list[tuple[float, float, float]] = []
    omega = _steady_speed(options, plan, curves[0], strength)
    begin = options.start_s - 0.62 * float(plan.period_s[0])
    for i in range(len(plan.period_s)):
        stroke = _row(options, plan, i, curves[i], omega, begin, strength)
        stroke.fill(time_s, handle_m, force_n, speed, strength["rushed-recovery"])
        cycles.append(stroke.cycle)
        marks.append(_crossings(stroke))
        omega, begin = stroke.end_speed, stroke.cycle.end_s
        if begin > time_s[-1]:
            break
    strokes = _true_strokes(marks, plan, float(time_s[0]), float(time_s[-1]))
    return Piece(options, time_s, handle_m, force_n, speed, strokes, tuple(cycles))


def _check(o: PieceOptions) -> None:
    rates = (o.rate_spm, o.rate_spm if o.end_rate_spm is None else o.end_rate_spm)
    if not all(10.0 <= r <= 50.0 for r in rates):
        raise SampleError("The stroke rate must be between 10 and 50 strokes per minute.")
    if not 0.0 < o.duration_s <= 36_000.0:
        raise SampleError("The piece must last between a moment and ten hours.")
    if not 50.0 <= o.grid_hz <= 5000.0:
        raise SampleError("The simulation needs 50 to 5000 samples per second.")
    if o.peak_n is not None and not 100.0 <= o.peak_n <= 2000.0:
        raise SampleError("The peak force must be between 100 and 2000 N.")
    if not 0.6 <= o.pull_m <= 1.6:
        raise SampleError("The pull must be between 0.6 and 1.6 m long.")


def _wander(rng: np.random.Generator, count: int, keep: float = 0.55) -> FloatArray:
    """Values of unit spread in which neighbours resemble each other."""
    noise = rng.standard_normal(count)
    out = np.empty(count)
    value = noise[0]
    for i in range(count):
        value = keep * value + (1.0 - keep**2) ** 0.5 * noise[i] if i else noise[0]
        out[i] = value
    return np.clip(out, -2.5, 2.5)


def _plan(o: PieceOptions, strength: dict[str, float]) -> _Plan:
    end_rate = o.rate_spm if o.end_rate_spm is None else o.end_rate_spm
    fastest = max(o.rate_spm, end_rate) * (1.0 + 0.7 * strength["rushed-recovery"])
    count = int(o.duration_s * fastest / 60.0 * 1.1) + 4
    rng = np.random.default_rng([o.seed, 11])
    usual = o.duration_s * 0.5 * (o.rate_spm + end_rate) / 60.0
    along = np.clip(np.arange(count) / max(usual, 1.0), 0.0, 1.0)
    rate = o.rate_spm + (end_rate - o.rate_spm) * along
    uneven = 1.0 + 5.0 * strength["uneven"]
    vary = o.variation
    peak = 560.0 + 14.0 * (rate - 20.0) if o.peak_n is None else np.full(count, o.peak_n)
    peak = peak * (1.0 + 0.020 * vary * uneven * _wander(rng, count))
    peak = peak * (1.0 - 0.30 * strength["fading"] * along)
    start = 0.010 * vary * (1.0 + 2.5 * strength["uneven"]) * _wander(rng, count)
    start = start + 0.05 * strength["fading"] * along
    half = np.isin(np.arange(count), o.half_strokes)
    start = np.where(half, 0.5 * o.pull_m, start)
    pull = o.pull_m - start + 0.004 * vary * _wander(rng, count)
    pull = pull - 0.03 * strength["fading"] * along
    period = 60.0 / (rate * (1.0 + 0.012 * vary * _wander(rng, count)))
    hold = np.zeros(count)
    for index, seconds in o.pauses:
        if 0 <= index < count:
            hold[index] = seconds
    shape = CurveShape()
    return _Plan(
        period_s=period,
        peak_n=np.where(half, 0.8 * peak, peak),
        start_m=start,
        pull_m=pull,
        build_up=shape.build_up * (1.0 + 0.04 * vary * uneven**0.5 * _wander(rng, count)),
        decline_from=shape.decline_from * (1.0 + 0.03 * vary * uneven**0.5 * _wander(rng, count)),
        hold_s=hold,
        half=tuple(bool(h) for h in half),
    )


def _curves(plan: _Plan, strength: dict[str, float]) -> list[FloatArray]:
    s = np.linspace(0.0, 1.0, POINTS)
    return [
        peak * force_curve(s, CurveShape(build_up, decline), strength)
        for peak, build_up, decline in zip(
            plan.peak_n, plan.build_up, plan.decline_from, strict=True
        )
    ]


def _steady_speed(
    o: PieceOptions, plan: _Plan, chain_n: FloatArray, strength: dict[str, float]
) -> float:
    """Flywheel speed at which the first stroke would repeat itself."""
    omega = 110.0
    for _ in range(60):
        after = _row(o, plan, 0, chain_n, omega, 0.0, strength).end_speed
        if abs(after - omega) < 1e-9:
            break
        omega = after
    return omega


@dataclass(frozen=True)
class _Rowed:
    """One stroke worked out: the pull point by point, and how the wheel ran on."""

    cycle: Cycle
    next_start_m: float
    cord_n: float
    flywheel: Flywheel
    start_speed: float  # when the handle leaves
    end_speed: float  # when the next handle leaves
    pull_time_s: FloatArray
    pull_handle_m: FloatArray
    pull_chain_n: FloatArray
    pull_speed: FloatArray

    def fill(
        self,
        time_s: FloatArray,
        handle_m: FloatArray,
        force_n: FloatArray,
        speed: FloatArray,
        rush: float,
    ) -> None:
        """Write this stroke's stretch of the piece's arrays."""
        c = self.cycle
        edges = (c.start_s, c.engage_s, c.release_s, c.far_s, c.leave_s, c.end_s)
        up, pull, out, hold, home = (
            slice(*np.searchsorted(time_s, pair)) for pair in pairwise(edges)
        )
        wheel = self.flywheel
        speed[up] = wheel.coast(self.start_speed, time_s[up] - c.start_s)
        speed[pull] = np.interp(time_s[pull], self.pull_time_s, self.pull_speed)
        force_n[pull] += np.interp(time_s[pull], self.pull_time_s, self.pull_chain_n)
        for part in (out, hold, home):
            speed[part] = wheel.coast(float(self.pull_speed[-1]), time_s[part] - c.release_s)
        bite = float(self.pull_speed[0]) * wheel.sprocket_m
        away = float(self.pull_speed[-1]) * wheel.sprocket_m
        handle_m[up] = c.start_m + _gather(time_s[up] - c.start_s, TAKE_UP_S, bite)
        handle_m[pull] = np.interp(time_s[pull], self.pull_time_s, self.pull_handle_m)
        handle_m[out] = c.far_m - _gather(c.far_s - time_s[out], RUN_OUT_S, away)
        handle_m[hold] = c.far_m
        share = np.clip((time_s[home] - c.leave_s) / (c.end_s - c.leave_s), 0.0, 1.0)
        handle_m[home] = c.far_m + (self.next_start_m - c.far_m) * _homeward(share, rush)


def _gather(elapsed_s: FloatArray, within_s: float, speed_m_s: float) -> FloatArray:
    """Travel while the speed rises smoothly from 0 to `speed_m_s` within `within_s`."""
    z = np.clip(elapsed_s / within_s, 0.0, 1.0)
    return speed_m_s * within_s * (z**3 - 0.5 * z**4)


def _homeward(share: FloatArray, rush: float) -> FloatArray:
    """Way home done at a share of the return's time: hands quick away, slow into the catch.

    Who rushes does the opposite: the speed comes late.
    """
    z = share ** (0.88 + 0.42 * rush)
    q, tail = np.clip(z / EDGE, 0.0, 1.0), np.clip((1.0 - z) / EDGE, 0.0, 1.0)
    middle = np.clip(z, EDGE, 1.0 - EDGE) - EDGE
    way = EDGE * (q**3 - 0.5 * q**4) + middle + EDGE * (0.5 - tail**3 + 0.5 * tail**4)
    return way / (1.0 - EDGE)


def _row(
    o: PieceOptions,
    plan: _Plan,
    i: int,
    chain_n: FloatArray,
    omega: float,
    begin_s: float,
    strength: dict[str, float],
) -> _Rowed:
    wheel = o.flywheel
    bite_speed = float(wheel.coast(omega, np.array(TAKE_UP_S)))
    pull = float(plan.pull_m[i])
    travel = np.linspace(0.0, pull, POINTS)
    speed = wheel.drive(bite_speed, travel, chain_n)
    elapsed = running_integral(1.0 / (wheel.sprocket_m * speed), float(travel[1]))
    drive_s = float(elapsed[-1])
    usual_s = float(plan.period_s[i]) - TAKE_UP_S - drive_s - RUN_OUT_S
    return_s = max(usual_s * (1.0 - 0.42 * strength["rushed-recovery"]), SHORTEST_RETURN_S)
    engage = begin_s + TAKE_UP_S
    release = engage + drive_s
    far = release + RUN_OUT_S
    leave = far + float(plan.hold_s[i])
    end = leave + return_s
    away = float(speed[-1])
    bite_m = float(plan.start_m[i]) + 0.5 * TAKE_UP_S * bite_speed * wheel.sprocket_m
    far_m = bite_m + pull + 0.5 * RUN_OUT_S * away * wheel.sprocket_m
    cycle = Cycle(
        begin_s, engage, release, far, leave, end, float(plan.start_m[i]), far_m, plan.half[i]
    )
    return _Rowed(
        cycle=cycle,
        next_start_m=float(plan.start_m[min(i + 1, len(plan.start_m) - 1)]),
        cord_n=o.cord_n,
        flywheel=wheel,
        start_speed=omega,
        end_speed=float(wheel.coast(away, np.array(end - release))),
        pull_time_s=engage + elapsed,
        pull_handle_m=bite_m + travel,
        pull_chain_n=chain_n,
        pull_speed=speed,
    )


def _crossings(stroke: _Rowed) -> tuple[float, float, float]:
    """Catch, finish (world s) and peak (N) of one pull."""
    force, time_s = stroke.pull_chain_n, stroke.pull_time_s
    peak = float(force.max())
    level = CATCH_SHARE * peak
    above = np.flatnonzero(force >= level)
    first, last = int(above[0]), int(above[-1])

    def between(a: int, b: int) -> float:
        part = (level - force[a]) / (force[b] - force[a])
        return float(time_s[a] + part * (time_s[b] - time_s[a]))

    return between(first - 1, first), between(last, last + 1), peak


def _true_strokes(
    marks: list[tuple[float, float, float]], plan: _Plan, first_s: float, last_s: float
) -> tuple[TrueStroke, ...]:
    strokes = []
    for i, (catch, finish, peak) in enumerate(marks):
        if catch < first_s or finish > last_s:
            continue
        follows = i + 1 < len(marks) and plan.hold_s[i] == 0.0 and marks[i + 1][1] <= last_s
        strokes.append(
            TrueStroke(
                catch,
                finish,
                marks[i + 1][0] if follows else None,
                "half" if plan.half[i] else "full",
                peak,
                float(plan.pull_m[i]),
            )
        )
    return tuple(strokes)
