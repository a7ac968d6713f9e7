"""How far apart two strokes on one phase are, in frames, over the whole stroke.

python -m tests.benchmarks.comparison_phase [FOLDER OF SHARED MEDIA]
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analysis.comparing.frames import pair_frames
from analysis.comparing.phase import StrokeTimes, phase_of, time_at
from analysis.comparing.picture_fit import fit_pictures, place
from analysis.force.trace import FloatArray
from app.media.video import VideoFile
from samples.camera import Camera, seen
from samples.rower import move
from tests.helpers.two_clips import (
    PICKED,
    Known,
    known_stroke,
    landmarks,
    real_pair,
)

FPS = 30.0


@dataclass(frozen=True)
class Apart:
    """How far apart in phase pairs are, in frames of the side that follows."""

    largest: float
    rms: float
    pairs: int
    timing: float = 0.0  # largest, before the nearest frame is taken


def phase_apart(left: Known, right: Known, events: tuple[StrokeTimes, StrokeTimes]) -> Apart:
    """Pair the frames by some events and hold the pairs against the true phase of each frame."""
    l_times, r_times = (np.arange(0.0, k.true.next_catch_s + 1.0, 1.0 / FPS) for k in (left, right))
    clip = pair_frames(l_times, r_times, *events, "phase")
    off, timing = [], []
    for pair in clip.pairs:
        if not left.true.catch_s <= l_times[pair.left] <= left.true.next_catch_s:
            continue
        belongs_s = time_at(right.true, phase_of(left.true, float(l_times[pair.left])))
        off.append((float(r_times[pair.right]) - belongs_s) * FPS)
        timing.append((time_at(events[1], phase_of(events[0], pair.left_s)) - belongs_s) * FPS)
    values = np.array(off)
    rms = float(np.sqrt((values**2).mean()))
    return Apart(float(np.abs(values).max()), rms, len(off), float(np.abs(timing).max()))


def fit_apart(slip_px: float, rounds: int = 200) -> tuple[float, float]:
    """Largest and mean distance after two clicks a picture, pixels of the left one.

    Left 960 by 540 looking left; right 640 by 360 looking right, from farther off and lower. Held
    against both clicked places and two more in the plane of the rower.
    """
    left, right = Camera(960, 540), Camera(640, 360, "right")
    things: FloatArray = np.array([(-0.35, 0.10), (1.05, 0.20), (0.3, 0.9), (-0.9, 0.4)])
    far = np.array((31.0, -17.0))
    there, here = seen(left, things, None), 0.85 * seen(right, things, None) + far
    rng = np.random.default_rng(1)
    off = []
    for _ in range(rounds):
        slips = rng.normal(0.0, slip_px, (2, 2, 2))
        fitted = fit_pictures(
            (there[:2] + slips[0]).tolist(), (here[:2] + slips[1]).tolist(), (640.0, 360.0)
        )
        assert fitted.fit.mirrored
        for a, b in zip(there, here, strict=True):
            x, y = place(fitted.fit, (float(b[0]), float(b[1])), (640.0, 360.0))
            off.append(float(np.hypot(x - a[0], y - a[1])))
    return max(off), float(np.mean(off))


def handle_apart(left: Known, right: Known) -> tuple[float, float]:
    """How far apart the handles are at catch and finish, share of the drive length."""
    at = []
    for known in (left, right):
        t = known.true
        handle = move(known.piece, np.array([t.catch_s, t.finish_s])).points["handle"][:, 0]
        at.append(handle)
    length = float(abs(at[0][1] - at[0][0]))
    return abs(at[0][0] - at[1][0]) / length, abs(at[0][1] - at[1][1]) / length


def real_apart(shared: Path, picks: tuple[int, int, int]) -> tuple[Apart, float]:
    """Two films of one real raise by hand-picked events: frames apart, and wrists apart in px."""
    with tempfile.TemporaryDirectory() as folder:
        first, second = real_pair(shared, Path(folder))
        with VideoFile.open(first) as one, VideoFile.open(second) as two:
            times = (one.index.time_s, two.index.time_s)
            size = (float(two.width), float(two.height))
            scale = two.width / one.width
    left = StrokeTimes(*(float(times[0][k]) for k in PICKED))
    right = StrokeTimes(*(float(times[1][k]) for k in picks))
    clip = pair_frames(*times, left, right, "phase")
    said = landmarks(shared)

    def point(frame: int, name: str) -> tuple[float, float]:
        return said[frame][name]["x"], said[frame][name]["y"]

    def mirrored(frame: int, name: str) -> tuple[float, float]:
        x, y = point(frame, name)
        return size[0] - scale * x, scale * y

    still = ("left_ankle", "right_shoulder")  # clicked once, on the picked start of either film
    fit = fit_pictures(
        [point(PICKED[0], n) for n in still], [mirrored(picks[0], n) for n in still], size
    ).fit
    inside = [p for p in clip.pairs if PICKED[0] <= p.left <= PICKED[2]]
    off = np.array([p.right - p.left for p in inside], dtype=float)
    wrists = [
        np.hypot(*np.subtract(place(fit, mirrored(p.right, name), size), point(p.left, name)))
        for p in inside
        for name in ("left_wrist", "right_wrist")
    ]
    apart = Apart(float(np.abs(off).max()), float(np.sqrt((off**2).mean())), len(off))
    return apart, float(np.median(wrists))


def main() -> None:
    worst: dict[str, Apart] = {}
    for seed in range(6):
        left, right = known_stroke(18.0, seed + 1), known_stroke(32.0, seed + 40)
        kinds = {
            "events as simulated": (left.true, right.true),
            "events found on force at 100 Hz": (left.found, right.found),
            "events on the nearest frame, by hand": (left.rounded(FPS), right.rounded(FPS)),
        }
        for name, events in kinds.items():
            apart = phase_apart(left, right, events)
            old = worst.get(name, apart)
            worst[name] = Apart(
                max(old.largest, apart.largest),
                max(old.rms, apart.rms),
                old.pairs + (0 if old is apart else apart.pairs),
                max(old.timing, apart.timing),
            )
        catch, finish = handle_apart(left, right)
        print(f"handles at catch {catch:.1%}, at finish {finish:.1%} of the drive length apart")
    for name, apart in worst.items():
        print(
            f"18 and 32 a minute, {name:36s}: timing {apart.timing:.2f}, frames shown "
            f"{apart.largest:.2f} apart at worst (rms {apart.rms:.2f}) in {apart.pairs} pairs; "
            f"{apart.largest / 0.5:.2f} of the limit of half a frame"
        )
    for slip_px in (0.0, 1.0, 2.0):
        largest, mean = fit_apart(slip_px)
        print(
            f"picture fit, clicks off by {slip_px:.0f} px: mean {mean:.1f}, worst {largest:.1f} px"
        )
    if len(sys.argv) > 1:
        for picks in (PICKED, (25, 48, 101)):
            apart, wrists = real_apart(Path(sys.argv[1]), picks)
            print(
                f"real person, events at {PICKED} and {picks}: largest {apart.largest:.1f}, "
                f"rms {apart.rms:.2f} frames in {apart.pairs} pairs; "
                f"wrists {wrists:.1f} px apart (median)"
            )


if __name__ == "__main__":
    main()
