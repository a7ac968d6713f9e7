"""What another force curve would change: steady rowing on an air-braked flywheel."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import lru_cache

import numpy as np

from analysis.force.coast_down import FlywheelError, FlywheelModel, coast
from analysis.force.curves import PERCENT, Axis
from analysis.signals.signal import FloatArray

STEPS = 400  # of one drive over time; the full-cycle reference is met to 1e-6 rad/s

LIMITS = (
    "Same work, same length of drive, same stroke rate; only the shape of the force changes.",
    "The flywheel is a model: one inertia, drag with the square of its speed, no slack in the "
    "chain, no pull of the return cord.",
    "Whether an athlete can row the target curve, and what it costs their body, is not in it.",
    "Inertia and drag are those entered; where they are guesses, read the differences, not the "
    "values.",
)


@dataclass(frozen=True)
class Cycle:
    """One steady cycle on the flywheel.

    Attributes
    ----------
    time_s, handle_m, handle_m_s, force_n : (N,) over the drive
    catch_rad_s, release_rad_s, least_rad_s, most_rad_s, mean_rad_s : flywheel speed, the last
        three over the whole cycle
    work_j : at the handle; equals what the drag takes
    cycle_s : s
    """

    time_s: FloatArray
    handle_m: FloatArray
    handle_m_s: FloatArray
    force_n: FloatArray
    catch_rad_s: float
    release_rad_s: float
    least_rad_s: float
    most_rad_s: float
    mean_rad_s: float
    work_j: float
    cycle_s: float


def steady_by_time(
    model: FlywheelModel, curve_n: FloatArray, drive_s: float, cycle_s: float
) -> Cycle:
    """Steady cycle of a force known over drive time.

    Parameters
    ----------
    curve_n : (P,) N at even steps from catch to finish
    drive_s, cycle_s : s

    Raises
    ------
    FlywheelError
        No force, or a drive longer than the cycle.
    """
    _check(curve_n, drive_s, cycle_s)
    force = np.interp(np.linspace(0, 1, 2 * STEPS + 1), np.linspace(0, 1, len(curve_n)), curve_n)

    def rowed(start: float) -> tuple[FloatArray, FloatArray]:
        speed, angle = _pull(model, start, force, drive_s)
        return speed, angle * model.sprocket_m

    return _steady(model, rowed, force[::2], lambda _: np.linspace(0, drive_s, STEPS + 1), cycle_s)


def steady_by_length(
    model: FlywheelModel, curve_n: FloatArray, length_m: float, cycle_s: float
) -> Cycle:
    """Steady cycle of a force known over drive length; see `steady_by_time`.

    Over the angle the square of the speed obeys a linear equation: one integral, no stepping.
    """
    _check(curve_n, length_m, np.inf)
    handle = np.linspace(0.0, length_m, STEPS + 1)
    force = np.interp(handle / length_m, np.linspace(0, 1, len(curve_n)), curve_n)
    rate = 2.0 * model.ratio / model.sprocket_m
    growth = np.exp(rate * handle)
    pushed = _running(force * growth, float(handle[1]))

    def rowed(start: float) -> tuple[FloatArray, FloatArray]:
        return np.sqrt((start**2 + 2.0 / model.inertia_kgm2 * pushed) / growth), handle

    def times(speed: FloatArray) -> FloatArray:
        return _running(1.0 / (model.sprocket_m * speed), float(handle[1]))

    return _steady(model, rowed, force, times, cycle_s)


def _check(curve_n: FloatArray, span: float, cycle_s: float) -> None:
    finite = len(curve_n) > 1 and bool(np.isfinite(curve_n).all())
    if not finite or float(np.max(curve_n)) <= 0.0 or not span > 0.0:
        raise FlywheelError("The flywheel model needs a force curve and the span of its drive.")
    if span >= cycle_s:
        raise FlywheelError("The drive is longer than the whole cycle; check the stroke rate.")


def _pull(
    model: FlywheelModel, start: float, force_n: FloatArray, drive_s: float
) -> tuple[FloatArray, FloatArray]:
    """Speed and angle over a drive by the classic Runge-Kutta rule; force at half steps."""
    h = drive_s / STEPS
    push = (force_n * model.sprocket_m / model.inertia_kgm2).tolist()
    ratio, w, a = model.ratio, start, 0.0
    speed, angle = [w], [a]
    for i in range(STEPS):
        p0, p1, p2 = push[2 * i], push[2 * i + 1], push[2 * i + 2]
        k1 = p0 - ratio * w * w
        w1 = w + 0.5 * h * k1
        k2 = p1 - ratio * w1 * w1
        w2 = w + 0.5 * h * k2
        k3 = p1 - ratio * w2 * w2
        w3 = w + h * k3
        k4 = p2 - ratio * w3 * w3
        a += h / 6.0 * (w + 2.0 * w1 + 2.0 * w2 + w3)
        w += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        speed.append(w)
        angle.append(a)
    return np.array(speed), np.array(angle)


def _running(values: FloatArray, step: float) -> FloatArray:
    """Running integral of evenly spaced values: trapezoids with the end-slope correction."""
    slope = np.gradient(values, step)
    out = np.zeros_like(values)
    out[1:] = np.cumsum(0.5 * (values[1:] + values[:-1])) * step
    out[1:] -= step**2 / 12.0 * (slope[1:] - slope[0])
    return out


Rowed = Callable[[float], tuple[FloatArray, FloatArray]]


def _steady(
    model: FlywheelModel,
    rowed: Rowed,
    force_n: FloatArray,
    times: Callable[[FloatArray], FloatArray],
    cycle_s: float,
) -> Cycle:
    """Find the catch speed that repeats itself, and describe the cycle.

    `rowed` gives speed and handle over the drive for a catch speed, `times` the instants.
    """
    from scipy.optimize import brentq

    def gain(start: float) -> float:
        speed, _ = rowed(start)
        free_s = cycle_s - float(times(speed)[-1])
        if free_s <= 0.0:
            return float(speed[-1]) - start  # too slow a wheel: the drive fills the cycle
        return coast(model, float(speed[-1]), free_s)[0] - start

    try:
        start = _by_secant(gain) or float(brentq(gain, 1.0, 2000.0, xtol=1e-10))
    except ValueError:
        raise FlywheelError(
            "No steady cycle was found for this force, drag and stroke rate; check them."
        ) from None
    speed, handle = rowed(start)
    time_s = times(speed)
    free_s = cycle_s - float(time_s[-1])
    if free_s <= 0.0:
        raise FlywheelError("The drive is longer than the whole cycle; check the stroke rate.")
    angle = handle[-1] / model.sprocket_m + coast(model, float(speed[-1]), free_s)[1]
    # Over the angle, so that it is exact for either axis.
    work = float(_simpson(force_n * speed * model.sprocket_m, time_s))
    return Cycle(
        time_s=time_s,
        handle_m=handle,
        handle_m_s=model.sprocket_m * speed,
        force_n=force_n,
        catch_rad_s=start,
        release_rad_s=float(speed[-1]),
        least_rad_s=float(speed.min()),
        most_rad_s=float(speed.max()),
        mean_rad_s=float(angle) / cycle_s,
        work_j=work,
        cycle_s=cycle_s,
    )


def _by_secant(gain: Callable[[float], float]) -> float | None:
    """Catch speed (rad/s) at which nothing is gained over a cycle, from a usual speed on.

    A cycle forgets most of its beginning, so the gain is nearly a line and a handful of cycles
    is enough. None where the steps lead out of the range or to no end.
    """
    one, other = 100.0, 100.0 + gain(100.0)
    gained = other - one
    for _ in range(12):
        if not 1.0 < other < 2000.0:
            return None
        last, gained = gained, gain(other)
        if gained == last:
            return None
        one, other = other, other - gained * (other - one) / (gained - last)
        if abs(other - one) < 1e-10:
            return other
    return None


def _simpson(values: FloatArray, at: FloatArray) -> float:
    from scipy.integrate import simpson

    return float(simpson(values, x=at))


@dataclass(frozen=True)
class DriveFigures:
    """What a coach compares of a steady cycle; the standard uncertainties come beside them.

    Attributes
    ----------
    fluctuation_pct : largest minus least flywheel speed over the mean, percent
    drag_penalty_pct : more power than an even flywheel speed of the same mean would need, percent
    """

    drive_s: float
    peak_n: float
    rfd_n_per_s: float
    peak_handle_m_s: float
    peak_power_w: float
    fluctuation_pct: float
    drag_penalty_pct: float
    mean_power_w: float
    work_j: float
    length_m: float


def figures(model: FlywheelModel, cycle: Cycle) -> DriveFigures:
    """Read the figures of a cycle."""
    from analysis.measures.curve_shape import steepest_rise

    power = cycle.force_n * cycle.handle_m_s
    peak_s = float(cycle.time_s[int(cycle.force_n.argmax())])
    mean_power = cycle.work_j / cycle.cycle_s
    even = model.drag_nms2 * cycle.mean_rad_s**3
    return DriveFigures(
        drive_s=float(cycle.time_s[-1]),
        peak_n=float(cycle.force_n.max()),
        rfd_n_per_s=steepest_rise(cycle.time_s, cycle.force_n, peak_s) or 0.0,
        peak_handle_m_s=float(cycle.handle_m_s.max()),
        peak_power_w=float(power.max()),
        fluctuation_pct=100.0 * (cycle.most_rad_s - cycle.least_rad_s) / cycle.mean_rad_s,
        drag_penalty_pct=100.0 * (mean_power / even - 1.0),
        mean_power_w=mean_power,
        work_j=cycle.work_j,
        length_m=float(cycle.handle_m[-1]),
    )


@dataclass(frozen=True)
class WhatWouldChange:
    """The athlete's own curve and a target of equal work on one flywheel.

    Attributes
    ----------
    before, after : figures of the two
    before_sd, after_sd, change_sd : their standard uncertainties, and those of the differences,
        from the uncertainties of inertia and drag; 0 where neither is uncertain
    limits : what the model does not know, one sentence each
    """

    before: DriveFigures
    after: DriveFigures
    before_sd: DriveFigures
    after_sd: DriveFigures
    change_sd: DriveFigures
    limits: tuple[str, ...] = LIMITS


def what_would_change(
    own_n: FloatArray,
    target_n: FloatArray,
    axis: Axis,
    span: float,
    rate_spm: float,
    model: FlywheelModel | None = None,
) -> WhatWouldChange:
    """Row both curves on one flywheel: same work, same drive length, same stroke rate.

    The target's level is scaled to the own curve's work; over time its drive time is found so
    that the handle travels as far.

    Parameters
    ----------
    own_n, target_n : (101,) N over 0-100 % of the drive on `axis`
    span : own mean drive time in s, or drive length in m
    rate_spm : strokes per minute

    Raises
    ------
    FlywheelError
        One sentence for the user: no force, no steady cycle, a drive longer than its cycle.
    """
    model = model or FlywheelModel()
    if not np.isfinite(rate_spm) or rate_spm <= 0.0:
        raise FlywheelError("The stroke rate is not known, so nothing can be said of the flywheel.")
    own, target = (np.asarray(curve, dtype=float).tobytes() for curve in (own_n, target_n))
    return _told(model, own, target, axis, span, 60.0 / rate_spm)


@lru_cache(maxsize=16)
def _told(
    model: FlywheelModel, own: bytes, target: bytes, axis: Axis, span: float, cycle_s: float
) -> WhatWouldChange:
    """Row the same curves once: preview, bundle and table ask for them one after the other."""
    own_n, target_n = np.frombuffer(own), np.frombuffer(target)
    before, after = _pair(model, own_n, target_n, axis, span, cycle_s)
    shifts: list[tuple[DriveFigures, DriveFigures]] = []
    for name, sd in (("inertia_kgm2", model.inertia_sd), ("drag_nms2", model.drag_sd)):
        if sd > 0.0:
            moved = replace(model, **{name: getattr(model, name) + sd})
            shifts.append(_pair(moved, own_n, target_n, axis, span, cycle_s))
    return WhatWouldChange(
        before,
        after,
        _root(before, [b for b, _ in shifts]),
        _root(after, [a for _, a in shifts]),
        _root(_minus(after, before), [_minus(a, b) for b, a in shifts]),
    )


def _pair(
    model: FlywheelModel,
    own_n: FloatArray,
    target_n: FloatArray,
    axis: Axis,
    span: float,
    cycle_s: float,
) -> tuple[DriveFigures, DriveFigures]:
    if axis == "length":
        own = steady_by_length(model, own_n, span, cycle_s)
        level = float(np.trapezoid(own_n, PERCENT) / np.trapezoid(target_n, PERCENT))
        return figures(model, own), figures(
            model, steady_by_length(model, level * target_n, span, cycle_s)
        )
    own = steady_by_time(model, own_n, span, cycle_s)
    return figures(model, own), figures(model, _same_work(model, own, target_n))


def _same_work(model: FlywheelModel, own: Cycle, target_n: FloatArray) -> Cycle:
    """Find level and drive time of a target over time that give the own work and length."""
    from scipy.optimize import least_squares

    length, drive_s = float(own.handle_m[-1]), float(own.time_s[-1])
    level = float(own.force_n.mean() / max(float(np.mean(target_n)), 1e-9))

    def rowed(shares: FloatArray) -> Cycle:
        return steady_by_time(model, shares[0] * level * target_n, shares[1] * drive_s, own.cycle_s)

    def off(shares: FloatArray) -> list[float]:
        cycle = rowed(shares)
        return [cycle.work_j / own.work_j - 1.0, float(cycle.handle_m[-1]) / length - 1.0]

    longest = min(3.0, 0.98 * own.cycle_s / drive_s)
    # A drive that fills its cycle leaves no room to begin with itself.
    begin = (1.0, min(1.0, 0.99 * longest))
    found = least_squares(off, begin, bounds=((0.1, 0.3), (10.0, longest)), xtol=1e-10)
    if float(np.abs(found.fun).max()) > 1e-4:
        raise FlywheelError(
            "This target cannot be rowed with the same work and length at this rate."
        )
    return rowed(found.x)


def _minus(a: DriveFigures, b: DriveFigures) -> DriveFigures:
    return DriveFigures(*(getattr(a, f.name) - getattr(b, f.name) for f in fields(DriveFigures)))


def _root(nominal: DriveFigures, moved: list[DriveFigures]) -> DriveFigures:
    """Root of the sum of squares of what each uncertain input moves."""
    return DriveFigures(
        *(
            float(np.sqrt(sum((getattr(m, f.name) - getattr(nominal, f.name)) ** 2 for m in moved)))
            for f in fields(DriveFigures)
        )
    )
