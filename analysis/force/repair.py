"""What is done to samples that cannot stand as they are, and the count of each repair."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

# No hand pulls ten times the highest published peak handle force (1350 N, Hartmann et al. 1993,
# Int J Sports Med 14 Suppl 1): such a number is a fault of the recorder.
LARGEST_FORCE_N = 13_500.0
# A gap is a silence longer than both of these. Common practice, no source.
GAP_STEPS = 5.0
GAP_S = 0.1
# A clock read off this coarsely repeats itself on purpose; its samples are spread, not dropped.
COARSE_SHARE = 0.2
# A spike: a single sample off by this share of the whole reach of force. Common practice, no
# source.
SPIKE_SHARE = 0.5
SPIKE_STEP_S = 0.025
# Force stands still where so large a share of samples lies within so small a share of its reach.
REST_SHARE = 1.0 / 3.0
STILL_SHARE = 0.2
# Position with more holes than this would cost too many rows of force.
POSITION_HOLES = 0.2
# Rows that must lie over each other for a backward step to be a second recording.
RESTART_ROWS = 20
# A time stands alone where it is off by more than both; an end of so few rows is no recording where
# it is off by more than `FAR_S`. Common practice, no source.
LONE_S, LONE_STEPS = 0.5, 20.0
LONE_SHARE = 0.01
FAR_S, FAR_ROWS = 60.0, 3
FEWEST_ROWS = 20
LARGEST_CLOCK_S = 1e6  # a clock that starts later than this counts from some far-off date


@dataclass
class Samples:
    """Samples on their way through the repairs, with what was found. Arrays are (n,)."""

    time_s: FloatArray
    force_n: FloatArray
    position_m: FloatArray | None
    missing: int = 0
    repeated: int = 0
    backward: int = 0
    gaps_s: tuple[tuple[float, float], ...] = ()
    remarks: list[str] = field(default_factory=list)
    began_s: float = 0.0  # taken off the clock
    further: list[FloatArray] = field(default_factory=list)  # other columns; NaN stays NaN

    def keep(self, rows: NDArray[np.bool_] | NDArray[np.intp] | slice) -> None:
        """Keep or reorder rows in all columns alike."""
        self.time_s, self.force_n = self.time_s[rows], self.force_n[rows]
        if self.position_m is not None:
            self.position_m = self.position_m[rows]
        self.further = [values[rows] for values in self.further]


def repair(samples: Samples) -> Samples:
    """Drop, order and turn samples until they make a trace; each repair leaves its count."""
    _drop_missing(samples)
    if len(samples.time_s) > 1:
        _drop_lone_times(samples)
        _keep_one_recording(samples)
        _order(samples)
        _drop_far_ends(samples)
        _drop_repeated(samples)
        _drop_spikes(samples)
        _rebase(samples)
        _find_gaps(samples)
        _turn_sign(samples)
        _note_clipping(samples)
    return samples


def _drop_missing(samples: Samples) -> None:
    position = samples.position_m
    if position is not None and np.mean(~np.isfinite(position)) > POSITION_HOLES:
        share = 100.0 * np.mean(~np.isfinite(position))
        samples.remarks.append(f"Handle position is missing in {share:.0f} % of rows; left out.")
        samples.position_m = position = None
    finite = np.isfinite(samples.time_s) & np.isfinite(samples.force_n)
    if position is not None:
        finite &= np.isfinite(position)
    wild = finite & (np.abs(samples.force_n) > LARGEST_FORCE_N)
    if wild.any():
        samples.remarks.append(
            f"{_rows(int(wild.sum()))} with force beyond {LARGEST_FORCE_N:.0f} N dropped."
        )
    samples.missing = int((~finite).sum() + wild.sum())
    if samples.missing:
        samples.keep(finite & ~wild)


def _drop_lone_times(samples: Samples) -> None:
    """Drop rows whose time stands alone, far from those of the rows on both sides.

    A lost decimal point puts one row days later; its neighbours stand a step apart.
    """
    time_s = samples.time_s
    if len(time_s) < FEWEST_ROWS:
        return
    steps = np.diff(time_s)
    if steps.max() <= LONE_S and steps.min() >= -LONE_S:
        return
    step = float(np.median(np.abs(steps)))
    before, here, after = time_s[:-2], time_s[1:-1], time_s[2:]
    far = np.minimum(np.abs(here - before), np.abs(here - after)) > max(LONE_S, LONE_STEPS * step)
    far &= np.abs(after - before) <= 5.0 * step
    count = int(far.sum())
    if 0 < count <= LONE_SHARE * len(time_s):
        samples.keep(np.concatenate(([True], ~far, [True])))
        samples.missing += count
        samples.remarks.append(
            f"{_rows(count)} with a time far from that of the rows around dropped."
        )


def _drop_far_ends(samples: Samples) -> None:
    """Drop a few rows before or after the rest, with a silence between that no pause explains."""
    time_s = samples.time_s
    if len(time_s) < FEWEST_ROWS:
        return
    ends = np.concatenate((np.diff(time_s[: FAR_ROWS + 1]), np.diff(time_s[-FAR_ROWS - 1 :])))
    if ends.max() <= FAR_S:
        return
    steps = np.diff(time_s)
    far = np.flatnonzero(steps > max(FAR_S, LONE_STEPS * float(np.median(steps)))) + 1
    early = far[far <= FAR_ROWS]
    late = far[far >= len(time_s) - FAR_ROWS]
    first = int(early[-1]) if len(early) else 0
    last = int(late[0]) if len(late) else len(time_s)
    count = first + len(time_s) - last
    if count:
        samples.keep(slice(first, last))
        samples.missing += count
        samples.remarks.append(f"{_rows(count)} with a time far from all others dropped.")


def _keep_one_recording(samples: Samples) -> None:
    """Where the clock starts anew, keep the longest recording: two cannot share one clock."""
    time_s = samples.time_s
    back = np.flatnonzero(np.diff(time_s) < 0.0) + 1
    if len(back) == 0 or len(back) > 200:
        return
    restarts: list[int] = []
    for begin, end in zip(back, [*back[1:], len(time_s)], strict=True):
        run = time_s[begin:end]
        before = time_s[restarts[-1] if restarts else 0 : begin]
        shared = int(((before >= run[0]) & (before <= run[-1])).sum())
        if min(shared, len(run)) >= RESTART_ROWS:
            restarts.append(int(begin))
    if not restarts:
        return
    edges = [0, *restarts, len(time_s)]
    longest = int(np.argmax(np.diff(edges)))
    dropped = len(time_s) - (edges[longest + 1] - edges[longest])
    samples.keep(slice(edges[longest], edges[longest + 1]))
    samples.remarks.append(
        f"The clock starts anew {len(restarts)} time(s); the longest recording was kept, "
        f"{_rows(dropped)} dropped."
    )


def _order(samples: Samples) -> None:
    time_s = samples.time_s
    samples.backward = int((time_s < np.maximum.accumulate(time_s)).sum())
    if samples.backward:
        samples.keep(np.argsort(time_s, kind="stable"))


def _drop_repeated(samples: Samples) -> None:
    """Drop rows whose time stood there before, unless the clock is merely coarse."""
    time_s = samples.time_s
    fresh = np.concatenate(([True], np.diff(time_s) > 0.0))
    repeated = int((~fresh).sum())
    if repeated == 0:
        return
    first = np.flatnonzero(fresh)
    if repeated > COARSE_SHARE * len(time_s) and not samples.backward and len(first) > 2:
        tick = float(np.median(np.diff(time_s[first])))
        ends = np.concatenate((time_s[first], [time_s[-1] + tick]))
        at = np.concatenate((first, [len(time_s)]))
        samples.time_s = np.interp(np.arange(len(time_s)), at, ends)
        samples.remarks.append(
            f"The clock ticks only every {tick:g} s; samples within a tick were spread evenly."
        )
        fresh = np.concatenate(([True], np.diff(samples.time_s) > 0.0))
        repeated = int((~fresh).sum())
    samples.repeated = repeated
    samples.keep(fresh)


def _drop_spikes(samples: Samples) -> None:
    """Drop single samples that jump out of the line of their neighbours and back.

    Force of a hand does not leave by half of its whole range and return within two intervals
    of 25 ms or less; a recorder's link does.
    """
    force_n, time_s = samples.force_n, samples.time_s
    if len(force_n) < 50 or np.median(np.diff(time_s)) > SPIKE_STEP_S:
        return
    some = force_n[:: max(1, len(force_n) // 200_000)]
    reach = float(np.subtract(*np.percentile(some, [99.0, 1.0])))
    before, here, after = force_n[:-2], force_n[1:-1], force_n[2:]
    out = np.minimum(np.abs(here - before), np.abs(here - after)) > SPIKE_SHARE * reach
    out &= np.sign(here - before) == np.sign(here - after)
    out &= np.abs(after - before) < 0.4 * SPIKE_SHARE * reach
    count = int(out.sum())
    if reach <= 0.0 or count == 0 or count > 0.02 * len(force_n):
        return
    samples.keep(np.concatenate(([True], ~out, [True])))
    samples.missing += count
    samples.remarks.append(f"{_rows(count)} where force jumps out for a single sample dropped.")


def _rebase(samples: Samples) -> None:
    start = float(samples.time_s[0])
    if abs(start) > LARGEST_CLOCK_S:
        samples.time_s, samples.began_s = samples.time_s - start, start
        samples.remarks.append(
            f"The clock counts from a far-off date; its first reading, {start:.3f} s, became zero."
        )


def _find_gaps(samples: Samples) -> None:
    steps = np.diff(samples.time_s)
    if len(steps) == 0:
        return
    long = np.flatnonzero(steps > max(GAP_S, GAP_STEPS * float(np.median(steps))))
    samples.gaps_s = tuple((float(samples.time_s[i]), float(samples.time_s[i + 1])) for i in long)


def _turn_sign(samples: Samples) -> None:
    """Pulling must read positive; a recorder wired the other way round is turned.

    Which way the pulls go is told from rest, where a recovery keeps a recorder half of the time:
    a zero that is off by more than a pull turns nothing.
    """
    some = samples.force_n[:: max(1, len(samples.force_n) // 200_000)]
    rest = _rest(some)
    low, high = np.percentile(some, [1.0, 99.0])
    if rest - low > 3.0 * max(high - rest, 0.0) and low < rest:
        samples.force_n = -samples.force_n
        samples.remarks.append("Force reads negative when pulled; its sign was turned.")
        low, high, rest = -high, -low, -rest
    if low < -0.05 * high and rest - low > 0.05 * (high - rest):
        samples.remarks.append(f"Force falls below zero, to about {low:.0f} N; it was left so.")


def _rest(force_n: FloatArray) -> float:
    """Where force stands still most of the time, N; 0 where it stands still nowhere.

    The middle of the narrowest reach that holds a third of all samples (the shorth; Andrews et
    al. 1972, Robust Estimates of Location).
    """
    ordered = np.sort(force_n)
    count = max(2, round(REST_SHARE * len(ordered)))
    reach = ordered[count - 1 :] - ordered[: len(ordered) - count + 1]
    at = int(reach.argmin())
    if reach[at] > STILL_SHARE * (ordered[-1] - ordered[0]):
        return 0.0
    return float(np.median(ordered[at : at + count]))


def _note_clipping(samples: Samples) -> None:
    top = samples.force_n.max()
    flat = samples.force_n == top
    runs = int((flat[:-2] & flat[1:-1] & flat[2:]).sum()) if len(flat) > 2 else 0
    if runs >= 5 and top > 0.0 and flat.mean() < 0.5:
        samples.remarks.append(
            f"Force stands still at its highest value, {top:.0f} N, for {_rows(int(flat.sum()))}: "
            "the recorder may cut off what is above."
        )


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"
