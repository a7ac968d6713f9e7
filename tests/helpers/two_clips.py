"""Two simulated strokes whose phase is known at every instant, and two films of a real person."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analysis.comparing.phase import StrokeTimes
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke
from app.media.encode import ClipWriter
from app.media.video import VideoFile
from samples.force_recording import RecorderOptions, record
from samples.piece import Piece, PieceOptions, TrueStroke, simulate_piece

# Events of the raise in the published clip, picked by eye from its frames: the arms begin to
# leave the body, the hands are highest, the hands have come down to the chin.
PICKED = (24, 49, 100)
MIRRORED_SCALE = 0.6


@dataclass(frozen=True)
class Known:
    """A simulated stroke.

    Attributes
    ----------
    true : its events as they were simulated
    found : its events as they are found on a recording of its force with noise
    """

    piece: Piece
    true: StrokeTimes
    found: StrokeTimes

    def rounded(self, fps: float) -> StrokeTimes:
        """Its true events on the nearest frame, as a hand picks them."""
        t = self.true
        return StrokeTimes(*(round(s * fps) / fps for s in _events(t)))


def known_stroke(rate_spm: float, seed: int, which: int = 2) -> Known:
    """Simulate a piece at a rate, and take one stroke of it."""
    piece = simulate_piece(
        PieceOptions(seed=seed, duration_s=6 * 60.0 / rate_spm, rate_spm=rate_spm)
    )
    true = piece.strokes[which]
    held = record(piece, RecorderOptions(noise=0.01, offset_s=0.0, drift_ppm=0.0), seed)
    strokes = find_strokes(ForceTrace(held.time_s, held.force_n, held.position_m))
    found = min(strokes, key=lambda s: abs(s.catch_s - true.catch_s))
    return Known(piece, _times(true), _times(found))


def _times(stroke: TrueStroke | Stroke) -> StrokeTimes:
    assert stroke.next_catch_s is not None
    return StrokeTimes(stroke.catch_s, stroke.finish_s, stroke.next_catch_s)


def _events(times: StrokeTimes) -> tuple[float, float, float]:
    return times.catch_s, times.finish_s, times.next_catch_s


def real_pair(shared: Path, out: Path) -> tuple[Path, Path]:
    """Give the published clip and a second film of it, mirrored, smaller, at another speed.

    The raise is played 1.3 times as fast, the way down 0.8 times; frame k of one is frame k of the
    other, so that what belongs together is known.
    """
    first, second = shared / "people" / "pose_1.mp4", out / "second.mp4"
    with VideoFile.open(first) as film:
        side = round(film.width * MIRRORED_SCALE / 2) * 2
        with ClipWriter(second, side, side) as clip:
            from app.media.opencv import opencv

            for k in range(len(film.index)):
                small = opencv().resize(film.frame_rgb(k)[:, ::-1], (side, side))
                clip.add(np.ascontiguousarray(small), second_s(k))
            clip.finish(second_s(len(film.index)))
    return first, second


def second_s(frame: int) -> float:
    """When a frame of the second film is shown."""
    top = PICKED[1]
    return min(frame, top) / 30.0 / 1.3 + max(frame - top, 0) / 30.0 / 0.8


def landmarks(shared: Path) -> list[dict[str, dict[str, float]]]:
    """Give the published points of every frame of the clip, pixels."""
    said: list[dict[str, dict[str, float]]] = json.loads(
        (shared / "people" / "pose_1.mp4__pose_1.json").read_text("utf-8")
    )
    return said
