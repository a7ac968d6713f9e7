"""How many frames two pictures drop while playing at 1x with both curves live.

Run under a screen:
``xvfb-run -s "-screen 0 1920x1080x24" python -m tests.benchmarks.comparison_play FOLDER [SECONDS]``
Two simulated clips of 1080p at 30 a second, rowed at 18 and 32 a minute, are made in FOLDER unless
they are there. Sixty seconds round the stroke are 1,800 frames; straight through both clips each
frame is a new one, and the loop is off. Each run is counted three ways: frames of the left
picture that were never painted; frames of the right picture that were not painted while their left
frame stood; and the error of phase left between the two, in frames of the right clip.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QApplication

from analysis.clocks.alignment import Alignment
from analysis.comparing.phase import phase_of, time_at
from app.review.parts.comparisons import Comparison
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.comparing.second_picture import SecondPicture
from app.window.main_window import MainWindow
from app.window.session.other_recordings import Recording, own_recording
from app.window.session.recording_cache import CHOOSER
from app.window.session.settings import Settings
from app.window.warm_up import warm_up
from app.window.widgets.theme import dress
from tests.benchmarks.window_block import SEEN, Probe, pass_time, resident_mb, watch_pictures

CLIP_S = 24.0
Seen = list[tuple[float, int]]


class PaintedSecond(SecondPicture):
    """Notes which frames of the right picture reach the screen."""

    seen: Seen = []  # noqa: RUF012 - one picture, one list

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.frame is not None:
            PaintedSecond.seen.append((time.perf_counter(), self.frame.index))


def make(folder: Path, name: str, rate_spm: float, facing: str, length_s: float) -> Path:
    """Simulate a submission unless it is there, and begin a review of it."""
    from app.review.parts.state import ReviewState
    from app.review.recordings import refer
    from app.review.review import Review
    from samples.submission import FOOTAGE, FORCE, TRUTH, SampleOptions, make_submission

    place = folder / name
    review = place / f"{name}.review"
    place.mkdir(parents=True, exist_ok=True)
    if not (place / TRUTH).is_file():
        print(f"making {name}", flush=True)
        options = SampleOptions(duration_s=length_s, rate_spm=rate_spm, facing=facing, faults=())
        make_submission(place, options)
    known = json.loads((place / TRUTH).read_text("utf-8"))["clocks"]
    state = ReviewState(
        title=name,
        video=refer(place / FOOTAGE, "video", review),
        trace=refer(place / FORCE, "trace", review),
        alignment=Alignment(known["offset_s"], known["drift_ppm"], 0.0, "as simulated"),
    )
    review.unlink(missing_ok=True)
    Review.create(review, state)
    return review


def changes(seen: Seen) -> Seen:
    """Each frame once for every time it came anew."""
    return [pair for i, pair in enumerate(seen) if not i or pair[1] != seen[i - 1][1]]


def dropped(shown: list[int], first: int, last: int) -> int:
    """Frames passed over on the way, also round the end of a loop."""
    count = last - first + 1
    return sum((b - a - 1) % count for a, b in pairwise(shown))


def report(bench: MainWindow, comparison: Comparison, first: int, last: int) -> None:
    """Say what was dropped since the lists were cleared."""
    comparing = bench[Comparisons].comparing
    footage, right = bench.session.footage, comparing.second.footage
    assert footage is not None and right is not None
    left = changes(SEEN)
    second = np.array([t for t, _ in PaintedSecond.seen])
    late, errors = 0, []
    for (at, frame), (until, _next) in pairwise(left):
        left_s = float(footage.index.time_s[frame])
        wanted = comparing.second.frame_at(left_s)
        if wanted is None:
            continue
        begin = max(int(np.searchsorted(second, at)) - 1, 0)
        end = int(np.searchsorted(second, until, side="right"))
        there = {i for _t, i in PaintedSecond.seen[begin : end + 1]}
        late += wanted not in there
        if comparison.left.catch_s <= left_s < comparison.left.next_catch_s:
            ideal = time_at(comparison.right.times, phase_of(comparison.left.times, left_s))
            errors.append(abs(float(right.index.time_s[wanted]) - ideal) * right.facts.fps)
    lost = dropped([i for _, i in left], first, last)
    told = ""
    if errors:
        told = f"; phase error {np.mean(errors):.2f} frames, at most {np.max(errors):.2f}"
    print(
        f"    left: {len(left) + lost} due, {lost} dropped; right: {late} not beside its left "
        f"frame" + told
    )


def play(bench: MainWindow, seconds: float, straight: bool) -> None:
    """Let time run, round the stroke or straight through both clips."""
    comparing, footage = bench[Comparisons].comparing, bench.session.footage
    comparison = comparing.selected
    assert comparison is not None and footage is not None
    loop, index = bench.playhead.loop, footage.index
    first, last = 0, len(index) - 1
    if straight:
        bench.playhead.set_loop(None)
        bench.playhead.seek(0.0)
    else:
        assert loop is not None
        first, last = index.at(loop.start_s), index.at(loop.end_s - 1e-6)
        bench.playhead.seek(loop.start_s)
    pass_time(2.0)
    SEEN.clear()
    PaintedSecond.seen.clear()
    window_s, all_s = time.thread_time(), time.process_time()
    bench.playhead.play()
    pass_time(seconds)
    bench.playhead.pause()
    window_s, all_s = time.thread_time() - window_s, time.process_time() - all_s
    pass_time(0.3)
    report(bench, comparison, first, last)
    shown = len(changes(SEEN))
    print(
        f"    work for each pair shown: {1000 * window_s / shown:.1f} ms in the window's thread, "
        f"{1000 * all_s / shown:.1f} ms in all, of {1000 / footage.facts.fps:.1f} ms a frame lasts"
    )


def chosen_recording(bench: MainWindow, ref: StrokeRef) -> Recording:
    """Open another review's recording as if the coach had pointed at it in the list."""
    came: list[Recording] = []
    refused: list[str] = []
    bench[Comparisons].shelf.fetch(CHOOSER, ref, came.append, refused.append)
    pass_time(30.0, lambda: bool(came or refused))
    if not came:
        raise SystemExit(f"The second recording was not opened: {refused}")
    return came[0]


