"""How far the sound is from the picture while a clip plays in the window.

Needs a PulseAudio server with a null sink as its default output, and the ffmpeg program. A clip
beeps at every whole second; what the sink's monitor hears is compared with when the picture of
that second was given to the screen. The monitor itself delays what it hears; that delay is
measured with a beep written to the sink directly and taken off.

    python -m tests.benchmarks.sound_sync [SECONDS]
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import numpy as np

from tests.helpers.clips import run_ffmpeg

RATE = 48_000
BLOCK = 480


class Monitor:
    """Hears the sink, each block with the time it came."""

    def __init__(self) -> None:
        self.blocks: list[tuple[float, np.ndarray]] = []
        self._process = subprocess.Popen(
            ["parec", "--raw", "--format=s16le", f"--rate={RATE}", "--channels=1",
             "--latency-msec=5", "-d", "@DEFAULT_MONITOR@"],
            stdout=subprocess.PIPE,
        )  # fmt: skip
        threading.Thread(target=self._hear, daemon=True).start()

    def _hear(self) -> None:
        assert self._process.stdout is not None
        while data := self._process.stdout.read(BLOCK * 2):
            self.blocks.append((time.monotonic(), np.frombuffer(data, "<i2")))

    def beeps(self) -> list[float]:
        """When each beep began, in seconds of the monotonic clock."""
        starts, last = [], -1.0
        for came, block in list(self.blocks):
            loud = np.flatnonzero(np.abs(block.astype(int)) > 3000)
            if len(loud):
                at = came - (len(block) - loud[0]) / RATE
                if at - last > 0.3:
                    starts.append(at)
                last = at
        return starts

    def stop(self) -> None:
        self._process.terminate()
        self._process.wait()


def monitor_delay(monitor: Monitor) -> float:
    """Seconds from a beep's writing to its hearing, least of five."""
    tone = (20000 * np.sin(2 * np.pi * 1000 * np.arange(960) / RATE)).astype("<i2").tobytes()
    delays = []
    for _ in range(5):
        before = len(monitor.beeps())
        player = subprocess.Popen(
            ["pacat", "--raw", "--format=s16le", f"--rate={RATE}", "--channels=1",
             "--latency-msec=5"], stdin=subprocess.PIPE,
        )  # fmt: skip
        assert player.stdin is not None
        for _ in range(40):  # let the stream run on silence before the beep
            player.stdin.write(bytes(BLOCK * 2))
            player.stdin.flush()
            time.sleep(BLOCK / RATE)
        written = time.monotonic()
        player.stdin.write(tone)
        player.stdin.close()
        player.wait()
        time.sleep(0.4)
        heard = monitor.beeps()[before:]
        if heard:
            delays.append(heard[0] - written)
    return min(delays)


def main(seconds: int) -> None:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtCore import QEventLoop, QTimer
    from PySide6.QtWidgets import QApplication

    from app.window.main_window import MainWindow
    from app.window.session.settings import Settings

    folder = Path(tempfile.mkdtemp())
    clip = folder / "beeps.mp4"
    beep = "if(lt(mod(t\\,1)\\,0.02)\\,0.8*sin(2*PI*1000*t)\\,0)"
    run_ffmpeg(
        "-f", "lavfi", "-i", f"testsrc2=size=1280x720:rate=30:duration={seconds}",
        "-f", "lavfi", "-i", f"aevalsrc={beep}:s={RATE}:d={seconds}",
        "-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-c:a", "aac", clip,
    )  # fmt: skip
    app = QApplication([])
    bench = MainWindow(Settings(folder / "settings.json"))
    bench.resize(1280, 800)
    bench.show()

    def wait(done, limit_s: float) -> None:  # type: ignore[no-untyped-def]
        end = time.monotonic() + limit_s
        while not done() and time.monotonic() < end:
            loop = QEventLoop()
            QTimer.singleShot(20, loop.quit)
            loop.exec()

    bench.session.open_paths([clip])
    wait(lambda: bench.picture.frame is not None and not bench.jobs.running, 30)
    monitor = Monitor()
    delay = monitor_delay(monitor)
    first = len(monitor.beeps())
    shown: dict[int, float] = {}

    def note(time_s: float) -> None:
        shown.setdefault(round(time_s * 30), time.monotonic())

    bench.playhead.moved.connect(note)
    bench.playhead.play()
    wait(lambda: not bench.playhead.is_playing, seconds + 5)
    wait(lambda: False, 0.5)
    heard = monitor.beeps()[first:]
    monitor.stop()
    off = []
    for at in heard:
        second, seen = min(
            ((k // 30, t) for k, t in shown.items() if k % 30 == 0),
            key=lambda pair: abs(pair[1] - (at - delay)),
        )
        if second > 0:
            off.append(1000 * (at - delay - seen))
    print(f"delay of the monitor itself: {1000 * delay:.1f} ms; beeps heard: {len(off)}")
    print(
        "sound behind picture, ms: median "
        f"{np.median(off):.1f}, least {min(off):.1f}, most {max(off):.1f}"
    )
    bench.close()
    del app


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
