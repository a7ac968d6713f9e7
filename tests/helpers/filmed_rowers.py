"""One simulated rower filmed twice: known phase, frame numbers and body points in the pixels.

The second film is the scene mirrored, at 0.6 of its size and shifted, as a camera on the
other side of the boathouse would have it. Both are encoded as any phone does.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.alignment import Alignment
from analysis.comparing.phase import StrokeTimes, phase_of, time_at
from app.media.encode import ClipWriter
from app.media.opencv import opencv
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from samples.camera import Camera
from samples.footage import Footage
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import Piece, PieceOptions, simulate_piece
from samples.rower import move
from tests.helpers.reviews import write_review

Image = NDArray[np.uint8]
Point = tuple[float, float]
FPS = 30.0
OFFSET_S = 0.237  # the force recorder was started that much after the camera
AFTER_S = 0.7  # the film ends so long after the stroke that is compared
SCALE = 0.6
SHIFT = (0.27, 0.19)  # shares of width and height
BITS = 12
POINTS = ("handle", "seat", "stretcher")
HEEL_M, RAIL_END_M = np.array((0.0, 0.0)), np.array((1.33, 0.062))
_INKS = {"handle": (255, 0, 255), "seat": (0, 255, 0), "stretcher": (255, 255, 0)}
_NUMBER = (0.2, 0.905, 0.6, 0.065)  # left, top, width, height as shares of the scene


@dataclass(frozen=True)
class Filmed:
    """A film of a simulated piece.

    Attributes
    ----------
    camera : of the scene before it was mirrored and made smaller
    second : whether it is the mirrored, smaller one
    true : events of the stroke that is compared, as simulated, video seconds
    """

    piece: Piece
    camera: Camera
    video: Path
    review: Path
    second: bool
    true: StrokeTimes

    def pixels(self, at_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Video pixels (..., 2) of places (..., 2) in metres; corners of pixels are whole."""
        at = self.camera.pixels(at_m) + 0.5
        if not self.second:
            return at
        wide, high = self.camera.width, self.camera.height
        x = SCALE * (wide - at[..., 0]) + SHIFT[0] * wide
        return np.stack((x, SCALE * at[..., 1] + SHIFT[1] * high), axis=-1)

    @property
    def still(self) -> list[Point]:
        """What a coach clicks: the heels on the stretcher and the end of the rail, video pixels."""
        return [(float(x), float(y)) for x, y in self.pixels(np.stack((HEEL_M, RAIL_END_M)))]


def film_rower(
    folder: Path,
    rate_spm: float,
    *,
    second: bool = False,
    strokes: int = 4,
    which: int = 1,
    seed: int = 5,
    width: int = 960,
) -> Filmed:
    """Row, film and record a piece, and begin a review of it, lined up as it was simulated."""
    folder.mkdir(parents=True, exist_ok=True)
    name = "before" if second else "now"
    piece = simulate_piece(
        PieceOptions(seed=seed, duration_s=strokes * 60.0 / rate_spm, rate_spm=rate_spm)
    )
    rowed = piece.strokes[which]
    assert rowed.next_catch_s is not None
    camera = Camera(width, round(width * 9 / 16))
    video, review = folder / f"{name}.mp4", folder / f"{name}.review"
    _film(piece, camera, video, second, rowed.next_catch_s + AFTER_S)
    options = RecorderOptions(noise=0.01, offset_s=OFFSET_S)
    (folder / f"{name}.csv").write_text(write_text(record(piece, options, seed), options), "utf-8")
    state = ReviewState(
        title=name,
        video=refer(video, "video", review),
        trace=refer(folder / f"{name}.csv", "trace", review),
        alignment=Alignment(OFFSET_S, 0.0, 0.0, "as simulated"),
    )
    write_review(review, state)
    true = StrokeTimes(rowed.catch_s, rowed.finish_s, rowed.next_catch_s)
    return Filmed(piece, camera, video, review, second, true)


