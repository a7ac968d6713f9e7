"""What following a body costs, as a ratio to decoding the same film, and how right it is.

Run with ``python -m tests.benchmarks.body_following [VIDEO ...]``; without a name it takes the
small sample, whose ground truth is known. Times are those of the processor (all threads): a busy
machine changes them less than a clock on the wall.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from analysis.body.from_track import see_body
from analysis.body.lengths import body_pixels
from analysis.body.piece import analyse_body
from analysis.body.track import POINTS, BodyTrack
from analysis.body.view import View
from app.body.track_film import track_of_film
from app.media.video import VideoFile
from samples.submission import small_sample


def decoding_s(path: Path) -> tuple[float, float]:
    """Processor seconds for decoding all frames once, and how long the film is."""
    with VideoFile.open(path) as video:
        begin = time.process_time()
        for i in range(len(video.index)):
            video.decoded(i)
        return time.process_time() - begin, video.duration_s


def errors(track: BodyTrack, truth: Path) -> str:
    """Distance of the points from the truth, percent of stature."""
    frames = json.loads(truth.read_text("utf-8"))["frames"]
    xy_px = np.stack([np.array(frames["points_px"][name]) for name in POINTS], axis=1)
    off = np.hypot(*np.moveaxis(track.xy_px - xy_px[: len(track.xy_px)], -1, 0))
    share = 100.0 * off[np.isfinite(off)] / body_pixels(xy_px)
    low, high = np.percentile(share, (50.0, 95.0))
    return f"{low:5.2f} {high:5.2f} % of stature (p50, p95)"


def turns_off(track: BodyTrack, truth: Path) -> str:
    """How far the hands' turns are from their truth, frames."""
    turns = json.loads(truth.read_text("utf-8"))["handle_turns"]
    strokes = analyse_body(track).strokes
    off: list[float] = []
    for mine, theirs in (("catch_s", "catch_end_s"), ("finish_s", "finish_end_s")):
        true = np.array([turn[theirs] for turn in turns])
        off += [float(np.abs(true - getattr(stroke, mine)).min()) for stroke in strokes]
    frame_s = float(np.median(np.diff(track.time_s)))
    low, high = np.percentile(np.array(off) / frame_s, (50.0, 95.0))
    return f"hands turn {low:4.2f} {high:4.2f} frames off (p50, p95)"


def held(track: BodyTrack, truth: Path) -> str:
    """Error (rms) and stated deviation of angles, degrees, and how often 95 % intervals hold."""
    places = json.loads(truth.read_text("utf-8"))["frames"]["points_px"]
    xy_px = np.stack([np.array(places[name]) for name in POINTS], axis=1)[: len(track.time_s)]
    square = View(perspective="none")  # the simulated camera has none
    found = see_body(track, square).series
    true = see_body(replace(track, xy_px=xy_px, steady=None), square).series
    words = []
    for name in ("knee_rad", "hip_rad", "elbow_rad", "trunk_lean_rad", "shank_rad"):
        off = np.degrees(found.values(name) - true.values(name))
        sd = np.degrees(found.sd[name])
        inside = 100.0 * np.mean(np.abs(off) < 1.96 * sd)
        words.append(
            f"{name.removesuffix('_rad')} {np.sqrt(np.nanmean(off**2)):.1f} "
            f"({np.nanmedian(sd):.1f}, {inside:.0f} %)"
        )
    return ", ".join(words)


def measure(path: Path, truth: Path | None) -> None:
    """Print one line about a film."""
    bare_s, film_s = decoding_s(path)
    begin, wall = time.process_time(), time.perf_counter()
    track = track_of_film(path)
    took_s, wall_s = time.process_time() - begin, time.perf_counter() - wall
    most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{path.name}: {took_s / bare_s:5.1f} x decoding, {60 * took_s / film_s:5.1f} s a minute "
        f"({60 * wall_s / film_s:5.1f} s on the wall), {most_mb:4.0f} MB "
        + ("" if truth is None else errors(track, truth))
    )
    if truth is not None:
        print(f"  {turns_off(track, truth)}; {held(track, truth)}")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        for name in sys.argv[1:]:
            measure(Path(name), None)
    else:
        sample = small_sample()
        measure(sample.footage, sample.truth)
