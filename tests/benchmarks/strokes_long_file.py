"""A ten-hour force file at 200 Hz: seconds and memory to read, cut and average it.

Run `python -m tests.benchmarks.strokes_long_file [hours] [noise share]`.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from analysis.force.intake import read_trace
from analysis.force.piece import analyse

HZ, RATE_SPM = 200.0, 24.0


def write_file(path: Path, hours: float, noise: float) -> int:
    """Write a long file; rows written."""
    rows = round(hours * 3600.0 * HZ)
    rng = np.random.default_rng(1)
    with path.open("w", encoding="ascii") as file:
        file.write("time_s,force_n\n")
        for first in range(0, rows, 200_000):
            time_s = np.arange(first, min(first + 200_000, rows)) / HZ
            share = np.clip((time_s % (60.0 / RATE_SPM)) / 0.9, 0.0, 1.0)
            force_n = 600.0 * np.sin(np.pi * share) ** 1.2 + rng.normal(0, 600 * noise, len(share))
            np.savetxt(file, np.column_stack((time_s, force_n)), fmt="%.3f,%.1f")
    return rows


def peak_mb() -> float:
    """Most memory this process has held, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def main() -> None:
    """Print the figures."""
    hours = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    noise = float(sys.argv[2]) if len(sys.argv) > 2 else 0.01
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        rows = write_file(path, hours, noise)
        print(f"{rows} rows, {path.stat().st_size / 1e6:.0f} MB; before: {peak_mb():.0f} MB held")
        begun = time.perf_counter()
        trace = read_trace(path)
        print(f"read    {time.perf_counter() - begun:6.1f} s, peak {peak_mb():.0f} MB")
        begun = time.perf_counter()
        piece = analyse(trace)
        print(f"analyse {time.perf_counter() - begun:6.1f} s, peak {peak_mb():.0f} MB")
        print(f"{len(piece.strokes)} strokes; rows drawn hold {hours * 60 * RATE_SPM:.0f}")


if __name__ == "__main__":
    main()
