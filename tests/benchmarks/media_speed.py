"""What stepping, jumping and dragging cost, as ratios within one run.

Run with ``python -m tests.benchmarks.media_speed [VIDEO ...]``; without a name it makes its own
clips (1080p60, groups of 60 and of 250 frames). Stepping and dragging are measured twice: just
after opening, without the quick copy, and when the quick copy is there.
"""

from __future__ import annotations

import resource
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer

from app.media.index import read_index
from app.media.server import FrameServer, ShownFrame
from app.media.video import VideoFile
from tests.helpers.clips import run_ffmpeg

BOX = (960, 540)


def moving_clip(folder: Path, group: int, seconds: int) -> Path:
    """A clip as hard to decode as a phone's: movement everywhere and grain."""
    path = folder / f"1080p60_group{group}.mp4"
    run_ffmpeg(
        "-f", "lavfi", "-i", f"testsrc2=size=1920x1080:rate=60:duration={seconds}", "-vf",
        "noise=alls=7:allf=t", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "18M", "-g",
        str(group), "-sc_threshold", "0",
        "-bf", "3" if group > 100 else "0", "-pix_fmt", "yuv420p", path,
    )  # fmt: skip
    return path


def timed(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def bare_jump(container: InputContainer, key_pts: int, pts: int) -> None:
    """Nothing but the decoder: from the key frame to the wanted one, the file being open."""
    stream = container.streams.video[0]
    container.seek(key_pts, stream=stream)
    for frame in container.decode(stream):
        if frame.pts is not None and frame.pts >= pts:
            return


def quantiles(values: list[float]) -> str:
    ordered = np.array(values) * 1000
    return f"{np.median(ordered):7.1f} {np.percentile(ordered, 95):7.1f}"


def jumps(path: Path, count: int = 16) -> None:
    ours, bare = [], []
    with VideoFile.open(path) as video, av.open(str(path)) as container:
        container.streams.video[0].thread_type = "AUTO"
        bare_jump(container, 0, 0)
        for i in np.random.default_rng(5).integers(0, len(video.index), count):
            key, pts = video.index.key_before(int(i)), int(video.index.pts[i])
            pair = [
                (bare, lambda k=key, p=pts: bare_jump(container, k, p)),
                (ours, lambda j=int(i): video.frame_bgra(j, *BOX)),
            ]
            # Whichever goes second finds the file warm: they take turns.
            for times, action in pair[:: 1 if len(ours) % 2 else -1]:
                times.append(timed(action))
    ratio = statistics.median(a / b for a, b in zip(ours, bare, strict=True))
    print(f"jump, ms median/p95            {quantiles(ours)}")
    print(f"bare decode of the same        {quantiles(bare)}")
    print(f"jump / bare decode, median of pairs   {ratio:5.2f}")


class Hand:
    """Asks a server for frames and notes when they come."""

    def __init__(self, path: Path, proxy_bytes: int = 0) -> None:
        self.shown: list[tuple[float, int]] = []
        self._exact = -1
        self._came = threading.Condition()
        self.server = FrameServer(path, self._take, print, proxy_bytes=proxy_bytes)

    def _take(self, frame: ShownFrame) -> None:
        with self._came:
            self.shown.append((time.perf_counter(), frame.index))
            self._exact = frame.index if frame.exact else -1
            self._came.notify()

    def show(self, i: int) -> float:
        """Seconds until frame `i` is there, out of the recording itself."""
        start = time.perf_counter()
        with self._came:
            self._exact = -1
            self.server.request(i, *BOX)
            while self._exact != i:
                self._came.wait()
        return time.perf_counter() - start

    def hold(
        self, first: int, step: int, rest_s: float, seconds: float = 3.0, rate_hz: float = 60
    ) -> tuple[int, int]:
        """Frames asked for at a key's repeat rate, and how many different ones were shown.

        The hand rests on the first frame for a while before.
        """
        self.show(first)
        time.sleep(rest_s)
        count, start = int(seconds * rate_hz), time.perf_counter()
        before = len(self.shown)
        for k in range(1, count + 1):
            time.sleep(max(0.0, start + k / rate_hz - time.perf_counter()))
            self.server.request(first + step * k, *BOX)
        self.show(first + step * count)
        return count, len({j for _, j in self.shown[before:]})


def steps(hand: Hand, frames: int) -> None:
    middle = frames // 2
    hand.show(middle)
    forward = [hand.show(middle + k) for k in range(1, 60)]
    hand.show(middle + 59)
    back = [hand.show(middle + 59 - k) for k in range(1, 50)]
    print(f"one step forward, ms           {quantiles(forward)}")
    print(f"one step back, ms              {quantiles(back)}")
    ratio = statistics.median(back) / statistics.median(forward)
    print(f"back / forward, median         {ratio:7.2f}")
    for name, step in (("forward", 1), ("back", -1)):
        for rest_s in (0.0, 1.5):
            asked, shown = hand.hold(middle, step, rest_s)
            print(f"key held {name:8s} after {rest_s} s at rest: asked {asked}, shown {shown}")


def quick_copy(hand: Hand, most_s: float = 300.0) -> None:
    """Wait until the quick copy is whole."""
    start = time.perf_counter()
    hand.show(0)
    while hand.server.proxy_share < 0.999 and time.perf_counter() - start < most_s:
        time.sleep(0.2)
    print(f"quick copy: {hand.server.proxy_share:.0%} in {time.perf_counter() - start:.0f} s")


def drag(hand: Hand, frames: int, seconds: float = 6.0) -> None:
    """The playhead pulled to and fro over the whole recording at 60 requests a second."""
    hand.show(0)
    start, asked = time.perf_counter(), []
    before = len(hand.shown)
    for k in range(int(seconds * 60)):
        time.sleep(max(0.0, start + k / 60 - time.perf_counter()))
        place = 0.5 - 0.45 * np.cos(2 * np.pi * k / 60 / seconds * 1.5)
        asked.append((time.perf_counter(), int(place * (frames - 1))))
        hand.server.request(asked[-1][1], *BOX)
    rest = hand.show(asked[-1][1])
    times = [start, *(t for t, _ in hand.shown[before:])]
    print(f"dragging: ms between pictures  {quantiles(list(np.diff(times)))}")
    off = [abs(j - max((a for a in asked if a[0] <= t), default=asked[0])[1])
           for t, j in hand.shown[before:]]  # fmt: skip
    print(f"dragging: frames off the hand  {np.median(off):7.0f} {np.percentile(off, 95):7.0f}")
    print(f"hand rests, exact after ms     {rest * 1000:7.1f}")


def report(path: Path) -> None:
    print(f"\n{path.name}")
    index = read_index(path)
    cost = statistics.median(timed(lambda: read_index(path)) for _ in range(5))
    print(f"index of {index.end_s:.0f} s: {cost * 1000:.0f} ms ({cost / index.end_s:.4f} of it)")
    jumps(path)
    for proxy_bytes in (0, 2**31):
        hand = Hand(path, proxy_bytes)
        if proxy_bytes:
            quick_copy(hand)
        steps(hand, len(index))
        drag(hand, len(index))
        hand.server.close()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"largest resident memory so far {peak:7.0f} MB")


def main() -> None:
    if sys.argv[1:]:
        for name in sys.argv[1:]:
            report(Path(name))
        return
    with tempfile.TemporaryDirectory() as folder:
        for group in (60, 250):
            report(moving_clip(Path(folder), group, 15))


if __name__ == "__main__":
    main()
