"""The force file: the piece as a recorder with its own clock and its own faults would write it.

trace_time = (world_time - offset_s) * (1 + drift_ppm * 1e-6), the convention of the line-up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from samples.faults import SampleError
from samples.flywheel import FloatArray
from samples.piece import Piece


@dataclass(frozen=True)
class RecorderOptions:
    """How the force recorder behaves and writes.

    Attributes
    ----------
    sample_hz : samples per second of its own clock
    offset_s : world seconds at which its clock reads zero
    drift_ppm : how much faster its clock runs
    noise : spread of the noise as a share of the piece's largest force
    baseline_n : size of the slow wander of its zero
    dropouts : share of samples that are lost, in short bursts
    position : write the handle's travel too
    delimiter, decimal, header : how the text looks
    """

    sample_hz: float = 100.0
    offset_s: float = 0.0
    drift_ppm: float = 0.0
    noise: float = 0.006
    baseline_n: float = 2.0
    dropouts: float = 0.0
    position: bool = True
    delimiter: str = ","
    decimal: str = "."
    header: bool = True


@dataclass(frozen=True)
class Recording:
    """What the recorder holds: (N,) trace seconds, N, and m (None without a position sensor)."""

    time_s: FloatArray
    force_n: FloatArray
    position_m: FloatArray | None


def record(piece: Piece, options: RecorderOptions, seed: int) -> Recording:
    """Sample a piece on the recorder's clock, from its zero to the end of the piece.

    Raises
    ------
    SampleError
        The recorder would hold no two samples of this piece.
    """
    _check(options)
    rate = 1.0 + options.drift_ppm * 1e-6
    first = max(0.0, (float(piece.time_s[0]) - options.offset_s) * rate)
    last = (float(piece.time_s[-1]) - options.offset_s) * rate
    start = np.ceil(first * options.sample_hz - 1e-9)
    count = int(np.floor(last * options.sample_hz + 1e-9) - start) + 1
    if count < 2:
        raise SampleError(
            f"A force recorder that starts at {options.offset_s:g} s records nothing of this piece."
        )
    time_s = (start + np.arange(count)) / options.sample_hz
    world_s = time_s / rate + options.offset_s
    rng = np.random.default_rng([seed, 21])
    force = np.interp(world_s, piece.time_s, piece.force_n)
    force = force + rng.normal(0.0, options.noise * float(piece.force_n.max()), count)
    force = force + options.baseline_n * _wander(rng, world_s)
    position = None
    if options.position:
        position = np.interp(world_s, piece.time_s, piece.handle_m)
        position = position + rng.normal(0.0, 0.0008, count)
    keep = _kept(rng, count, options.dropouts)
    return Recording(time_s[keep], force[keep], None if position is None else position[keep])


def _check(options: RecorderOptions) -> None:
    if not 5.0 <= options.sample_hz <= 5000.0:
        raise SampleError("The force recorder needs 5 to 5000 samples per second.")
    if not 0.0 <= options.dropouts < 0.9:
        raise SampleError("The share of lost samples must be below 0.9.")
    if options.delimiter == options.decimal:
        raise SampleError("The force file needs a delimiter other than its decimal mark.")


def _wander(rng: np.random.Generator, world_s: FloatArray) -> FloatArray:
    """Slow waves between about -1 and 1, of half a minute to three minutes."""
    periods = np.array((31.0, 67.0, 170.0))
    phases = rng.uniform(0.0, 2.0 * np.pi, 3)
    waves: FloatArray = np.sin(2.0 * np.pi * world_s[:, None] / periods + phases).mean(axis=1)
    return waves


def _kept(rng: np.random.Generator, count: int, share: float) -> np.ndarray:
    keep = np.ones(count, dtype=bool)
    lost = round(share * count)
    while lost > 0:
        burst = min(int(rng.integers(1, 6)), lost)
        at = int(rng.integers(1, max(2, count - burst)))
        keep[at : at + burst] = False
        lost -= burst
    return keep


def write_text(recording: Recording, options: RecorderOptions) -> str:
    """The recording as delimited text, one line a sample, CRLF as RFC 4180 asks."""
    columns = [_column(recording.time_s, 4), _column(recording.force_n, 1)]
    names = ["time_s", "force_n"]
    if recording.position_m is not None:
        columns.append(_column(recording.position_m, 4))
        names.append("position_m")
    lines = [options.delimiter.join(names)] if options.header else []
    for row in zip(*columns, strict=True):
        line = options.delimiter.join(c.replace(".", options.decimal) for c in row)
        lines.append(line)
    return "\r\n".join(lines) + "\r\n"


def _column(values: FloatArray, decimals: int) -> list[str]:
    return [f"{v:.{decimals}f}" for v in values + 0.0]
