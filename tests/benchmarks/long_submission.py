"""What a long submission costs: 20 minutes of 1080p with two hours of force.

Run with ``python -m tests.benchmarks.long_submission [MINUTES_OF_FILM [HOURS_OF_FORCE [HZ]]]``.

Half a minute is painted and encoded once; its packets, copied again and again by the ffmpeg
program, are the long film, and its samples again and again are the force at that moment, between
other strokes. Printed are CPU seconds (user and system, children too) of opening and of lining up,
as a ratio to the length of the film as well, and the most memory that was resident. How well it is
lined up is not measured here: a film that repeats itself fits in many places.
"""

from __future__ import annotations

import resource
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

from app.submission.load import Said
from app.submission.together import begin_together, judge_films
from samples.submission import SampleOptions, make_submission, simulate_force
from tests.helpers.clips import run_ffmpeg

PART_S = 30.0
INTO_FORCE = 1.0 / 3.0  # where in the force the film begins, as a share of it


def cpu_s() -> float:
    """CPU seconds so far, of this process and of its children that ended."""
    spent = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(each.ru_utime + each.ru_stime for each in spent)


def peak_mb() -> float:
    """The most that was resident in this process so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def long_film(folder: Path, minutes: float, hz: float) -> tuple[Path, np.ndarray]:
    """The film, and force and position (R, 2) of the part that it repeats."""
    options = SampleOptions(seed=3, duration_s=PART_S, offset_s=0.0, drift_ppm=0.0, sample_hz=hz)
    made = make_submission(folder / "part", options)
    film = folder / "long.mp4"
    times = round(60.0 * minutes / PART_S) - 1
    run_ffmpeg("-stream_loop", times, "-i", made.footage, "-c", "copy", film)
    rows = np.genfromtxt(made.force, delimiter=",", skip_header=1, usecols=(1, 2))
    return film, np.nan_to_num(rows[: round(PART_S * hz)])


def long_force(folder: Path, part: np.ndarray, minutes: float, hours: float, hz: float) -> Path:
    """Hours of other strokes, with those of the film in them."""
    hour = SampleOptions(seed=9, duration_s=600.0, offset_s=0.0, drift_ppm=0.0, sample_hz=hz)
    other = simulate_force(hour)[0]
    force = np.nan_to_num(np.resize(other.force_n, round(3600.0 * hours * hz)))
    position = np.nan_to_num(np.resize(other.position_m, len(force)))
    at, times = round(INTO_FORCE * len(force)), round(60.0 * minutes / PART_S)
    shown = np.tile(part, (times, 1))[: len(force) - at]
    force[at : at + len(shown)], position[at : at + len(shown)] = shown.T
    path = folder / "long.csv"
    table = np.column_stack((np.arange(len(force)) / hz, force, position))
    np.savetxt(path, table, "%.4f,%.1f,%.4f", header="time_s,force_n,position_m", comments="")
    return path


def made(folder: Path, minutes: float, hours: float, hz: float) -> tuple[Path, Path]:
    """Write film and force."""
    film, part = long_film(folder, minutes, hz)
    return film, long_force(folder, part, minutes, hours, hz)


def main() -> None:
    """Make it, open it, line it up."""
    minutes, hours, hz = [*map(float, sys.argv[1:]), *(20.0, 2.0, 100.0)[len(sys.argv) - 1 :]]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # In a process of its own, so that the memory it takes is not counted.
        with ProcessPoolExecutor(1) as maker:
            film, force = maker.submit(made, folder, minutes, hours, hz).result()
        before = cpu_s()
        sizes = " and ".join(f"{p.stat().st_size / 1e6:.0f} MB" for p in (film, force))
        print(f"{minutes:.0f} min of 1080p, {hours:g} h of force at {hz:.0f} Hz: {sizes}; "
              f"{peak_mb():.0f} MB to begin with", flush=True)  # fmt: skip
        sent = begin_together([film, force], None, Said(), lines_up=False).sent
        piece = sent.piece
        assert piece is not None
        told("opened", cpu_s() - before, minutes, f"{len(piece.strokes)} strokes")
        before = cpu_s()
        judged = judge_films([film], piece)
        found = judged.found
        told("lined up", cpu_s() - before, minutes, "-" if found is None else found.verdict)


def told(what: str, spent_s: float, minutes: float, found: str) -> None:
    """Print what a step cost."""
    ratio = spent_s / (60.0 * minutes)
    print(f"{what}: {spent_s:.1f} s CPU, {ratio:.4f} of the film's length, at most "
          f"{peak_mb():.0f} MB ({found})", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
