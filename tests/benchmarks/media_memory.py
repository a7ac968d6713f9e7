"""Resident memory over a long time of scrubbing, the quick copy's child process included.

Run with ``python -m tests.benchmarks.media_memory VIDEO [MINUTES]``. A hand drags, jumps, steps and
rests at random; every twentieth of the time a line tells what is resident and draws it as a bar
(one sign for 25 MB), so that the lines together are the curve. At the end a line is laid through
the second half: MB more for each hour.
"""

from __future__ import annotations

import os
import queue
import random
import sys
import time
from pathlib import Path

import numpy as np

from app.media.server import FrameServer, ShownFrame
from app.media.video import VideoFile


def resident_mb(process: int | str = "self") -> float:
    try:
        pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    except (OSError, IndexError):
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def bar(own_mb: float, child_mb: float) -> str:
    """The two as lengths, one sign for 25 MB."""
    return "#" * round(own_mb / 25) + "+" * round(child_mb / 25)


def main() -> None:
    path = Path(sys.argv[1])
    minutes = float(sys.argv[2]) if sys.argv[2:] else 10.0
    start = time.perf_counter()
    with VideoFile.open(path) as video:
        last = len(video.index) - 1
        print(f"{last + 1} frames, {video.duration_s:.0f} s, {video.width} by {video.height}, "
              f"open after {time.perf_counter() - start:.2f} s")  # fmt: skip
    frames: queue.Queue[ShownFrame] = queue.Queue()
    server = FrameServer(path, frames.put, print)
    rng, at, shown, peak = random.Random(3), 0, 0, 0.0
    curve: list[tuple[float, float]] = []
    start = time.perf_counter()
    told = 0
    while (spent := time.perf_counter() - start) < minutes * 60:
        kind = rng.randrange(4)
        stride = rng.choice([-200, -30, -1, 1, 30, 200]) if kind else 0
        if kind == 0:
            at = rng.randrange(last + 1)
        for _ in range(rng.choice([1, 60, 200])):
            at = min(max(at + stride, 0), last)
            server.request(at, 960, 540)
            time.sleep(1 / 60)
            while not frames.empty():
                frames.get()
                shown += 1
        time.sleep(rng.choice([0.0, 0.2, 1.0]))
        child = server._proxy._child if server._proxy is not None else None
        own, other = resident_mb(), resident_mb(child.pid) if child is not None else 0.0
        peak = max(peak, own + other)
        curve.append((spent, own + other))
        if spent >= told * minutes * 3:
            told += 1
            print(f"{spent:5.0f} s: {own:4.0f} MB, child {other:4.0f} MB, {shown:6d} shown, copy "
                  f"{server.proxy_share:4.0%} {bar(own, other)}", flush=True)  # fmt: skip
    server.close()
    half = [point for point in curve if point[0] > minutes * 30]
    if len(half) > 2:
        slope = np.polyfit(*np.array(half).T, 1)[0] * 3600
        print(
            f"second half: from {half[0][1]:.0f} to {half[-1][1]:.0f} MB, {slope:+.0f} MB an hour"
        )
    print(f"most together {peak:.0f} MB; after closing {resident_mb():.0f} MB")


if __name__ == "__main__":
    main()
