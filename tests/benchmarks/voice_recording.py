"""A voice note recorded from a real sound server: level, length, latency, and a busy window.

Needs the pulseaudio, pactl and espeak-ng programs. A server of its own runs with a source that
hears what this script writes into a pipe, in real time. (The monitor of a null sink, remapped as a
source, stalls for seconds whenever a stream begins or ends, which no microphone does.)

    QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.voice_recording
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import tempfile
import threading
import time
import wave
from pathlib import Path

import numpy as np

RATE = 48_000
TONE_DBFS = -12.0
PHRASE = "Hang off the handle first, then open the back, and let the hands follow."


def main() -> None:
    """Run the measurements on a server of their own."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(XDG_RUNTIME_DIR=folder, HOME=folder, XDG_CONFIG_HOME=folder)
        server = subprocess.Popen(
            ["pulseaudio", "-n", "--exit-idle-time=-1", "-L", "module-native-protocol-unix", "-L",
             f"module-pipe-source source_name=bench file={folder}/room format=s16le rate={RATE} "
             "channels=1"],
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        room = None
        try:
            _wait_for_server()
            room = Room(Path(folder, "room"))
            time.sleep(1.0)
            _run(Path(folder), room)
        finally:
            if room is not None:
                room.stop()
            server.terminate()
            server.wait()


class Room:
    """What the microphone hears: what it is given, and silence between, in real time."""

    def __init__(self, pipe: Path) -> None:
        self._left = np.zeros(0, "<i2")
        self._pipe = pipe.open("wb", buffering=0)
        self._over = False
        threading.Thread(target=self._play, daemon=True).start()

    def play(self, samples: np.ndarray) -> None:
        """Play these now, in place of what is left."""
        self._left = np.round(samples * 32767).astype("<i2")

    def stop(self) -> None:
        """Fall silent for good."""
        self._over = True

    def _play(self) -> None:
        begun, blocks = time.monotonic(), 0
        with contextlib.suppress(OSError):
            while not self._over:
                now, self._left = self._left[:480], self._left[480:]
                block = np.concatenate((now, np.zeros(480 - len(now), "<i2")))
                self._pipe.write(block.tobytes())
                blocks += 1
                ahead_s = begun + blocks * 480 / RATE - time.monotonic()
                if ahead_s < -0.05:  # nobody listened, so the pipe was full: time did not run here
                    begun, blocks = time.monotonic(), 0
                time.sleep(max(0.0, ahead_s))


def _wait_for_server() -> None:
    for _ in range(100):
        if subprocess.run(["pactl", "info"], capture_output=True).returncode == 0:
            return
        time.sleep(0.1)
    raise SystemExit("The sound server did not start.")


def _run(folder: Path, room: Room) -> None:
    from PySide6.QtWidgets import QApplication

    from app.review.parts.state import ReviewState
    from app.review.review import Review
    from app.window.main_window import MainWindow
    from app.window.session.settings import Settings
    from app.window.sound.microphone_use import MicrophoneUse

    app = QApplication([])
    bench = MainWindow(Settings(folder / "settings.json"))
    bench.show()
    Review.create(folder / "said.review", ReviewState())
    bench.session.open_review(folder / "said.review")
    _spin(app, lambda: bench.session.review is not None)
    print("microphones:", bench[MicrophoneUse].microphones.names())
    _first_samples(app, bench)
    _tone(app, bench, room)
    _busy(app, bench, room)
    _phrase(app, bench, folder, room)
    bench.close()


def _spin(app, done, seconds: float = 20.0) -> None:  # type: ignore[no-untyped-def]
    until = time.monotonic() + seconds
    while not done() and time.monotonic() < until:
        app.processEvents()
        time.sleep(0.001)


def _record(app, bench, seconds: float, busy_s: float = 0.0):  # type: ignore[no-untyped-def]
    from app.window.features.notes.voice import Voice

    """Record a note; give its samples, the wall time it was open and when samples first came."""
    speaking = bench[Voice].speaking
    came: list[float] = []
    speaking.heard.connect(lambda _level, length_s: came.append(time.monotonic()))
    count = len(bench.session.state.notes)
    begun = time.monotonic()
    speaking.toggle()
    opened = time.monotonic() - begun
    until = begun + seconds
    while time.monotonic() < until:
        app.processEvents()
        time.sleep(busy_s or 0.001)
    if not speaking.is_on:
        raise SystemExit(f"The recording ended by itself: {bench.message_line.text}")
    speaking.toggle()
    wall = time.monotonic() - begun
    note = next(n for n in bench.session.state.notes[::-1] if n.voice is not None)
    assert len(bench.session.state.notes) >= count
    from app.review.voice import samples_of

    samples = samples_of(bench.session.review.sound(note.voice.id)) / 32768.0
    from app.window.features.notes.notes import Notes

    bench[Notes].choose("")
    # The strip's own zero comes first; it is no sound.
    return samples, wall, opened, (came[0] - begun if came else float("nan"))


def _first_samples(app, bench) -> None:  # type: ignore[no-untyped-def]
    rows = [_record(app, bench, 0.6) for _ in range(6)]
    first, rest = rows[0], rows[1:]
    print(f"key to open microphone: first {first[2] * 1e3:.1f} ms, then "
          f"{np.median([r[2] for r in rest]) * 1e3:.1f} ms (median of {len(rest)})")  # fmt: skip
    print(f"key to first samples: first {first[3] * 1e3:.1f} ms, then "
          f"{np.median([r[3] for r in rest]) * 1e3:.1f} ms, "
          f"worst {max(r[3] for r in rest) * 1e3:.1f} ms")  # fmt: skip


def _sine(seconds: float) -> np.ndarray:
    return 10 ** (TONE_DBFS / 20) * np.sin(2 * np.pi * 997 * np.arange(int(seconds * RATE)) / RATE)


def _tone(app, bench, room: Room) -> None:  # type: ignore[no-untyped-def]
    room.play(_sine(9.0))
    time.sleep(1.5)
    samples, wall, _opened, _first = _record(app, bench, 6.0)
    middle = samples[RATE : 5 * RATE]
    level = 20 * np.log10(np.sqrt(2 * np.mean(middle**2)))
    print(
        f"tone of {TONE_DBFS:.2f} dBFS: read {level:.2f} dBFS; length {len(samples) / RATE:.3f} s "
        f"of {wall:.3f} s open; {_breaks(middle)} breaks"
    )


def _busy(app, bench, room: Room) -> None:  # type: ignore[no-untyped-def]
    for busy_s in (0.05, 0.2, 0.5):
        room.play(_sine(7.0))
        time.sleep(1.5)
        samples, wall, _opened, _first = _record(app, bench, 4.0, busy_s)
        print(f"window busy {busy_s * 1e3:.0f} ms at a time: length {len(samples) / RATE:.3f} s of "
              f"{wall:.3f} s; {_breaks(samples[RATE : 3 * RATE])} breaks")  # fmt: skip


def _breaks(sine: np.ndarray) -> int:
    """How often a sine of 997 Hz jumps: each sample follows from the two before it."""
    if len(sine) < 3:
        return -1
    expected = 2 * np.cos(2 * np.pi * 997 / RATE) * sine[1:-1] - sine[:-2]
    wrong = np.flatnonzero(np.abs(sine[2:] - expected) > 0.004)
    return int(np.sum(np.diff(wrong, prepend=-1000) > 100))


def _phrase(app, bench, folder: Path, room: Room) -> None:  # type: ignore[no-untyped-def]
    path = folder / "phrase.wav"
    subprocess.run(["espeak-ng", "-w", str(path), PHRASE], check=True)
    with wave.open(str(path)) as file:
        spoken = np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32768.0
        hz = file.getframerate()
    from scipy.signal import correlate, resample_poly

    from app.bundle.write import write_bundle
    from app.media.loudness import evened, loudness_lufs

    said = resample_poly(spoken, RATE // np.gcd(RATE, hz), hz // np.gcd(RATE, hz))
    said *= 0.5 / np.abs(said).max()
    room.play(np.zeros(0))
    time.sleep(1.5)
    room.play(said)
    samples, _wall, _opened, _first = _record(app, bench, len(said) / RATE + 1.5)
    heard = np.concatenate((samples, np.zeros(len(said))))
    match = correlate(heard, said, "valid")
    at = int(np.argmax(match))
    piece = heard[at : at + len(said)]
    likeness = float(piece @ said / np.sqrt((piece @ piece) * (said @ said)))
    print(f"phrase of {len(said) / RATE:.2f} s: found at {at / RATE:.3f} s with correlation "
          f"{likeness:.4f}; {loudness_lufs(samples, RATE):.1f} LUFS, evened to "
          f"{loudness_lufs(evened(samples, RATE), RATE):.2f}")  # fmt: skip
    begun = time.monotonic()
    review = bench.session.review
    result = write_bundle(review.state, review.path, folder / "bundle")
    voices = [n for n in result.files if n.startswith("voice/")]
    size = sum((result.path / n).stat().st_size for n in voices)
    print(f"bundle: {len(voices)} voices, {size / 1000:.0f} kB, {time.monotonic() - begun:.1f} s")


if __name__ == "__main__":
    main()
