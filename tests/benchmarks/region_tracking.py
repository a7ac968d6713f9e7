"""How well a face is followed: heads published for a recording this project did not make.

Run from the root: `python -m tests.benchmarks.region_tracking [SHARED_MEDIA]`. The clip shows a
person raising the arms, who hardly moves; so it is also laid over a wall of noise and swayed as a
rower's head is (a sine at a stroke rate), darkened with noise, covered for a while, and cut away.
The published head points move with it. Counted: frames on which all five points lie inside the
region, of those said to be sure and of those said to be unsure. The last column should be zero.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.encode import ClipWriter
from app.media.opencv import opencv
from app.media.regions.follow import Spot
from app.media.regions.track_region import track_region
from app.media.video import VideoFile

HEAD = ("nose", "left_eye", "right_eye", "left_ear", "right_ear")
CANVAS = (800, 576)
PASSES = 4
FPS = 30
Heads = NDArray[np.float64]
Frames = list[tuple[NDArray[np.uint8], Heads]]


def main() -> None:
    """Print the figures."""
    shared = Path(sys.argv[1] if len(sys.argv) > 1 else "../shared/media")
    clip = shared / "people" / "pose_1.mp4"
    said = json.loads((shared / "people" / "pose_1.mp4__pose_1.json").read_text("utf-8"))
    heads = np.array([[[f[k]["x"], f[k]["y"]] for k in HEAD] for f in said])
    with VideoFile.open(clip) as film:
        pictures = [film.frame_rgb(i) for i in range(len(film.index))]
    print(f"{'':34}frames   sure  inside  inside if unsure  missed while sure")
    with tempfile.TemporaryDirectory() as folder:
        for name, frames in cases(pictures, heads):
            path = Path(folder) / "case.mp4"
            height, width = frames[0][0].shape[:2]
            with ClipWriter(path, width, height) as out:
                for i, (image, _) in enumerate(frames):
                    out.add(image, i / FPS)
                out.finish(len(frames) / FPS)
            report(name, path, [h for _, h in frames])


def cases(pictures: list[NDArray[np.uint8]], heads: Heads) -> Iterator[tuple[str, Frames]]:
    """Each case with its frames and where the head is on them."""
    yield "as filmed", list(zip(pictures, heads, strict=True))
    swayed = sway(pictures, heads, 90.0, 24.0)
    yield "swayed 180 px, 24 a minute", swayed
    yield "swayed 220 px, 34 a minute", sway(pictures, heads, 110.0, 34.0)
    rng = np.random.default_rng(0)
    dark = [
        (np.clip(0.4 * f + rng.normal(0, 12, f.shape), 0, 255).astype(np.uint8), h)
        for f, h in swayed
    ]
    yield "swayed, dark and noisy", dark
    for length in (12, 40):
        yield f"swayed, covered for {length / FPS:.1f} s", covered(swayed, 100, length)
    grey = np.full_like(swayed[0][0], 80)
    cut = [(grey if 100 <= i < 160 else f, h) for i, (f, h) in enumerate(swayed)]
    yield "swayed, cut away for 2 s", cut


def sway(pictures: list[NDArray[np.uint8]], heads: Heads, by_px: float, spm: float) -> Frames:
    """The clip to and fro, moved sideways over a wall of noise."""
    cv2 = opencv()
    rng = np.random.default_rng(1)
    noise = rng.integers(40, 200, (36, 50, 3), dtype=np.uint8)
    wall = cv2.resize(noise, CANVAS, interpolation=cv2.INTER_CUBIC)
    count, frames = len(pictures), []
    for k in range(PASSES * count):
        turn, i = divmod(k, count)
        i = i if turn % 2 == 0 else count - 1 - i
        dx = 112.0 + by_px * np.sin(2 * np.pi * spm / 60.0 * k / FPS)
        place = np.array([[1, 0, dx], [0, 1, 0]], np.float32)
        image = cv2.warpAffine(
            pictures[i], place, CANVAS, dst=wall.copy(), borderMode=cv2.BORDER_TRANSPARENT
        )
        frames.append((image, heads[i] + (dx, 0.0)))
    return frames


def covered(frames: Frames, start: int, length: int) -> Frames:
    """A grey card before the head for some frames, moving with it."""
    out = []
    for i, (image, head) in enumerate(frames):
        if start <= i < start + length:
            x, y = (int(v) for v in head.mean(axis=0))
            image = image.copy()
            image[max(0, y - 60) : y + 60, max(0, x - 60) : x + 60] = 90
        out.append((image, head))
    return out


def report(name: str, path: Path, heads: list[Heads]) -> None:
    """Follow the head from the first frame on, and count."""
    x, y = heads[0].mean(axis=0)
    wide = 1.7 * float(np.ptp(heads[0][:, 0]))
    with VideoFile.open(path) as film:
        begin = time.perf_counter()
        for i in range(len(film.index)):
            film.frame_bgra(i, 640, 640)
        decoding = time.perf_counter() - begin
    with VideoFile.open(path) as film:
        begin = time.perf_counter()
        spots = track_region(film, {0: Spot(x, y, wide, 1.3 * wide)}, 0, len(film.index) - 1)
        took = time.perf_counter() - begin
    inside = np.array([is_inside(s, h) for s, h in zip(spots, heads, strict=True)])
    sure = np.array([s.sure for s in spots])
    unsure = f"{inside[~sure].mean():.3f}" if (~sure).any() else "-"
    print(
        f"{name:34}{len(spots):6} {sure.mean():6.3f} {inside.mean():7.3f} {unsure:>17} "
        f"{int((sure & ~inside).sum()):18}   {took / decoding:.1f}x decoding"
    )


def is_inside(spot: Spot, head: Heads) -> bool:
    """Whether all points of the head lie in the region, with the air a bundle adds."""
    a, b = 0.5 * 1.15 * spot.w_px + spot.reach_px, 0.5 * 1.15 * spot.h_px + spot.reach_px
    away = ((head[:, 0] - spot.x_px) / a) ** 2 + ((head[:, 1] - spot.y_px) / b) ** 2
    return bool((away <= 1.0).all())


if __name__ == "__main__":
    main()
