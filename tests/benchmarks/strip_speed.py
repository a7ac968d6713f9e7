"""How long a stroke strip takes: frames, PNG, SVG, and what strips add to a bundle.

Run: python -m tests.benchmarks.strip_speed
"""

from __future__ import annotations

import json
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from analysis.clocks.alignment import Alignment
from app.bundle.pictures.strip import make_strip, paint_strip, strip_svg
from app.bundle.write import write_bundle
from app.media.video import VideoFile
from app.submission.clock import ReviewClock
from app.submission.draft import draft_state
from app.submission.load import Said, begin_with
from app.submission.pieces import piece_of
from samples.submission import small_sample

ROUNDS = 5


def least_s(work: Callable[[], object]) -> float:
    """Shortest of a few runs, in seconds."""
    took = []
    for _ in range(ROUNDS):
        begin = time.perf_counter()
        work()
        took.append(time.perf_counter() - begin)
    return min(took)


def main() -> None:
    """Print the figures."""
    sample = small_sample()
    clocks = json.loads(sample.truth.read_text("utf-8"))["clocks"]
    lined_up = Alignment(clocks["offset_s"], clocks["drift_ppm"], 0.0, "as simulated")
    clock = ReviewClock(lined_up)
    piece = piece_of(sample.force)
    with VideoFile.open(sample.footage) as film:
        strip = make_strip(film, piece, 1, clock)
        print(f"frames of one stroke  {least_s(lambda: make_strip(film, piece, 2, clock)):.3f} s")
    print(f"PNG 1000 px           {least_s(lambda: paint_strip(strip, 1000, True)):.3f} s")
    print(f"SVG                   {least_s(lambda: strip_svg(strip)):.3f} s")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "x.review"
        sent = begin_with(sample.footage, sample.force, place, Said())
        state = draft_state(replace(sent, state=replace(sent.state, alignment=lined_up)))
        # The same notes as plain ones: no finding, and no line-up to show a typical strip by.
        plain = replace(state, decisions=(), alignment=replace(lined_up, method="assumed"))
        with_s, without_s = (
            least_s(lambda given=given: write_bundle(given, place, Path(folder) / "out"))
            for given in (state, plain)
        )
        print(f"bundle of {len(state.notes)} notes     {with_s:.2f} s with strips, "
              f"{without_s:.2f} s without: {with_s / without_s:.2f} times")  # fmt: skip


if __name__ == "__main__":
    main()