def run(folder: Path, seconds: float) -> None:
    from app.window.features.comparing import comparison_stage

    now = make(folder, "now", 18.0, "left", CLIP_S)
    before = make(folder, "before", 32.0, "right", CLIP_S)
    watch_pictures()
    comparison_stage.SecondPicture = PaintedSecond  # type: ignore[misc]
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    dress(app)
    sys.setswitchinterval(0.0005)
    probe = Probe()
    settings = Settings(folder / "settings.json")
    settings.lines_up_by_itself = False
    bench = MainWindow(settings)
    bench.resize(1920, 1040)
    bench.show()
    warming = warm_up()
    pass_time(20.0, lambda: not warming.is_alive())
    bench.session.open_paths([now])
    pass_time(60.0, lambda: bench.picture.frame is not None and not bench.jobs.running)
    comparing, own = bench[Comparisons].comparing, own_recording(bench.session)
    left = own.ref(own.strokes()[2])
    right = chosen_recording(bench, replace(left, source=str(before)))
    comparing.add(left, right.ref(right.strokes()[3]), right)
    for layout in ("beside", "over"):
        bench[Comparisons].adjusting.set_layout(layout)
        pass_time(20.0, lambda: comparing.stage.second.frame is not None)
        pass_time(2.0)
        with probe.phase(f"{layout}, round the stroke"):
            play(bench, seconds, straight=False)
        with probe.phase(f"{layout}, straight through"):
            play(bench, min(seconds, CLIP_S - 2.0), straight=True)
        bench[Comparisons].toggle()
        bench[Comparisons].toggle()
    print(f"resident {resident_mb():.0f} MB")
    bench.close()


if __name__ == "__main__":
    run(Path(sys.argv[1]), float(sys.argv[2]) if sys.argv[2:] else 60.0)
