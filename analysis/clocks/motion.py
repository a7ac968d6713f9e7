"""The rower's motion to and fro in the picture, found without knowing where the rower is.

The picture is cut into cells. From each pair of frames the optical flow of every cell is kept. When
all frames have passed, the camera's own motion (what still cells do) is taken off, and the cells
that move together, to and fro, for most of the time are the rower; whoever walks through moves few
cells for a short time and is clipped to what is usual there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Grey = NDArray[np.uint8]
Flow = Callable[[Grey, Grey], NDArray[np.float32]]

CELL_PX = 10
# Grey levels between neighbouring pixels below which a cell shows nothing flow could hold on to.
PLAIN = 2.0
# A cell's motion is clipped at this many times what it is when it moves fast, which is less than
# this share of the time.
USUAL_PERCENT, CLIP_TIMES = 90.0, 1.5
ROUNDS = 6
# Two hands or a handle take up this much of a picture.
STIRRED_SHARE = 0.02
FEWEST_FRAMES = 16


class MotionError(ValueError):
    """Footage whose motion cannot be measured. The message is one sentence for the user."""


@dataclass(frozen=True)
class MotionSignal:
    """Horizontal motion of rower and handle.

    Attributes
    ----------
    time_s : (N,) video s of the frames
    travel : (N,) motion from the frame before to this one, in picture widths, to the right; the
        first is 0. Which direction is the drive only the force tells (`LineUp.faces`)
    share : how much of all motion in the rower's cells this one line explains, 0 to 1
    region : (rows, columns) weight of each cell, 0 to 1
    stir : (N,) what moves most between a frame and the one before, whatever it is and wherever it
        goes, in picture widths; None where it was not measured
    changed : (N,) how far each frame differs from the one before, mean grey levels; the first is
        0; None where it was not measured
    """

    time_s: FloatArray
    travel: FloatArray
    share: float
    region: NDArray[np.float32]
    stir: FloatArray | None = None
    changed: FloatArray | None = None

    @property
    def speed(self) -> FloatArray:
        """(N,) picture widths per second over the interval that ends at each frame."""
        step = np.diff(self.time_s, prepend=self.time_s[0] - 1.0)
        return self.travel / step


class MotionMeter:
    """Takes frames one by one; `signal` gives what moved.

    Parameters
    ----------
    flow : (before, after) -> (h, w, 2) pixels moved, x first
    """

    def __init__(self, flow: Flow) -> None:
        self._flow = flow
        self._before: Grey | None = None
        self._time_s: list[float] = []
        self._changed: list[float] = []
        self._cells: list[NDArray[np.float16]] = []
        self._texture: FloatArray | None = None

    def add(self, time_s: float, grey: Grey) -> None:
        """Take the next frame: (h, w) uint8 of one size throughout."""
        if self._before is not None and self._before.shape != grey.shape:
            raise MotionError("The frames change size on the way; the motion was not measured.")
        if self._before is None:
            moved = np.zeros(_cell_shape(grey), np.float16)
        else:
            moved = _cells(self._flow(self._before, grey)[..., 0]).astype(np.float16)
        if len(self._time_s) % 8 == 0:
            edges = _cells(np.abs(np.diff(grey.astype(np.int16), axis=1, append=0)))
            self._texture = edges if self._texture is None else self._texture + edges
        before = grey if self._before is None else self._before
        # A quarter of the pixels says as much.
        apart = grey[::2, ::2].astype(np.int16) - before[::2, ::2]
        self._changed.append(float(np.abs(apart).mean()))
        self._cells.append(moved)
        self._time_s.append(time_s)
        self._before = grey

    def signal(self) -> MotionSignal:
        """What moved in the frames so far.

        Raises
        ------
        MotionError
            Too few frames, or nothing that moves to and fro.
        """
        if len(self._time_s) < FEWEST_FRAMES or self._before is None or self._texture is None:
            raise MotionError("The footage is too short to see a stroke in it.")
        width = self._before.shape[1]
        cells = np.stack(self._cells).astype(np.float32)
        shape = cells.shape[1:]
        texture = (self._texture / -(-len(self._time_s) // 8)).ravel()
        moved = without_camera(cells.reshape(len(cells), -1), texture, shape)
        steps_per_s = 1.0 / max(float(np.median(np.diff(self._time_s))), 1e-3)
        travel, weight, share = common_motion(moved, texture, steps_per_s)
        if share <= 0.0:
            raise MotionError("Nothing in the footage moves to and fro, so no stroke was seen.")
        time_s = np.array(self._time_s)
        travel = travel / width
        region = weight.reshape(shape).astype(np.float32)
        changed = np.array(self._changed)
        return MotionSignal(time_s, travel, share, region, _stir(moved) / width, changed)


def _stir(moved: NDArray[np.float32]) -> FloatArray:
    """What the cells that move most between two frames move: (T,) pixels."""
    most = max(1, round(STIRRED_SHARE * moved.shape[1]))
    parts = [moved[i : i + 1000] for i in range(0, len(moved), 1000)]
    top = [np.partition(np.abs(part), -most, axis=1)[:, -most:].mean(axis=1) for part in parts]
    out: FloatArray = np.concatenate(top).astype(np.float64)
    return out


def measure_motion(
    frames: Iterable[tuple[float, Grey]],
    flow: Flow,
    progress: Callable[[float], None] | None = None,
) -> MotionSignal:
    """Measure the motion in frames given as video seconds and (h, w) uint8 pictures.

    Parameters
    ----------
    flow : (before, after) -> (h, w, 2) pixels moved, x first
    progress : called with the video time of each frame

    Raises
    ------
    MotionError
        Too few frames, or nothing that moves to and fro.
    """
    meter = MotionMeter(flow)
    for time_s, grey in frames:
        meter.add(time_s, grey)
        if progress is not None:
            progress(time_s)
    return meter.signal()


def _cell_shape(grey: Grey) -> tuple[int, int]:
    return grey.shape[0] // CELL_PX, grey.shape[1] // CELL_PX


def _cells(values: NDArray) -> FloatArray:
    """Mean over each cell: (rows, columns)."""
    rows, columns = values.shape[0] // CELL_PX, values.shape[1] // CELL_PX
    cut = values[: rows * CELL_PX, : columns * CELL_PX].astype(np.float32)
    mean: FloatArray = cut.reshape(rows, CELL_PX, columns, CELL_PX).mean(axis=(1, 3))
    return mean


def without_camera(
    moved: NDArray[np.float32], texture: FloatArray, shape: tuple[int, int]
) -> NDArray[np.float32]:
    """Take off what the camera itself did: shift, roll and zoom, (T, C) in and out.

    First the middle of all textured cells, then a plane through the cells that are still.
    """
    held = texture > PLAIN
    if held.sum() < 12:
        held = texture >= np.percentile(texture, 60.0)
    first = moved - np.median(moved[:, held], axis=1, keepdims=True)
    rows, columns = np.mgrid[0 : shape[0], 0 : shape[1]]
    x = columns.ravel() / shape[1] - 0.5
    y = rows.ravel() / shape[0] - 0.5
    plane = np.stack((np.ones_like(x), x, y), axis=1)
    still = first
    for _ in range(2):
        spread = np.percentile(np.abs(still), 80.0, axis=0)
        quiet = spread <= np.percentile(spread[held], 40.0)
        weight = np.where(held & quiet, texture, 0.0)
        normal = (plane * weight[:, None]).T @ plane + 1e-6 * np.eye(3)
        solve = np.linalg.solve(normal, (plane * weight[:, None]).T).astype(np.float32)
        still = moved - (moved @ solve.T) @ plane.T.astype(np.float32)
    return still


def common_motion(
    moved: NDArray[np.float32], texture: FloatArray, steps_per_s: float
) -> tuple[FloatArray, FloatArray, float]:
    """Find what most moving cells do together.

    Returns
    -------
    (T,) pixels, (C,) weights from 0 to 1, and the share of motion explained
    """
    usual = np.percentile(np.abs(moved), USUAL_PERCENT, axis=0)
    able = _to_and_fro(moved, texture, usual)
    nothing = np.zeros(len(moved)), np.zeros(len(texture)), 0.0
    if able.sum() <= 0.0:
        return nothing
    # Every able cell counts alike, so that the widest pattern wins and not the fastest: a wheel
    # is small and quick.
    calm = _smooth(np.clip(moved, -usual, usual), steps_per_s)
    energy = np.sqrt((calm.astype(np.float64) ** 2).sum(axis=0)) + 1e-9
    even = (calm / energy * able).astype(np.float32)
    _, vectors = np.linalg.eigh((even.T @ even).astype(np.float64))
    pattern = vectors[:, -1]
    # Either sign is an eigenvector: take the one in which most of the picture goes along.
    line = np.asarray(even @ pattern, np.float64) * (1.0 if pattern.sum() >= 0.0 else -1.0)
    together = np.zeros(len(texture))
    for _ in range(ROUNDS):
        together = (calm.T @ line) / (energy * (np.sqrt((line**2).sum()) + 1e-12))
        # Cells of the other sign belong to something that turns.
        weight = able * np.maximum(together, 0.0) ** 2 * usual
        if weight.sum() <= 1e-12:
            return nothing
        line = np.asarray(calm @ (weight / weight.sum()), np.float64)
    share = float((weight * np.maximum(together, 0.0) ** 2).sum() / weight.sum())
    clipped = np.clip(moved, -CLIP_TIMES * usual, CLIP_TIMES * usual)
    return np.asarray(clipped @ (weight / weight.sum()), np.float64), weight / weight.max(), share


def _to_and_fro(moved: NDArray[np.float32], texture: FloatArray, usual: FloatArray) -> FloatArray:
    """How far each cell can be the rower: textured, moving, and coming back, (C,) 0 to 1."""
    holds = np.clip(texture / (2.0 * PLAIN), 0.0, 1.0)
    moves = usual > max(0.15 * float(np.percentile(usual, 95.0)), 1e-3)
    size = np.abs(moved).mean(axis=0) + 1e-9
    one_way = np.abs(moved.mean(axis=0)) / size
    able: FloatArray = holds * moves * np.clip(1.5 - 2.5 * one_way, 0.0, 1.0)
    return able


def _smooth(moved: NDArray[np.float32], steps_per_s: float) -> NDArray[np.float32]:
    """Running mean over a tenth of a second: a body does not tremble, a wheel's spokes do."""
    from scipy.ndimage import uniform_filter1d

    size = max(1, round(0.1 * steps_per_s))
    out: NDArray[np.float32] = uniform_filter1d(moved, size, axis=0, mode="nearest")
    return out
