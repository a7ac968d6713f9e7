"""From the start of the process to a window that answers, beside a bare window in the same run.

Run with ``python -m tests.benchmarks.start_up [ROUNDS]``. Each figure is the median over the
rounds, in wall and in CPU time; compare the CPU time on a machine that has other work. A first
round, in which compiled files are written and read from the disk, is not counted.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROUNDS = 5
TICK_MS = 5
NAMES = {
    "painted": "painted, and the next event answered",
    "made": "the whole bench made",
    "shown": "the review's first frame on screen",
}

Told = dict[str, tuple[float, float]]


def main(rounds: int) -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        environment = _environment(folder)
        review = _sample(folder, environment)
        kinds = {"bare": [], "empty": [], "review": [str(review)]}
        figures: dict[str, list[Told]] = {kind: [] for kind in kinds}
        for number in range(rounds + 1):
            for kind, words in kinds.items():
                told = _run(kind, words, environment)
                if number:
                    figures[kind].append(told)
        bare = _medians(figures["bare"])["painted"]
        print(f"bare window: {bare[0]:.0f} ms wall, {bare[1]:.0f} ms CPU")
        for kind in ("empty", "review"):
            for name, (wall, cpu) in _medians(figures[kind]).items():
                if name == "blocked":
                    print(
                        f"{kind}: at most {wall:.0f} ms without an answer until the bench is made"
                    )
                    continue
                print(
                    f"{kind}: {NAMES[name]}: {wall:.0f} ms wall ({wall / bare[0]:.1f} x), "
                    f"{cpu:.0f} ms CPU ({cpu / bare[1]:.1f} x)"
                )
        for word in ("--version", "--help"):
            own = _command(["-m", "app", word], rounds, environment)
            python = _command(["-c", "pass"], rounds, environment)
            print(f"strokeside {word}: {own:.0f} ms CPU ({own / python:.1f} x an empty program)")


def _environment(folder: Path) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    if "DISPLAY" not in kept:
        kept.setdefault("QT_QPA_PLATFORM", "offscreen")
    homes = {f"XDG_{name}_HOME": str(folder / name) for name in ("CONFIG", "DATA", "STATE")}
    return {**kept, **homes, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}


def _sample(folder: Path, environment: dict[str, str]) -> Path:
    code = "import sys; from app.prepared.sample_review import main; from pathlib import Path; "
    code += "main(Path(sys.argv[1]))"
    subprocess.run(
        [sys.executable, "-c", code, str(folder)], env=environment, check=True, capture_output=True
    )
    return folder / "sample.review"


def _run(kind: str, words: list[str], environment: dict[str, str]) -> Told:
    start = str(time.monotonic())
    said = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.start_up", kind, start, *words],
        env=environment, capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    return {name: tuple(pair) for name, pair in json.loads(said.stdout.splitlines()[-1]).items()}


def _command(words: list[str], rounds: int, environment: dict[str, str]) -> float:
    taken = []
    for _ in range(rounds + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], env=environment, check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return 1000 * statistics.median(taken[1:])


def _medians(rounds: list[Told]) -> Told:
    return {
        name: (
            statistics.median(told[name][0] for told in rounds),
            statistics.median(told[name][1] for told in rounds),
        )
        for name in rounds[0]
    }


def _watch(start_s: float) -> tuple[Told, Callable[[str], None]]:
    told: Told = {}

    def tell(name: str) -> None:
        used = resource.getrusage(resource.RUSAGE_SELF)
        wall = 1000 * (time.monotonic() - start_s)
        told.setdefault(name, (wall, 1000 * (used.ru_utime + used.ru_stime)))

    return told, tell


def bare(start_s: float) -> None:
    """In the child: a window with one line of text."""
    told, tell = _watch(start_s)
    from PySide6.QtCore import QTimer
    from PySide6.QtGui import QPaintEvent
    from PySide6.QtWidgets import QApplication, QLabel, QMainWindow

    class Line(QLabel):
        def paintEvent(self, event: QPaintEvent) -> None:
            super().paintEvent(event)
            QTimer.singleShot(0, lambda: (tell("painted"), app.quit()))

    app = QApplication(sys.argv[:1])
    window = QMainWindow()
    window.setCentralWidget(Line("Opening …"))
    window.resize(1280, 800)
    window.show()
    app.exec()
    _end(told)


def bench(start_s: float, review: Path | None) -> None:
    """In the child: the window as the command opens it."""
    told, tell = _watch(start_s)
    import app.window.__main__ as opening
    from app.window import starting
    from app.window.main_window import MainWindow

    class Watched(starting.Starting):
        def __init__(self, window: MainWindow, then: Callable[[], None]) -> None:
            super().__init__(window, then)
            from PySide6.QtCore import QTimer

            page = window.opening_page
            page.painted.connect(lambda: QTimer.singleShot(0, lambda: tell("painted")))
            self._last_s = 0.0
            self._longest_ms = 0.0
            self._tick = QTimer(self, interval=TICK_MS)
            self._tick.timeout.connect(self._ticked)
            self._tick.start()

        def _ticked(self) -> None:
            now = time.monotonic()
            if self._last_s and "painted" in told:
                self._longest_ms = max(self._longest_ms, 1000 * (now - self._last_s))
                told["blocked"] = (self._longest_ms, 0.0)
            self._last_s = now

        def stop(self) -> None:
            super().stop()
            self._tick.stop()

    go_on = opening._open

    def made(window: MainWindow, paths: list[Path]) -> None:
        tell("made")
        if not paths:
            _end(told)
        go_on(window, paths)
        window.playhead.moved.connect(lambda *_: (tell("shown"), _end(told)))

    starting.Starting = Watched
    opening._open = made
    opening.open_window([review] if review else [], ["strokeside"])


def _end(told: Told) -> None:
    """Say what was measured, and leave without closing anything."""
    print(json.dumps(told), flush=True)
    os._exit(0)


if __name__ == "__main__":
    if len(sys.argv) > 2:
        start_s = float(sys.argv[2])
        if sys.argv[1] == "bare":
            bare(start_s)
        else:
            bench(start_s, Path(sys.argv[3]) if sys.argv[3:] else None)
    else:
        main(int(sys.argv[1]) if sys.argv[1:] else ROUNDS)
