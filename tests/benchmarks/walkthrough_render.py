"""How fast a walkthrough is rendered, as a ratio to the bare encoding of the very same pictures.

    python -m tests.benchmarks.walkthrough_render [FILM [FORCE]]

Without a film a 1080p one with fine moving detail is made. The script of the walkthrough plays at
full and half speed, freezes, steps back, plays backwards, mirrors, zooms and shows marks on a
frozen frame and over a span. `bare` encodes the same pictures from memory with the same settings.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from analysis.clocks.alignment import Alignment
from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk
from app.media.encode import ClipWriter
from app.media.planes import BT601, BT709
from app.media.video import VideoFile
from app.review.parts.marks import new_mark
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import MarkDrawn, MarkGone, Moved, Ran, Turned, Zoomed
from app.review.parts.walkthroughs import AddWalkthrough, new_walkthrough
from app.review.recordings import refer
from app.review.review import Review

ROUNDS = 3


def main() -> None:
    """Measure on a film of our own, or on those named."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        names = [Path(name) for name in sys.argv[1:]]
        film = names[0] if names else _film(place)
        force = names[1] if len(names) > 1 else _force(place)
        _measure(place, film, force)


def _film(place: Path) -> Path:
    path = place / "film.mp4"
    subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "lavfi", "-i",
         "testsrc2=s=1920x1080:r=60:d=12,noise=alls=7:allf=t", "-c:v", "libx264", "-preset",
         "veryfast", "-b:v", "18M", "-g", "250", "-bf", "3", "-pix_fmt", "yuv420p", str(path)],
        check=True,
    )  # fmt: skip
    return path


def _force(place: Path) -> Path:
    time_s = np.arange(0.0, 12.0, 0.01)
    force_n = 600.0 * np.maximum(np.sin(2 * np.pi * time_s / 2.0), 0.0)
    rows = "".join(f"{t:.2f},{f:.2f}\n" for t, f in zip(time_s, force_n, strict=True))
    path = place / "force.csv"
    path.write_text("time_s,force_N\n" + rows, "utf-8")
    return path


def _run(at_s: float, video_s: float, seconds: float, rate: float, fps: float) -> list[object]:
    count = int(seconds * fps * abs(rate))
    shown = [
        Moved(at_s + i / fps / abs(rate), video_s + np.sign(rate) * i / fps) for i in range(count)
    ]
    return [Ran(at_s, video_s, rate), *shown, Ran(at_s + seconds, shown[-1].video_s, 0.0)]


SCRIPTS = (
    "all of it",
    "play at full speed",
    "half speed",
    "frozen with marks",
    "marks over a span",
    "backwards",
    "mirrored and zoomed",
)


def _script(name: str, fps: float) -> tuple[list[object], float]:
    frozen = new_mark("angle", [(400, 700), (900, 500), (1300, 800)], 3.0, colour="yellow")
    span = new_mark("arrow", [(300, 300), (900, 500)], 0.0, 10.0, colour="blue")
    play = _run(0.0, 0.5, 5.0, 1.0, fps)
    if name == "play at full speed":
        return play, 5.0
    if name == "half speed":
        return _run(0.0, 0.5, 5.0, 0.5, fps), 5.0
    if name == "frozen with marks":
        return [Moved(0.0, 3.0), MarkDrawn(1.0, frozen)], 5.0
    if name == "marks over a span":
        return [MarkDrawn(0.0, span), *play], 5.0
    if name == "backwards":
        return _run(0.0, 8.0, 5.0, -1.0, fps), 5.0
    if name == "mirrored and zoomed":
        return [Turned(0.0, 0, True, 0.0), Zoomed(0.0, 2.0, 0.4, 0.5), *play], 5.0
    return [
        *play,
        Moved(5.0, 3.0),
        MarkDrawn(6.0, frozen),
        MarkGone(9.0, frozen.id),
        *_run(9.0, 3.0, 4.0, 0.5, fps),
        *(Moved(13.0 + 0.2 * i, 5.0 - i / fps) for i in range(5)),
        *_run(14.0, 6.0, 2.0, -1.0, fps),
        Turned(16.0, 0, True, 0.0),
        *_run(16.0, 1.0, 2.0, 1.0, fps),
        Zoomed(18.0, 2.0, 0.4, 0.5),
        *_run(18.0, 4.0, 2.0, 1.0, fps),
    ], 20.0


def _measure(place: Path, film: Path, force: Path) -> None:
    from analysis.force.intake import read_trace

    path = place / "walk.review"
    intake = read_trace(force).intake
    state = ReviewState(
        video=refer(film, "video", path),
        trace=refer(force, "trace", path, intake.mapping if intake else None),
        alignment=Alignment(method="by hand"),
    )
    review = Review.create(path, state)
    with VideoFile.open(film) as video:
        fps = min(video.fps, 60.0)
        print(f"{film.name}: {video.width} x {video.height}, {video.fps:.1f} frames a second")
    for name in SCRIPTS:
        events, seconds = _script(name, fps)
        walk = new_walkthrough(events, seconds)  # type: ignore[arg-type]
        review.do(AddWalkthrough(walk))
        ratios = []
        for _ in range(ROUNDS if name != "all of it" else 1):
            begun = time.monotonic()
            result = render_walk(walk, WalkJob(review.state, path), place / "out.mp4")
            took_s = time.monotonic() - begun
            bare_s = _bare(place / "out.mp4", place / "bare.mp4")
            ratios.append(bare_s / took_s)
        count = round(result.length_s * fps)
        print(f"{name:20s} {count} pictures, {count / took_s:.0f} a second; bare encoding "
              f"{count / bare_s:.0f}; ratio {np.median(ratios):.2f} "
              f"[{min(ratios):.2f}..{max(ratios):.2f}]", flush=True)  # fmt: skip


def _bare(rendered: Path, out: Path) -> float:
    """Seconds to encode what was rendered, once more, from memory, in pieces that fit there."""
    took_s = 0.0
    with VideoFile.open(rendered) as video:
        times = video.index.time_s
        matrix = BT601 if int(video.decoded(0).colorspace) != BT709 else BT709
        with ClipWriter(out, video.width, video.height, None, matrix) as clip:
            for first in range(0, len(times), 120):
                block = range(first, min(first + 120, len(times)))
                frames = [_own(video.decoded(i)) for i in block]
                begun = time.monotonic()
                for i, frame in zip(block, frames, strict=True):
                    clip.add_frame(frame, float(times[i]))
                took_s += time.monotonic() - begun
            begun = time.monotonic()
            clip.finish(float(times[-1]) + 1 / 60)
            took_s += time.monotonic() - begun
    return took_s


def _own(frame):  # type: ignore[no-untyped-def]
    """A copy without what the decoder said of it."""
    from app.media.planes import Planes, frame_of, matrix_of, views

    return frame_of(Planes(*views(frame)), matrix_of(frame))


if __name__ == "__main__":
    main()
