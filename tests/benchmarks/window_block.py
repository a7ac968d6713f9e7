"""How long the window is ever blocked, and how many frames playing drops, on the whole bench.

Run under a screen, for instance
``xvfb-run -s "-screen 0 1920x1080x24" python -m tests.benchmarks.window_block VIDEO [SECONDS]``;
the word ``play`` behind the seconds leaves out dragging and held keys.
The video gets a force file of the same length, so trace, stroke curve and cursor are live. A timer
of 5 ms watches the event loop; what it comes late by is how long the window was blocked. Frames
count as shown when the picture is painted.
"""

from __future__ import annotations

import contextlib
import os
import resource
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from PySide6.QtCore import QEvent, QEventLoop, QObject, Qt, QTimer
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QApplication

from app.media.video import VideoFile
from app.window.main_window import MainWindow
from app.window.session.settings import Settings
from app.window.views.picture import PictureView
from app.window.warm_up import warm_up
from app.window.widgets.theme import dress
from tests.helpers.pieces import KnownPiece

PROBE_MS = 5
STROKE_S = 2.2


class Probe:
    """Watches the event loop for as long as a phase lasts."""

    def __init__(self) -> None:
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._beat)
        self._last = 0.0
        self._late_ms: list[float] = []
        self._timer.start(PROBE_MS)

    def _beat(self) -> None:
        now = time.perf_counter()
        self._late_ms.append((now - self._last) * 1000 - PROBE_MS)
        self._last = now

    @contextlib.contextmanager
    def phase(self, name: str) -> Iterator[None]:
        """Report the longest block while the block runs."""
        self._late_ms, self._last = [], time.perf_counter()
        yield
        self._late_ms.append((time.perf_counter() - self._last) * 1000 - PROBE_MS)
        late = np.maximum(self._late_ms, 0)
        over = int((late > 50).sum())
        print(
            f"{name:32s} longest block {late.max():6.1f} ms, 99.9 % under "
            f"{np.percentile(late, 99.9):6.1f} ms, over 50 ms: {over}",
            flush=True,
        )


SEEN: list[tuple[float, int]] = []  # when each frame reached the screen


def watch_pictures() -> None:
    """Note which frames are painted; features ask for the picture by its own type."""
    real = PictureView.paintEvent

    def paint(self: PictureView, event: QPaintEvent) -> None:
        real(self, event)
        if self.frame is not None:
            SEEN.append((time.perf_counter(), self.frame.index))

    PictureView.paintEvent = paint  # type: ignore[method-assign]


def watch_going(bench: MainWindow) -> list[float]:
    """Note when the window goes out of sight."""
    gone: list[float] = []

    class Watch(QObject):
        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            if event.type() == QEvent.Type.Hide:
                gone.append(time.perf_counter())
            return False

    bench.installEventFilter(Watch(bench))
    return gone


def pass_time(seconds: float, until: Callable[[], bool] = lambda: False) -> None:
    """Let the window live for a time, or until something holds."""
    loop, end = QEventLoop(), time.perf_counter() + seconds
    watch = QTimer()
    watch.timeout.connect(lambda: (until() or time.perf_counter() > end) and loop.quit())
    watch.start(10)
    loop.exec()


