"""One quantity over time, whatever it is and wherever it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

# Clocks. A signal and a stroke belong together only on the same one.
TRACE = "trace"  # seconds on the force recorder's clock
VIDEO = "video"  # seconds of the film

# A silence longer than both of these is a hole, and nothing is said of what happened in it:
# common practice, no source. One or two samples lost are bridged by a straight line.
HOLE_S = 0.1
HOLE_STEPS = 3.5
# Times are compared with this much tolerance: an instant a rounding beyond the last sample is still
# the last sample.
ROUNDING_S = 1e-9


@dataclass(frozen=True, eq=False)
class Signal:
    """One quantity over time: force, a position, an angle, a heart rate.

    Attributes
    ----------
    name : how it is kept and asked for; unique within a `SignalSet`
    title : its name for people
    unit : of `values`, as it is shown; "" for none
    digits : decimals worth showing
    clock : which clock `time_s` is on, `TRACE` or `VIDEO`
    time_s : (N,) float64, s, strictly ascending
    values : (N,) float64, NaN where not known
    quality : (N,) from 0 (not known) to 1, or None where nothing is known of it
    hole_s : the longest silence that may be bridged, seconds; None: `HOLE_S` or `HOLE_STEPS`
        usual steps between known samples, whichever is longer
    sd : (N,) standard deviation of `values`, in their unit; None where nobody told it
    """

    name: str
    title: str
    unit: str
    digits: int
    clock: str
    time_s: FloatArray
    values: FloatArray
    quality: FloatArray | None = None
    hole_s: float | None = None
    sd: FloatArray | None = None

    def __post_init__(self) -> None:
        lengths = {np.shape(self.time_s), np.shape(self.values)}
        if self.quality is not None:
            lengths.add(np.shape(self.quality))
        if self.sd is not None:
            lengths.add(np.shape(self.sd))
        if len(lengths) > 1 or len(np.shape(self.time_s)) != 1:
            raise ValueError(f"The samples of “{self.title}” must be rows of equal length.")

    @cached_property
    def known(self) -> tuple[FloatArray, FloatArray]:
        """Times and values of the samples that are known, (n,) each."""
        is_known = np.isfinite(self.values)
        if self.quality is not None:
            is_known &= self.quality > 0.0
        if is_known.all():
            return self.time_s, self.values
        return self.time_s[is_known], self.values[is_known]

    @cached_property
    def doubt(self) -> Signal | None:
        """Its standard deviation as a signal of the same name; None where nobody told it."""
        return None if self.sd is None else replace(self, values=self.sd, sd=None)

    @cached_property
    def interval_s(self) -> float:
        """Median seconds between known samples; NaN for fewer than two."""
        time_s = self.known[0]
        return float(np.median(np.diff(time_s))) if len(time_s) > 1 else float("nan")

    @cached_property
    def longest_bridge_s(self) -> float:
        """The longest silence between two samples that is bridged, seconds."""
        if self.hole_s is not None:
            return self.hole_s
        return max(HOLE_S, HOLE_STEPS * self.interval_s) if len(self.known[0]) > 1 else HOLE_S

    @cached_property
    def stretches(self) -> tuple[tuple[FloatArray, FloatArray], ...]:
        """Times and values of each run of known samples with no hole in it: lines to draw."""
        time_s, values = self.known
        holes = np.diff(time_s) > self.longest_bridge_s + ROUNDING_S
        cuts = np.flatnonzero(holes) + 1
        pairs = zip(np.split(time_s, cuts), np.split(values, cuts), strict=True)
        return tuple((t, v) for t, v in pairs if len(t))

    def at(self, time_s: FloatArray) -> FloatArray:
        """Read the signal between its samples, on straight lines.

        A straight line is right for what moves steadily (force, positions, angles), and is at most
        one step off for what a recorder holds from one reading to the next (a heart rate).

        Parameters
        ----------
        time_s : instants of any shape, on the signal's own clock

        Returns
        -------
        Values of the same shape; NaN within holes, before the first sample and after the last.
        """
        at_s = np.asarray(time_s, dtype=np.float64)
        clock, values = self.known
        if len(clock) < 2:
            return np.full(at_s.shape, np.nan)
        read = np.interp(at_s, clock, values)
        after = np.clip(np.searchsorted(clock, at_s), 1, len(clock) - 1)
        unknown = clock[after] - clock[after - 1] > self.longest_bridge_s + ROUNDING_S
        unknown &= (at_s != clock[after]) & (at_s != clock[after - 1])
        unknown |= (at_s < clock[0] - ROUNDING_S) | (at_s > clock[-1] + ROUNDING_S)
        return np.where(unknown, np.nan, read)


@dataclass(frozen=True, eq=False)
class SignalSet:
    """The signals of one submission, in the order they are shown.

    Raises
    ------
    ValueError
        Two signals have the same name.
    """

    signals: tuple[Signal, ...] = ()

    def __post_init__(self) -> None:
        if len(set(self.names)) < len(self.signals):
            raise ValueError("Two signals of a submission must not have the same name.")

    @property
    def names(self) -> tuple[str, ...]:
        """Name of each signal."""
        return tuple(signal.name for signal in self.signals)

    def __iter__(self) -> Iterator[Signal]:
        return iter(self.signals)

    def __len__(self) -> int:
        return len(self.signals)

    def __contains__(self, name: object) -> bool:
        return name in self.names

    def __getitem__(self, name: str) -> Signal:
        found = self.get(name)
        if found is None:
            raise KeyError(name)
        return found

    def get(self, name: str) -> Signal | None:
        """Give the signal of that name, None where there is none."""
        return next((signal for signal in self.signals if signal.name == name), None)

    def without(self, *names: str) -> tuple[Signal, ...]:
        """Give all signals but those named."""
        return tuple(signal for signal in self.signals if signal.name not in names)

    def joined(self, other: SignalSet) -> SignalSet:
        """Give both sets as one; a name that is taken gets a number after it."""
        taken = list(self.names)
        more = []
        for signal in other:
            name = unique(signal.name, taken, "-")
            more.append(signal if name == signal.name else replace(signal, name=name))
            taken.append(name)
        return SignalSet((*self.signals, *more))


def unique(name: str, taken: list[str], between: str = " ") -> str:
    """Give the name, with a number after it where it is taken already."""
    number, free = 2, name
    while free in taken:
        free, number = f"{name}{between}{number}", number + 1
    return free
