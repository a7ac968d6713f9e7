"""Whether the motion in two pictures tells, between the frames, which instants belong together.

python -m tests.benchmarks.comparison_motion [FOLDER OF SHARED MEDIA]

An event picked by hand lies on a whole frame. Here the course of the optical flow about an event
of one film is laid over that of the other, with the tempo of either stroke, and the shift that
fits best is held against the truth: simulated strokes; and the even frames of a real film against
its odd frames, mirrored and made smaller, which are half of their step apart. At like rates it is
nearer than a hand; at 18 and 32 a minute, where bodies move otherwise about the same event, it is
not, and in the real film it is off by whole frames wherever the motion is even. So the bench does
not change what a hand picked.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from analysis.clocks.motion import MotionSignal, measure_motion
from app.media.motion_frames import grey_frames, optical_flow
from app.media.opencv import opencv
from tests.helpers.filmed_rowers import FPS, Filmed, film_rower

EVENTS = ("catch_s", "finish_s", "next_catch_s")
REACH_S = 0.25
SHIFTS = np.linspace(-1.5, 1.5, 121)  # frames
Course = tuple[NDArray[np.float64], NDArray[np.float64]]


def course(signal: MotionSignal) -> Course:
    """Speed over time, each in the middle between two frames."""
    step = np.diff(signal.time_s)
    return signal.time_s[1:] - step / 2.0, signal.travel[1:] / step


def best_shift(
    left: Course,
    right: Course,
    at_s: tuple[float, float],
    tempo: tuple[float, float],
    step_s: float,
) -> float:
    """How many frames after its event the right film shows what the left one does at its own.

    Parameters
    ----------
    at_s : the event in either film
    tempo : how long the right part before and after the event lasts, shares of the left one
    step_s : length of a frame
    """
    here = np.abs(left[0] - at_s[0]) <= REACH_S
    since, speed = left[0][here] - at_s[0], left[1][here]
    slower = np.where(since < 0.0, tempo[0], tempo[1])
    read = PchipInterpolator(*right)
    missed = []
    for shift in SHIFTS:
        there = read(at_s[1] + shift * step_s + slower * since) * slower
        missed.append(float(((speed - there * (there @ speed) / (there @ there)) ** 2).sum()))
    return float(SHIFTS[int(np.argmin(missed))])


def seen(filmed: Filmed) -> Course:
    """The motion about the stroke."""
    t = filmed.true
    frames = grey_frames(filmed.video, None, t.catch_s - 0.8, t.next_catch_s + 0.6)
    return course(measure_motion(frames, optical_flow()))


def rowed(left_spm: float, right_spm: float, seed: int) -> list[float]:
    """Shift at each event of two simulated strokes, frames; 0 is right."""
    with tempfile.TemporaryDirectory() as name:
        left = film_rower(Path(name), left_spm, seed=seed, width=480)
        right = film_rower(Path(name), right_spm, seed=seed + 40, second=True, width=480)
        courses = seen(left), seen(right)
    a, b = left.true, right.true
    drive = (b.finish_s - b.catch_s) / (a.finish_s - a.catch_s)
    rest = (b.next_catch_s - b.finish_s) / (a.next_catch_s - a.finish_s)
    found = []
    for event in EVENTS:
        tempo = (drive, rest) if event == "finish_s" else (rest, drive)
        at_s = getattr(a, event), getattr(b, event)
        found.append(best_shift(*courses, at_s, tempo, 1.0 / FPS))
    return found


def person(shared: Path) -> list[float]:
    """The same of a real person: how far the best shift is from the true half frame."""
    cv2, step_s = opencv(), 2.0 / 30.0
    turned = [
        np.ascontiguousarray(np.rot90(grey, -1))
        for _, grey in grey_frames(shared / "people" / "pose_1.mp4")
    ]
    small = [
        np.ascontiguousarray(cv2.resize(g[:, ::-1], None, fx=0.6, fy=0.6)) for g in turned[1::2]
    ]
    left, right = (
        course(measure_motion([(k * step_s, g) for k, g in enumerate(film)], optical_flow()))
        for film in (turned[::2], small)
    )
    # Frame k of the right film was taken half a step after frame k of the left one.
    return [
        best_shift(left, right, (k * step_s, k * step_s), (1.0, 1.0), step_s) + 0.5
        for k in (12, 18, 24, 30, 37, 50)
    ]


def main() -> None:
    for rates in ((24.0, 24.0), (24.0, 26.0), (18.0, 32.0)):
        off = np.array([rowed(*rates, seed) for seed in range(1, 4)])
        told = ", ".join(f"{np.abs(column).max():.2f}" for column in off.T)
        print(
            f"{rates[0]:.0f} and {rates[1]:.0f} a minute: worst at catch, finish, next catch "
            f"{told} frames; a hand: 1.00 at worst, 0.41 rms"
        )
    if sys.argv[1:]:
        off = np.array(person(Path(sys.argv[1])))
        print(f"real person, half a frame apart: off by {np.round(off, 2).tolist()} frames")


if __name__ == "__main__":
    main()
