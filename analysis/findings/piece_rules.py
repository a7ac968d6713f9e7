"""Rules on a section as a whole: how strokes differ, fade, and come home."""

from __future__ import annotations

import numpy as np

from analysis.findings.finding import Effect
from analysis.findings.raised import Raised, late_in_most
from analysis.findings.registration import registered_mean
from analysis.findings.shapes import Shapes
from analysis.findings.thresholds import Thresholds
from analysis.signals.signal import FloatArray
from analysis.statistics import Trend, early_and_late, spread_share, trend

FEWEST_FOR_TREND = 8
USUAL_SPREAD = "3.4 to 4.8 % (Sprague et al. 2007, of power)"
# Force goes with rate: only a loss so many times that of the rate is one of strength. Common
# practice, no source.
FADE_OVER_RATE = 2.0
FLATTENED = 0.04  # a mean curve so much lower than its strokes deserves a word
# Usual drive time by rate for trained rowers: 0.95 s at 20, 0.90 at 24, 0.85 at 28, 0.80 at 32,
# 0.75 at 36 (from memory, medium confidence); the usual recovery is what is left of the cycle.
RATES_SPM: FloatArray = np.array([20.0, 24.0, 28.0, 32.0, 36.0])
DRIVES_S: FloatArray = np.array([0.95, 0.90, 0.85, 0.80, 0.75])


def uneven(shapes: Shapes, t: Thresholds, looks: int = 1) -> Raised | None:
    """Strokes differ more than those of a trained rower; a trend is not unevenness.

    Parameters
    ----------
    looks : how many sections are asked; all of them together are wrong in one of twenty
    """
    if shapes.count < FEWEST_FOR_TREND:
        return None
    share, low, high = spread_share(shapes.impulse_ns, _confidence(looks))
    limit = t["uneven.spread"]
    line = trend(shapes.impulse_ns)
    if line is None:
        return None
    along = np.linspace(line.first, line.last, shapes.count)
    off = 100.0 * np.abs(shapes.impulse_ns / along - 1.0)
    shows = off > limit
    # A dozen strokes tell a spread poorly: its interval must have passed the limit.
    if 100.0 * low <= limit or not shows.any():
        return None
    nan = np.full(shapes.count, np.nan)
    middle = float(np.median(shapes.impulse_ns))
    return Raised(
        "uneven",
        "spread of the impulse from stroke to stroke",
        "%",
        shows,
        np.where(shows, 100.0 * share, 0.0) + 1e-6 * off,
        limit,
        t["uneven.strong"],
        nan,
        nan,
        _catches(shapes),
        Effect(share * middle, "N s", "usual difference from the mean stroke"),
        whole_piece=True,
        remarks=(
            f"The spread lies between {100.0 * low:.1f} and {100.0 * high:.1f} % "
            f"({100.0 * _confidence(looks):.3g} %); "
            f"usual for trained rowers is {USUAL_SPREAD}.",
            *_timing_remark(shapes),
        ),
    )


def _confidence(looks: int) -> float:
    """5 % beyond either end, shared among the sections that are asked (Bonferroni)."""
    return 1.0 - 0.1 / looks


def _timing_remark(shapes: Shapes) -> tuple[str, ...]:
    together = registered_mean(shapes.curves * shapes.peak_n[:, None])
    if together.flattened < FLATTENED:
        return ()
    return (
        f"The peak comes now earlier, now later ({together.timing_sd_pct:.0f} % of the drive): "
        f"the mean curve is {100.0 * together.flattened:.0f} % lower than its strokes.",
    )


def fading(shapes: Shapes, t: Thresholds, looks: int = 1) -> Raised | None:
    """Mean force is lost from the start of the piece to its end.

    Not impulse: a weaker drive lasts longer and hides part of the loss.

    Parameters
    ----------
    looks : how many sections are asked, as for `uneven`
    """
    if shapes.count < FEWEST_FOR_TREND:
        return None
    mean_n = shapes.impulse_ns / shapes.drive_s
    line = trend(mean_n, _catches(shapes))
    limit = t["fading.loss"]
    if line is None or -100.0 * line.change <= limit:
        return None
    most, least = (-100.0 * end for end in line.between(_confidence(looks)))
    if least <= t["fading.surely"]:
        return None
    slower = _slower(shapes)
    if slower > 0.0 and -line.change < FADE_OVER_RATE * slower:
        return None  # an easing piece: rate and force went down together
    below = mean_n < line.first * (1.0 - 0.5 * limit / 100.0)
    late = np.arange(shapes.count) >= shapes.count / 3
    shows = below & late
    if not shows.any():
        return None
    remarks = [
        f"The loss lies between {least:.0f} and {most:.0f} % ({100.0 * _confidence(looks):.3g} %)."
    ]
    parts = early_and_late(mean_n)
    if parts is not None:
        remarks.append(
            f"Last third against first third: {100.0 * parts.change:+.0f} % "
            f"({100.0 * parts.low:+.0f} to {100.0 * parts.high:+.0f} %)."
        )
    remarks += _rate_remark(shapes)
    nan = np.full(shapes.count, np.nan)
    lost = np.maximum(0.0, line.first - mean_n)
    return Raised(
        "fading",
        "mean force lost from the first stroke to the last",
        "%",
        shows,
        np.where(shows, -100.0 * line.change, 0.0) + 1e-9 * lost,
        limit,
        t["fading.strong"],
        nan,
        nan,
        _catches(shapes),
        Effect(float(np.median(lost[shows])), "N", "mean force lost"),
        whole_piece=True,
        remarks=tuple(remarks),
    )


