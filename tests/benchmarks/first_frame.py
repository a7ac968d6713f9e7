"""When the first frame of a long recording is on screen, and when all its frames are counted.

Run with ``python -m tests.benchmarks.first_frame [VIDEO]``; without a name it repeats the packets
of a short 1080p60 clip for ten minutes. It reads the file from the system's memory first and then,
where the system lets go of that, from the disk.
"""

from __future__ import annotations

import os
import sys
import tempfile
import threading
import time
from pathlib import Path

from app.media.server import FrameServer
from tests.helpers.clips import run_ffmpeg

MINUTES = 10
ROUNDS = 3


def long_clip(folder: Path) -> Path:
    """Ten minutes, by repeating the packets of ten seconds."""
    short, long = folder / "short.mp4", folder / "long.mp4"
    run_ffmpeg(
        "-f", "lavfi", "-i", "testsrc2=size=1920x1080:rate=60:duration=10", "-vf",
        "noise=alls=5:allf=t", "-c:v", "libx264", "-preset", "ultrafast", "-b:v", "12M", "-g",
        "60", "-pix_fmt", "yuv420p", short,
    )  # fmt: skip
    run_ffmpeg("-stream_loop", str(MINUTES * 6 - 1), "-i", short, "-c", "copy", long)
    return long


def forget(path: Path) -> bool:
    """Have the system drop what it keeps of a file in memory."""
    if not hasattr(os, "posix_fadvise"):
        return False
    with path.open("rb") as file:
        os.fsync(file.fileno())
        os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    return True


def measure(path: Path) -> tuple[float, float, list[float]]:
    """Seconds to the first frame and to the whole index; the shares told meanwhile."""
    start = time.perf_counter()
    first: list[float] = []
    whole: list[float] = []
    shares: list[float] = []
    done = threading.Event()

    def opened(_video: object) -> None:
        whole.append(time.perf_counter() - start)
        server.request(0, 960, 540)

    def shown(_frame: object) -> None:
        first.append(time.perf_counter() - start)
        if whole:
            done.set()

    server = FrameServer(
        path, shown, print, on_open=opened, on_progress=shares.append, proxy_bytes=0
    )
    done.wait(120)
    server.close()
    return first[0], whole[0], shares


def report(path: Path) -> None:
    print(f"{path.name}, {path.stat().st_size / 2**20:.0f} MB")
    for name in ("warm", "cold"):
        for _ in range(ROUNDS):
            if name == "cold" and not forget(path):
                return
            first_s, whole_s, shares = measure(path)
            print(
                f"{name}: first frame after {first_s * 1000:5.0f} ms, index whole after "
                f"{whole_s * 1000:5.0f} ms ({whole_s / first_s:4.1f} times), "
                f"progress told {len(shares)} times",
                flush=True,
            )


if __name__ == "__main__":
    if sys.argv[1:]:
        report(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as scratch:
            report(long_clip(Path(scratch)))
