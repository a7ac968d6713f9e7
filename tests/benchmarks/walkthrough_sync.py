"""How far a walkthrough's events lie from its voice, through a real sound server.

Needs the pulseaudio and pactl programs. A server of its own runs with a source that hears what this
script writes into a pipe, in real time. While a walkthrough is recorded, a click is written and the
playhead moved, again and again; where the clicks stand in the recorded samples is then compared
with the times of the moves.

    QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.walkthrough_sync [SECONDS] [null]

With `null` the microphone is the monitor of a null sink, remapped as a source, into which a player
plays the clicks; a second stream records the same source without this program and tells when they
were really heard. That chain stalls for a second or two whenever a stream begins, and at times in
between, which no microphone does: look at the median there.

A machine that is busy with other work starves the sound server, which then loses samples (the line
"recorded" tells). What was lost shows as an offset of that much until the clock has found its way
back.

With the word `kill` instead of seconds a recording is killed midway (SIGKILL) and what was lost is
printed.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO

import numpy as np

RATE = 48_000
EVERY_S = 2.0
# The monitor of a null sink stalls whenever a stream begins; the first click waits for that.
WARM_UP_S = 5.0
CLICK = np.round(20_000 * np.hanning(97)).astype("<i2")


def main() -> None:
    """Run on a server of its own."""
    told = sys.argv[1] if len(sys.argv) > 1 else "300"
    null = "null" in sys.argv
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(XDG_RUNTIME_DIR=folder, HOME=folder, XDG_CONFIG_HOME=folder)
        pipe = (f"module-pipe-source source_name=bench file={folder}/room format=s16le rate={RATE} "
                "channels=1",)  # fmt: skip
        sink = (f"module-null-sink sink_name=room rate={RATE} channels=1",
                "module-remap-source master=room.monitor source_name=bench")  # fmt: skip
        modules = [word for module in (sink if null else pipe) for word in ("-L", module)]
        server = subprocess.Popen(
            ["pulseaudio", "-n", "--exit-idle-time=-1", "-L", "module-native-protocol-unix",
             *modules], stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            _wait_for_server()
            if told == "kill":
                _kill(Path(folder))
            else:
                _measure(Path(folder), float(told), null)
        finally:
            server.terminate()
            server.wait()


def _wait_for_server() -> None:
    for _ in range(100):
        if subprocess.run(["pactl", "info"], capture_output=True).returncode == 0:
            return
        time.sleep(0.1)
    raise SystemExit("The sound server did not start.")


class Clicks:
    """Silence in real time, and a click when asked; notes when each was written."""

    def __init__(self, pipe: IO[bytes]) -> None:
        self._pipe = pipe
        self._wanted = threading.Event()
        self._over = False
        self.written: list[float] = []
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def click(self) -> None:
        """Play one now."""
        self._wanted.set()

    def stop(self) -> None:
        """End."""
        self._over = True
        self._thread.join(1.0)  # nobody reads the pipe once the microphone is closed

    def _run(self) -> None:
        begun, blocks = time.monotonic(), 0
        with contextlib.suppress(OSError):
            while not self._over:
                block = np.zeros(240, "<i2")
                if self._wanted.is_set():
                    self._wanted.clear()
                    block[: len(CLICK)] = CLICK
                    # The source's samples are counted by what is written: a block that is written
                    # late on a busy machine still stands where its turn was.
                    peak_s = (240 - len(CLICK) / 2) / RATE
                    self.written.append(begun + blocks * 240 / RATE - peak_s)
                self._pipe.write(block.tobytes())
                self._pipe.flush()
                blocks += 1
                time.sleep(max(0.0, begun + blocks * 240 / RATE - time.monotonic()))


def _player() -> subprocess.Popen[bytes]:
    command = ["pacat", "--playback", "--device=room", "--raw", f"--rate={RATE}",
               "--channels=1", "--format=s16le", "--latency-msec=5"]  # fmt: skip
    return subprocess.Popen(command, stdin=subprocess.PIPE)


class Witness:
    """Records the room without this program: samples as they come, each piece with its instant."""

    def __init__(self) -> None:
        command = ["parec", "--device=bench", "--raw", f"--rate={RATE}", "--channels=1",
                   "--format=s16le", "--latency-msec=5"]  # fmt: skip
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE)
        self.pieces: list[tuple[float, bytes]] = []
        threading.Thread(target=self._run, daemon=True).start()

    def stop(self) -> None:
        """End."""
        self._process.terminate()
        self._process.wait()

    def onsets(self) -> np.ndarray:
        """Instants at which clicks were heard, by the monotonic clock."""
        samples = np.frombuffer(b"".join(data for _at, data in self.pieces), "<i2")
        counts = np.cumsum([len(data) // 2 for _at, data in self.pieces])
        # The least late piece tells when the first sample was heard.
        starts = np.array([at for at, _data in self.pieces]) - counts / RATE
        return np.percentile(starts, 1) + _onsets(samples) / RATE

    def _run(self) -> None:
        pipe = self._process.stdout
        assert pipe is not None
        while data := pipe.read1(4096):  # type: ignore[attr-defined]
            self.pieces.append((time.monotonic(), data[: len(data) // 2 * 2]))


def _onsets(samples: np.ndarray) -> np.ndarray:
    """Samples at which clicks stand, at their highest."""
    loud = np.flatnonzero(samples > 8000)
    if not len(loud):
        return np.zeros(0)
    groups = np.split(loud, np.flatnonzero(np.diff(loud) > RATE // 10) + 1)
    return np.array([g[np.argmax(samples[g])] for g in groups], float)


def _bench(folder: Path):  # type: ignore[no-untyped-def]
    from PySide6.QtWidgets import QApplication

    from app.media.encode import ClipWriter
    from app.window.main_window import MainWindow
    from app.window.session.settings import Settings
    from tests.helpers.clips import numbered

    app = QApplication([])
    film = folder / "film.mp4"
    with ClipWriter(film, 320, 180) as clip:
        for i in range(600):
            clip.add(numbered(i), i / 30)
        clip.finish(20.0)
    bench = MainWindow(Settings(folder / "settings.json"))
    bench.show()
    bench.session.open_paths([film])
    _spin(app, lambda: bench.session.review is not None)
    _spin(app, lambda: False, 1.0)
    return app, bench


def _spin(app, done: Callable[[], bool], seconds: float = 20.0) -> None:  # type: ignore[no-untyped-def]
    until = time.monotonic() + seconds
    while not done() and time.monotonic() < until:
        app.processEvents()
        time.sleep(0.001)


def _measure(folder: Path, seconds: float, null: bool) -> None:
    from app.window.features.walkthrough.walkthroughs import Walkthroughs
    from app.window.sound.microphone_use import MicrophoneUse

    app, bench = _bench(folder)
    player = _player() if null else None
    clicks = Clicks(player.stdin if player and player.stdin else (folder / "room").open("wb"))
    witness = Witness() if null else None
    print("microphones:", bench[MicrophoneUse].microphones.names())
    walking = bench[Walkthroughs].recorder
    walking.toggle()
    if walking.microphone_name == "without a voice":
        raise SystemExit(f"No microphone: {bench.message_line.text}")
    begun = time.monotonic()
    _spin(app, lambda: False, WARM_UP_S)
    pressed: list[float] = []
    arrived: list[tuple[float, float]] = []
    bench.playhead.moved.connect(lambda s: arrived.append((time.monotonic(), s)))
    while time.monotonic() - begun < seconds - 2.0:
        frame = 10 + 40 * (len(pressed) % 13)
        clicks.click()
        pressed.append(time.monotonic())
        bench.playhead.seek(frame / 30)
        if len(pressed) % 5 == 0:  # time runs too, as it does while a coach talks
            _spin(app, lambda: False, EVERY_S / 4)
            bench.playhead.play()
            _spin(app, lambda: False, EVERY_S / 2)
            bench.playhead.pause()
            _spin(app, lambda: False, EVERY_S / 4)
        else:
            _spin(app, lambda: False, EVERY_S)
    wall_s = time.monotonic() - begun
    walking.toggle()
    clicks.stop()
    if player is not None and witness is not None:
        player.terminate()
        player.wait()
        witness.stop()
    real = None if witness is None else witness.onsets()
    real = np.array(clicks.written) if real is None else real[np.searchsorted(real, begun) :]
    _report(bench, wall_s, arrived, real, np.array(pressed))
    bench.close()


def _report(
    bench,  # type: ignore[no-untyped-def]
    wall_s: float,
    arrived: list[tuple[float, float]],
    real: np.ndarray,
    pressed: np.ndarray,
) -> None:
    from app.review.parts.walk_events import Moved
    from app.review.voice import samples_of

    walk = bench.session.state.walkthroughs[-1]
    samples = samples_of(bench.session.review.sound(walk.sound_id))
    heard = _onsets(samples) / RATE
    events = [(e.at_s, e.video_s) for e in walk.score.events if isinstance(e, Moved)]
    moves, shown = _jumps(events, len(pressed)), _jumps(arrived, len(pressed))
    level = 20 * np.log10(np.abs(samples).max() / 32768)
    print(f"recorded {walk.length_s:.3f} s of {wall_s:.3f} s; {len(heard)} clicks of "
          f"{len(pressed)}; loudest {level:.2f} dBFS, played at "
          f"{20 * np.log10(CLICK.max() / 32768):.2f}")  # fmt: skip
    # A machine that is too busy loses sound, and whole clicks with it: each is paired by its time.
    played, there = _nearest(real, shown), _nearest(heard, moves)
    # What a click needs to the room is its player's, and what a picture needs to the screen its
    # decoder's; the walkthrough notes when it came.
    offset = ((there - moves) - (played - shown)) * 1e3
    offset = offset[np.isfinite(offset)]
    print(f"voice behind the picture: median {np.median(offset):+.1f} ms, "
          f"5-95 % {np.percentile(offset, 5):+.1f}..{np.percentile(offset, 95):+.1f}, "
          f"worst {offset[np.argmax(np.abs(offset))]:+.1f}; within 30 ms "
          f"{np.mean(np.abs(offset) <= 30):.0%} of {len(offset)}; first minute "
          f"{np.median(offset[:30]):+.1f}, last {np.median(offset[-30:]):+.1f}")  # fmt: skip
    if os.environ.get("EACH"):
        print(np.round(offset, 1))


def _nearest(times: np.ndarray, to: np.ndarray) -> np.ndarray:
    """For each moment the nearest of some times; NaN where none lies within 0.8 s."""
    near = np.array([times[np.argmin(np.abs(times - t))] for t in to])
    return np.where(np.abs(near - to) < 0.8, near, np.nan)


def _jumps(moved: list[tuple[float, float]], count: int) -> np.ndarray:
    """When the playhead arrived where it was sent with a click."""
    times, at = [], 0
    for i in range(count):
        target = (10 + 40 * (i % 13)) / 30
        while at < len(moved) and abs(moved[at][1] - target) > 1e-6:
            at += 1
        if at < len(moved):
            times.append(moved[at][0])
            at += 1
    return np.array(times)


def _kill(folder: Path) -> None:
    """Kill a recording in a process of its own; say what the next opening finds."""
    child = subprocess.Popen(
        [sys.executable, "-c", _CHILD.format(folder=str(folder))], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    line = child.stdout.readline()
    while not line.startswith("recording"):
        line = child.stdout.readline()
    time.sleep(8.0)
    os.kill(child.pid, signal.SIGKILL)
    killed = time.monotonic()
    child.wait()
    begun = float(line.split()[1])
    from app.review.review import Review
    from app.review.walkthrough_journal import recover_walks

    review = Review.open(folder / "film.review")
    lengths = recover_walks(review)
    walk = review.state.walkthroughs[-1]
    last_s = walk.score.events[-1].at_s
    print(f"killed {killed - begun:.3f} s after the key: {lengths[0]:.3f} s of voice and "
          f"{len(walk.score.events)} events up to {last_s:.3f} s were there again")  # fmt: skip


_CHILD = """
import time
from pathlib import Path
from app.window.sound.microphone_use import MicrophoneUse
from app.window.features.walkthrough.walkthroughs import Walkthroughs
from tests.benchmarks.walkthrough_sync import Clicks, _bench, _spin
app, bench = _bench(Path({folder!r}))
clicks = Clicks(Path({folder!r}, "room").open("wb"))
bench[Walkthroughs].recorder.toggle()
print("recording", time.monotonic(), flush=True)
bench.playhead.play()
_spin(app, lambda: False, 60.0)
"""


if __name__ == "__main__":
    main()