def _pace(shapes: Shapes) -> Trend | None:
    """Trend of the stroke rate over the piece, None where it is none beyond chance."""
    rates = np.array(
        [60.0 / (s.next_catch_s - s.catch_s) for s in shapes.strokes if s.next_catch_s is not None]
    )
    pace = None if len(rates) < FEWEST_FOR_TREND else trend(rates)
    if pace is None or pace.low <= 0.0 <= pace.high or abs(pace.change) < 0.05:
        return None
    return pace


def _slower(shapes: Shapes) -> float:
    """Share of the stroke rate that was lost over the piece, 0 where none was."""
    pace = _pace(shapes)
    return 0.0 if pace is None else max(0.0, -pace.change)


def _rate_remark(shapes: Shapes) -> list[str]:
    pace = _pace(shapes)
    if pace is None:
        return []
    return [
        f"The stroke rate went from {pace.first:.0f} to {pace.last:.0f}; force changes with it."
    ]


def _catches(shapes: Shapes) -> FloatArray:
    return np.array([s.catch_s for s in shapes.strokes])


def rushed_recovery(shapes: Shapes, t: Thresholds) -> Raised | None:
    """The way home is fastest just before the catch; by the handle where it is recorded."""
    if shapes.trace.position_m is not None:
        by_handle = _rushed_by_handle(shapes, t)
        if by_handle is not None:
            return by_handle
    return _rushed_by_rhythm(shapes, t)


def _rushed_by_handle(shapes: Shapes, t: Thresholds) -> Raised | None:
    values = np.full(shapes.count, np.nan)
    look = np.array([s.finish_s for s in shapes.strokes])
    for i, stroke in enumerate(shapes.strokes):
        if stroke.next_catch_s is not None:
            halfway = _halfway_home(shapes, stroke.finish_s, stroke.next_catch_s)
            if halfway is not None:
                values[i], look[i] = halfway
    if not np.isfinite(values).any():
        return None
    limit = t["rushed-recovery.halfway"]
    shows = late_in_most(values, limit)
    return Raised(
        "rushed-recovery",
        "when the handle is half way home",
        "% of recovery",
        shows,
        values,
        limit,
        t["rushed-recovery.strong"],
        np.full(shapes.count, 100.0),
        np.full(shapes.count, 100.0),
        look,
    )


def _halfway_home(shapes: Shapes, finish_s: float, catch_s: float) -> tuple[float, float] | None:
    """Percent of the way home at half of it, and when that is. Pauses at its ends left out."""
    trace = shapes.trace
    if trace.position_m is None:
        return None
    first, last = np.searchsorted(trace.time_s, [finish_s, catch_s])
    time_s, position = trace.time_s[first:last], trace.position_m[first:last]
    if len(time_s) < 12:
        return None
    far, near = float(np.percentile(position, 98.0)), float(np.percentile(position, 2.0))
    way = far - near
    if way <= 0.2:
        return None
    # From the first tenth of the way to the last: a rest at either end is not the return.
    turn = int(position.argmax())
    home = position[turn:]
    if len(home) < 6 or float(home.min()) > far - 0.9 * way:
        return None
    done = np.maximum.accumulate(far - home) + np.linspace(0.0, 1e-9, len(home))
    begin, half, end = np.interp(np.array([0.1, 0.5, 0.9]) * way, done, time_s[turn:]).tolist()
    if end <= begin:
        return None
    return 100.0 * (half - begin) / (end - begin), half


def _rushed_by_rhythm(shapes: Shapes, t: Thresholds) -> Raised | None:
    cycle = np.array([(s.next_catch_s or np.nan) - s.catch_s for s in shapes.strokes])
    recovery = cycle - shapes.drive_s
    rate = 60.0 / cycle
    usual = cycle - np.interp(np.nan_to_num(rate, nan=24.0), RATES_SPM, DRIVES_S)
    values = recovery / usual
    limit = t["rushed-recovery.rhythm"]
    shows = np.nan_to_num(values, nan=9.0) < limit
    return Raised(
        "rushed-recovery",
        "recovery time over the usual one for this rate",
        "",
        shows,
        values,
        limit,
        0.6 * limit,
        np.full(shapes.count, 100.0),
        np.full(shapes.count, 100.0),
        np.array([s.finish_s for s in shapes.strokes]),
        remarks=("Told from times alone; the handle's position would tell it better.",),
    )


# What is told within a section, and what stroke by stroke.
SECTION_RULES = (uneven, fading)
PIECE_RULES = (rushed_recovery,)
