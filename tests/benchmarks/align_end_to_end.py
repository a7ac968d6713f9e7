"""Whole submissions, encoded and read back: error of the line-up and how long it takes.

python -m tests.benchmarks.align_end_to_end [--clips 12] [--width 640] [--seconds 24]
"""

from __future__ import annotations

import argparse
import subprocess
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from analysis.clocks.cuts import line_up_with_cuts
from analysis.force.intake import read_trace
from analysis.force.strokes import find_strokes
from app.media.video import VideoFile
from app.submission.lining_up import footage_signals
from samples.submission import SampleOptions, make_submission
from tests.helpers.clips import FFMPEG

CONDITIONS: tuple[tuple[str, SampleOptions], ...] = (
    ("plain", SampleOptions(faults=())),
    ("give and early loss", SampleOptions(seed=2)),
    ("hand-held", SampleOptions(seed=3, faults=(), shake=1.5)),
    ("facing right", SampleOptions(seed=4, faults=(), facing="right")),
    ("facing right, hand-held, no position", SampleOptions(seed=5, faults=(), facing="right",
                                                         shake=1.0, position=False)),
    ("half speed", SampleOptions(seed=6, faults=(), fps=60)),
    ("60 frames a second", SampleOptions(seed=7, faults=(), fps=60)),
    ("trace starts earlier", SampleOptions(seed=8, faults=(), offset_s=-60.0, drift_ppm=200.0)),
    ("trace starts late", SampleOptions(seed=9, faults=(), offset_s=8.0, drift_ppm=-200.0)),
    ("rest", SampleOptions(seed=10, faults=(), pauses=((3, 5.0),))),
    ("rate change, lost samples", SampleOptions(seed=11, faults=(), end_rate_spm=30.0,
                                                 dropouts=0.03, sample_hz=50.0)),
    ("seat first", SampleOptions(seed=12, faults=(("seat-first", 0.7),))),
)  # fmt: skip


def slowed(footage: Path, factor: float) -> Path:
    """The same frames shown `factor` times more slowly, the sound stretched with them."""
    out = footage.with_name("slow.mp4")
    assert FFMPEG is not None
    subprocess.run(
        [FFMPEG, "-v", "error", "-y", "-i", footage, "-vf", f"setpts={factor}*PTS", "-r", "30",
         "-af", f"atempo={1 / factor}", "-preset", "veryfast", out],
        check=True,
    )  # fmt: skip
    return out


def one(name: str, options: SampleOptions, folder: Path) -> None:
    made = make_submission(folder, options)
    footage, factor = made.footage, 1.0
    if name == "half speed":
        footage, factor = slowed(made.footage, 2.0), 2.0
    trace = read_trace(made.force)
    with VideoFile.open(footage) as video:
        length_s = video.duration_s
    for use in (("picture",), ("sound",), ("picture", "sound")):
        start = time.perf_counter()
        seen = footage_signals(footage, use=use)
        found = line_up_with_cuts(seen.motion, seen.sound, trace, find_strokes(trace))
        took = time.perf_counter() - start
        a = found.alignment
        error = (a.offset_s - factor * options.offset_s) / factor
        print(
            f"{name:38s} {'+'.join(use):13s} error {error * 1e3:8.1f} ms, stated "
            f"±{(a.uncertainty_s or 0) / factor * 1e3:5.1f}, {found.strokes:2d} strokes, "
            f"x{found.slow_motion:g}, faces {found.faces or '-':5s} "
            f"{'ambiguous' if a.ambiguous else 'sure':9s} {length_s / took:5.1f}x real time",
            flush=True,
        )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--clips", type=int, default=len(CONDITIONS))
    parser.add_argument("--width", type=int, default=640)
    parser.add_argument("--seconds", type=float, default=24.0)
    given = parser.parse_args()
    height = given.width * 9 // 16 // 2 * 2
    for name, options in CONDITIONS[: given.clips]:
        with tempfile.TemporaryDirectory() as folder:
            sized = replace(
                options, width=given.width, height=height, duration_s=given.seconds, rate_spm=26.0
            )
            one(name, sized, Path(folder))


if __name__ == "__main__":
    main()
