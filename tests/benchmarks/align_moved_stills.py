"""Encoded films in which nobody rows, made of stills that are moved, against force recordings.

    python -m tests.benchmarks.align_moved_stills [--media FOLDER] [--films 12]

Stills of the sample's athlete and of published clips are swayed, walked, stretched and shaken, each
as nobody rows, and met with the sample's force and with pieces by rhythms of their own. The sample,
and samples painted small by other seeds, are met with their own force and with those.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.force.intake import read_trace
from analysis.force.trace import ForceTrace
from app.media.motion_frames import grey_frames
from app.submission.lining_up import footage_signals
from samples.submission import SampleOptions, make_submission, small_sample
from tests.benchmarks.align_wrong_pairs import said, wilson
from tests.helpers import rhythms
from tests.helpers.clips import run_ffmpeg

FPS = 25
KINDS = ("sitting", "walking", "stretching", "noise")
SEEDS = (21, 22)


def stills(media: Path | None) -> Iterator[NDArray[np.uint8]]:
    """Pictures of somebody, or of something."""
    paths = [small_sample().footage]
    if media is not None:
        paths += [media / "people" / "pose_1.mp4", media / "timing" / "nasa_13013.mp4"]
    for path in paths:
        yield next(islice(grey_frames(path), 20, None))[1]


def film(still: NDArray[np.uint8], kind: str, seed: int, out: Path) -> Path:
    """The middle of a still moved over the rest of it, for half a minute."""
    rng = np.random.default_rng([seed, 9])
    moved = rhythms.idle(rng, kind, 32.0)
    way = np.cumsum(np.interp(np.arange(0.0, 30.0, 1.0 / FPS), moved.time_s, moved.speed)) / FPS
    way = 20.0 * way / max(float(np.abs(way - way.mean()).max()), 1e-9)
    height, width = still.shape
    left, right = width // 3, 2 * width // 3
    frames = []
    for x in way.tolist():
        shown = still.copy()
        at = int(np.clip(left + round(x), 0, width - (right - left)))
        shown[:, at : at + right - left] = still[:, left:right]
        noisy = shown.astype(np.int16) + rng.integers(-3, 4, shown.shape)
        frames.append(np.clip(noisy, 0, 255).astype(np.uint8).tobytes())
    size = f"{width}x{height}"
    raw = ("-f", "rawvideo", "-pix_fmt", "gray", "-s", size, "-r", str(FPS), "-i", "-")
    run_ffmpeg("-y", *raw, "-pix_fmt", "yuv420p", out, stdin=b"".join(frames))
    return out


def forces() -> list[ForceTrace]:
    """The sample's, and pieces by rhythms that are not the simulated athlete's."""
    found = [read_trace(small_sample().force)]
    for seed, rhythm in enumerate(("steady", "loose", "pyramid", "drifting", "rests")):
        rng = np.random.default_rng([seed, 13])
        rowed = rhythms.row(rng, rhythms.periods(rng, rhythm, 19.0 + 3.0 * seed, 120.0))
        found.append(rhythms.recorded(rng, rowed, 1.0, 90.0, 1.0))
    return found


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--media", type=Path)
    parser.add_argument("--films", type=int, default=12)
    given = parser.parse_args()
    others, wrong, right = forces(), Counter[str](), Counter[str]()
    with tempfile.TemporaryDirectory() as place:
        for seed in SEEDS:
            options = SampleOptions(seed=seed, width=640, height=360, duration_s=30.0)
            made = make_submission(Path(place) / str(seed), options)
            signals = footage_signals(made.footage)
            right[said(signals, read_trace(made.force))[2]] += 1
            wrong.update(said(signals, force)[2] for force in others)
            print("rowed", seed, dict(right), dict(wrong), flush=True)
        pictures = list(stills(given.media))
        for i in range(given.films):
            still, kind = pictures[i % len(pictures)], KINDS[i // len(pictures) % len(KINDS)]
            signals = footage_signals(film(still, kind, i, Path(place) / f"{i}.mp4"))
            wrong.update(said(signals, force)[2] for force in others)
            print(kind, i, dict(wrong), flush=True)
    count = wrong.total()
    print(f"claimed {wrong['lined up']} of {count}", wilson(wrong["lined up"], count))


if __name__ == "__main__":
    main()