def points_of(filmed: Filmed, time_s: float) -> dict[str, NDArray[np.float64]]:
    """Where the body points truly are at a time, (2,) metres by name."""
    at = move(filmed.piece, np.array([time_s])).points
    return {"handle": at["handle"][0], "seat": at["seat"][0], "stretcher": HEEL_M}


def belongs_s(left: Filmed, right: Filmed, left_s: float) -> float:
    """The instant of the right film that is truly as far in its stroke."""
    return time_at(right.true, phase_of(left.true, left_s))


def number_in(scene: Image) -> int:
    """The frame's number in a picture of the whole scene, of any size, RGB."""
    height, width = scene.shape[:2]
    left, top, wide, high = _NUMBER
    y, number = round(height * (top + high / 2)), 0
    for bit in range(BITS):
        x = round(width * (left + wide * (bit + 0.5) / BITS))
        cell = scene[y - 2 : y + 3, x - 2 : x + 3].astype(np.float64)
        number |= int(cell.mean() > 125.0) << bit
    return number


def seen_points(scene: Image) -> dict[str, NDArray[np.float64]]:
    """The middles of the marks in a picture, (2,) pixels by name, corners of pixels whole."""
    red, green, blue = (scene[..., k].astype(np.float64) for k in range(3))
    strength = {
        "handle": np.minimum(red, blue) - green,
        "seat": green - np.maximum(red, blue),
        "stretcher": np.minimum(red, green) - blue,
    }
    y, x = np.mgrid[0 : scene.shape[0], 0 : scene.shape[1]] + 0.5
    found = {}
    for name, value in strength.items():
        weight = np.maximum(value - 100.0, 0.0)
        assert weight.sum() > 0.0, f"the mark of the {name} is not in the picture"
        found[name] = np.array(((x * weight).sum(), (y * weight).sum())) / weight.sum()
    return found


def _film(piece: Piece, camera: Camera, out: Path, second: bool, end_s: float) -> None:
    times = np.arange(int(end_s * FPS)) / FPS
    motion = move(piece, times)
    footage = Footage(camera, motion, piece, None, seed=3)
    with ClipWriter(out, camera.width, camera.height) as clip:
        for i, time_s in enumerate(times):
            scene = np.ascontiguousarray(footage.frame(i)[..., ::-1])
            for name in POINTS:
                at_m = HEEL_M if name == "stretcher" else motion.points[name][i]
                _mark(scene, camera, at_m, _INKS[name])
            _write_number(scene, i)
            clip.add(_smaller(scene) if second else scene, float(time_s))
        clip.finish(float(times[-1] + 1.0 / FPS))


def _mark(scene: Image, camera: Camera, at_m: NDArray[np.float64], ink: tuple[int, ...]) -> None:
    cv2 = opencv()
    centre = tuple(int(v) for v in np.rint(camera.pixels(at_m) * 16))
    radius = round(camera.width / 100 * 16)
    cv2.circle(scene, centre, radius, ink, -1, cv2.LINE_AA, 4)


def _write_number(scene: Image, number: int) -> None:
    height, width = scene.shape[:2]
    left, top, wide, high = _NUMBER
    rows = slice(round(height * top), round(height * (top + high)))
    for bit in range(BITS):
        ends = (round(width * (left + wide * (bit + k) / BITS)) for k in (0, 1))
        scene[rows, slice(*ends)] = 225 if number >> bit & 1 else 25


def _smaller(scene: Image) -> Image:
    """Mirrored, at `SCALE` of its size and shifted, on a wall of one grey."""
    cv2 = opencv()
    height, width = scene.shape[:2]
    x_0, y_0 = SHIFT[0] * width, SHIFT[1] * height
    matrix = np.array(((-SCALE, 0.0, SCALE * width + x_0), (0.0, SCALE, y_0)))
    matrix[:, 2] += 0.5 * (matrix[:, 0] + matrix[:, 1]) - 0.5  # OpenCV counts from pixel middles
    soft = cv2.GaussianBlur(scene, (0, 0), 0.5)
    small: Image = cv2.warpAffine(
        soft, matrix, (width, height), flags=cv2.INTER_LINEAR, borderValue=(150, 150, 150)
    )
    return small
