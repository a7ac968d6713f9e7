"""Damaged recordings through opening, jumping and stepping: no crash, no hang, bounded memory.

Run with ``python -m tests.benchmarks.media_fuzz [COUNT]`` (2000 without a number). Small clips in
many encodings have bytes flipped, zeroed, cut, repeated and put in another order; child processes
open each, jump about, step both ways, read its sound, and serve it to a window. A child that dies
or takes too long names the file it was at.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.helpers.clips import RECIPES, make_clip

NAMES = (
    "h264_b", "h264_open_gop", "h264_refresh", "hevc", "hevc_10bit_open", "vp9", "vp8_hidden",
    "av1", "ts", "mkv", "mov", "fragmented", "trimmed", "avi_mpeg4_b", "avi_h264_b", "mpeg2_ps",
    "rot90", "odd_420", "interlaced", "avi_mjpeg",
)  # fmt: skip
BATCH = 25
FILE_LIMIT_S = 60.0

CHILD = """
import json, queue, resource, sys, time
from app.media.errors import MediaError
from app.media.server import FrameServer
from app.media.sound import read_sound
from app.media.video import VideoFile

def try_out(path):
    with VideoFile.open(path) as video:
        last = len(video.index) - 1
        for i in (last, last // 2, last // 3, 0):
            video.frame_bgra(i, 64, 64)
        for i in (*range(min(4, last + 1)), *range(last, max(last - 4, -1), -1)):
            image = video.frame_rgb(i)
            assert image.shape == (video.height, video.width, 3)
        index = video.index
    try:
        read_sound(path, 0.0, 1.0, 16000, index)
    except MediaError:
        pass
    came = queue.Queue()
    server = FrameServer(path, came.put, came.put, proxy_bytes=0)
    for i in (last // 2, last // 2 - 1, 5):
        server.request(i, 64, 64)
        came.get(timeout=30)
    server.close()
    assert not server.running
    return "shown"

for path in sys.argv[1:]:
    print(json.dumps(["begin", path]), flush=True)
    start = time.perf_counter()
    try:
        outcome = try_out(path)
    except MediaError as error:
        text = str(error)
        assert text.endswith(".") and "\\n" not in text, text
        outcome = "refused"
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(json.dumps([outcome, time.perf_counter() - start, peak]), flush=True)
"""


def damaged(data: bytes, rng: random.Random) -> bytes:
    """Flip, zero, cut, repeat or swap some bytes, near the front as often as anywhere."""
    out = bytearray(data)
    kind = rng.randrange(6)
    reach = rng.choice([len(out), min(len(out), 2000)])
    at = rng.randrange(reach)
    if kind == 0:
        for _ in range(rng.choice([1, 10, 200, 2000])):
            out[rng.randrange(reach)] = rng.randrange(256)
    elif kind == 1:
        for _ in range(rng.choice([1, 5, 50])):
            out[rng.randrange(reach)] ^= 1 << rng.randrange(8)
    elif kind == 2:
        size = rng.choice([8, 64, 2000])
        out[at : at + size] = bytes([rng.choice([0, 255])]) * size
    elif kind == 3:
        del out[rng.randrange(1, len(out)) :]
    elif kind == 4:
        out[at:at] = out[max(0, at - 500) : at]
    else:
        other, size = rng.randrange(len(out)), rng.choice([16, 256])
        out[at : at + size], out[other : other + size] = (
            out[other : other + size],
            out[at : at + size],
        )
    return bytes(out)


class Tally:
    """What came of the files."""

    def __init__(self) -> None:
        self.outcomes: Counter[str] = Counter()
        self.slowest_s = 0.0
        self.peak_mb = 0
        self.bad: list[str] = []

    def take(self, lines: list[str]) -> str | None:
        """Count what a child printed; the file it was at when it ended in the middle of one."""
        at = None
        for line in lines:
            first, *rest = json.loads(line)
            if first == "begin":
                at = rest[0]
                continue
            at = None
            self.outcomes[first] += 1
            self.slowest_s = max(self.slowest_s, rest[0])
            self.peak_mb = max(self.peak_mb, rest[1])
        return at


def run_batch(paths: list[Path], tally: Tally, keep: Path) -> None:
    """Send files through child processes; after one that died, go on behind its file."""
    while paths:
        command = [sys.executable, "-c", CHILD, *map(str, paths)]
        try:
            done = subprocess.run(
                command, capture_output=True, text=True, errors="replace", check=False,
                timeout=FILE_LIMIT_S + 4 * len(paths), cwd=Path(__file__).resolve().parents[2],
            )  # fmt: skip
            out, ended, said = done.stdout, f"exit {done.returncode}", done.stderr[-1500:]
            if done.returncode == 0:
                tally.take(out.splitlines())
                return
        except subprocess.TimeoutExpired as late:
            out = (late.stdout or b"").decode(errors="replace")
            ended, said = "too slow", ""
        at = tally.take(out.splitlines())
        place = [str(p) for p in paths].index(at) if at in map(str, paths) else len(paths) - 1
        bad = paths[place]
        kept = keep / f"{len(tally.bad)}{bad.suffix}"
        kept.write_bytes(bad.read_bytes())
        tally.outcomes["crashed or hung"] += 1
        tally.bad.append(f"{bad.name} ({ended}), kept as {kept}: {said}")
        print(tally.bad[-1], flush=True)
        paths = paths[place + 1 :]


def main() -> None:
    count = int(sys.argv[1]) if sys.argv[1:] else 2000
    rng, tally = random.Random(2000), Tally()
    start = time.perf_counter()
    keep = Path(tempfile.mkdtemp(prefix="fuzz-kept-"))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sources = [make_clip(folder, clip) for clip in NAMES if clip in RECIPES]
        contents = [(path, path.read_bytes()) for path in sources]
        for first in range(0, count, BATCH):
            batch = []
            for k in range(first, min(first + BATCH, count)):
                source, data = contents[k % len(contents)]
                batch.append(folder / f"{k:04}_{source.stem}{source.suffix}")
                batch[-1].write_bytes(damaged(data, rng))
            run_batch(batch, tally, keep)
            for path in batch:
                path.unlink()
            if first // BATCH % 10 == 9:
                print(first + BATCH, dict(tally.outcomes), flush=True)
    print(f"{count} files, {time.perf_counter() - start:.0f} s: {dict(tally.outcomes)}")
    print(f"slowest file {tally.slowest_s:.1f} s, largest resident memory {tally.peak_mb} MB")
    if not tally.bad:
        keep.rmdir()


if __name__ == "__main__":
    main()