def resident_mb() -> float:
    """Memory now resident."""
    fields = Path("/proc/self/statm").read_text().split()
    return int(fields[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20


def open_bench(folder: Path, video: Path, seconds: float) -> tuple[MainWindow, Path, Path]:
    film, force = folder / f"piece{video.suffix}", folder / "piece.csv"
    film.symlink_to(video.resolve())
    starts = tuple(np.arange(0.5, seconds - 1, STROKE_S))
    KnownPiece(starts, duration_s=seconds).write(force)
    bench = MainWindow(Settings(folder / "settings.json"))
    bench.resize(1280, 800)
    bench.show()
    pass_time(0.5)
    return bench, film, force


def drag(bench: MainWindow, seconds: float) -> None:
    """Pull the playhead to and fro over the footage at 60 requests a second."""
    footage, start = bench.session.footage, time.perf_counter()
    assert footage is not None
    hand = QTimer()
    hand.setTimerType(Qt.TimerType.PreciseTimer)

    def move() -> None:
        swing = 0.5 - 0.45 * np.cos(2 * np.pi * 0.25 * (time.perf_counter() - start))
        bench.playhead.seek(float(swing) * footage.index.end_s)

    hand.timeout.connect(move)
    hand.start(16)
    SEEN.clear()
    pass_time(seconds)
    hand.stop()
    if len(SEEN) < 2:
        print("    fewer than two pictures came")
        return
    gaps = np.diff([t for t, _ in SEEN]) * 1000
    print(
        f"    between pictures: median {np.median(gaps):.1f}, p95 {np.percentile(gaps, 95):.1f} ms"
    )


def hold(bench: MainWindow, frames: int, count: int = 180) -> None:
    """A step key held at 60 repeats a second."""
    hand = QTimer()
    hand.setTimerType(Qt.TimerType.PreciseTimer)
    start = time.perf_counter()
    asked = 0

    def step() -> None:
        nonlocal asked
        while asked < min(count, int((time.perf_counter() - start) * 60)):
            asked += 1
            bench.playhead.step(frames)

    hand.timeout.connect(step)
    hand.start(4)
    SEEN.clear()
    pass_time(count / 60 + 1.0)
    print(f"    asked {asked}, painted {len({i for _, i in SEEN})}")


def play(bench: MainWindow, begin: Callable[[], None], speed: float, seconds: float) -> None:
    """Let time run; count frames due and frames painted."""
    footage = bench.session.footage
    assert footage is not None
    bench.playhead.set_speed(speed)
    pass_time(1.5)
    SEEN.clear()
    begin()
    pass_time(seconds)
    bench.playhead.pause()
    shown = [i for _, i in SEEN]
    due = abs(shown[-1] - shown[0]) + 1
    gaps = np.diff([t for t, _ in SEEN]) * 1000
    print(
        f"    due {due}, painted {len(set(shown))}, dropped {due - len(set(shown))}; "
        f"p99 between pictures {np.percentile(gaps, 99):.1f} ms, longest {gaps.max():.0f} ms"
    )


def run(video: Path, seconds: float, only_playing: bool) -> None:

    watch_pictures()
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    dress(app)
    sys.setswitchinterval(0.0005)
    probe = Probe()
    folder = Path(tempfile.mkdtemp(prefix="bench-"))
    with probe.phase("empty window"):
        with VideoFile.open(video) as film_file:
            film_s = film_file.duration_s
        bench, film, force = open_bench(folder, video, film_s)
    warming = warm_up(bench.jobs.process_pool.prepare)  # as the program does when it starts
    pass_time(20.0, lambda: not warming.is_alive())
    with probe.phase("opening"):
        start = time.perf_counter()
        bench.session.open_paths([film, force])
        pass_time(60, lambda: bench.picture.frame is not None)
        print(f"    first frame after {time.perf_counter() - start:.2f} s")
        pass_time(20, lambda: not bench.jobs.running and bench.session.submission.piece is not None)
        print(f"    all there after {time.perf_counter() - start:.2f} s")
        pass_time(2.0)
    if not only_playing:
        moving(bench, probe)
    playing(bench, probe, seconds)
    with probe.phase("opening it again"):
        bench.session.open_paths([folder / "piece.review"])
        pass_time(20, lambda: not bench.jobs.running)
        pass_time(1.0)
    with probe.phase("closing in the middle of a drag"):
        drag(bench, 0.5)
        gone = watch_going(bench)
        start = time.perf_counter()
        bench.close()
        print(f"    out of sight after {(gone[0] - start) * 1000:.0f} ms")
    print(f"resident {resident_mb():.0f} MB, at most "
          f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")  # fmt: skip
    shutil.rmtree(folder)


def moving(bench: MainWindow, probe: Probe) -> None:
    """The hand drags and holds keys."""
    middle = 0.5 * bench.playhead.range.end_s
    with probe.phase("dragging, just opened"):
        drag(bench, 8)
    come_to_rest(bench, probe)
    with probe.phase("dragging"):
        drag(bench, 8)
    for name, frames in (("key held forward", 1), ("key held back", -1)):
        bench.playhead.seek(min(middle, 30.0))
        pass_time(1.0)
        with probe.phase(name):
            hold(bench, frames)


def come_to_rest(bench: MainWindow, probe: Probe, most_s: float = 150.0) -> None:
    """Wait until the jobs of opening are done and the quick copy grows no more."""
    server = bench.supply._server
    assert server is not None
    with probe.phase("until all is made ready"):
        start, last = time.perf_counter(), -1.0
        while time.perf_counter() - start < most_s:
            if not bench.jobs.running and server.proxy_share in (1.0, last):
                break
            last = server.proxy_share
            pass_time(5)
        print(
            f"    after {time.perf_counter() - start:.0f} s: quick copy {server.proxy_share:.0%}, "
            f"jobs {[job.title for job in bench.jobs.running]}"
        )


def playing(bench: MainWindow, probe: Probe, seconds: float) -> None:
    """Time runs, forwards, backwards and slowly."""
    come_to_rest(bench, probe)
    bench.playhead.seek(0.0)
    with probe.phase("playing at 1x"):
        play(bench, bench.playhead.play, 1.0, seconds)
    with probe.phase("playing backwards at 1x"):
        play(bench, bench.playhead.reverse, 1.0, min(seconds, 10))
    with probe.phase("playing at 0.1x"):
        play(bench, bench.playhead.play, 0.1, min(seconds, 10))
    bench.playhead.set_speed(1.0)


if __name__ == "__main__":
    run(
        Path(sys.argv[1]),
        float(sys.argv[2]) if sys.argv[2:] else 20.0,
        only_playing="play" in sys.argv[3:],
    )
