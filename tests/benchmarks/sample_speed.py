"""How long the sample takes: `python -m tests.benchmarks.sample_speed`."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from samples.piece import PieceOptions, simulate_piece
from samples.submission import SampleOptions, make_submission


def main() -> None:
    """Print the figures."""
    start = time.perf_counter()
    piece = simulate_piece(PieceOptions(duration_s=1000 * 60 / 22))
    print(f"piece of {len(piece.strokes)} strokes: {time.perf_counter() - start:.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        marks: list[tuple[float, float]] = []
        start, cpu = time.perf_counter(), time.process_time()
        options = SampleOptions()
        sample = make_submission(
            Path(folder),
            options,
            lambda _: marks.append((time.perf_counter(), time.process_time())),
        )
        frames = options.duration_s * options.fps
        wall, used = time.perf_counter() - start, time.process_time() - cpu
        print(f"whole sample: {wall:.1f} s, {used:.1f} s of CPU")
        wall, used = (marks[-1][k] - marks[0][k] for k in (0, 1))
        print(f"frames alone: {frames / wall:.1f} a second, {frames / used:.1f} a CPU second")
        for path in (sample.footage, sample.force, sample.truth):
            print(f"{path.name}: {path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
