"""The rower's motion found in a picture where other things move too."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.clocks.motion import MotionError, MotionMeter, measure_motion
from app.media.motion_frames import optical_flow

HEIGHT, WIDTH, FPS = 120, 200, 25.0
rng = np.random.default_rng(1)
WALL = rng.integers(60, 190, (HEIGHT + 40, WIDTH + 40)).astype(np.float32)
BODY = rng.integers(0, 255, (60, 50)).astype(np.float32)
PERSON = rng.integers(0, 255, (90, 24)).astype(np.float32)


def soft(image: np.ndarray) -> np.ndarray:
    from scipy.ndimage import gaussian_filter

    return gaussian_filter(image, 1.5)


WALL, BODY, PERSON = soft(WALL), soft(BODY), soft(PERSON)


def place(i: int) -> float:
    """Where the body stands, px: to and fro every two seconds."""
    return 70.0 + 30.0 * np.sin(2.0 * np.pi * i / (2.0 * FPS))


def frames(count: int, shake: bool = False, walker: bool = False):  # type: ignore[no-untyped-def]
    for i in range(count):
        dx = round(6.0 * np.sin(0.21 * i)) if shake else 0
        image = WALL[20 : 20 + HEIGHT, 20 + dx : 20 + dx + WIDTH].copy()
        x = round(place(i)) - dx
        image[40:100, x : x + 50] = BODY
        step = round(4.0 * i) % 400
        if walker and step < WIDTH - 24:
            image[10:100, step : step + 24] = PERSON
        yield i / FPS, image.astype(np.uint8)


@pytest.mark.parametrize(("shake", "walker"), [(False, False), (True, False), (True, True)])
def test_the_body_is_followed(shake: bool, walker: bool) -> None:
    signal = measure_motion(frames(200, shake, walker), optical_flow())
    true = np.diff([place(i) for i in range(200)], prepend=place(0))
    seen = np.convolve(signal.travel, np.ones(5) / 5.0, "same")
    # Somebody who passes in front hides the body for a third of the time.
    assert np.corrcoef(seen, true)[0, 1] > (0.7 if walker else 0.9)  # to the right is positive
    rows, columns = np.nonzero(signal.region > 0.5)
    assert rows.min() >= 3 and columns.min() >= 3 and columns.max() <= 15
    assert signal.travel[0] == 0.0


def test_stillness_and_short_clips_are_said() -> None:
    still = ((i / FPS, WALL[:HEIGHT, :WIDTH].astype(np.uint8)) for i in range(40))
    with pytest.raises(MotionError, match="to and fro"):
        measure_motion(still, optical_flow())
    with pytest.raises(MotionError, match="too short"):
        measure_motion(frames(5), optical_flow())


def test_frames_of_another_size_are_refused() -> None:
    meter = MotionMeter(optical_flow())
    meter.add(0.0, np.zeros((60, 80), np.uint8))
    with pytest.raises(MotionError, match="size"):
        meter.add(0.1, np.zeros((60, 90), np.uint8))
