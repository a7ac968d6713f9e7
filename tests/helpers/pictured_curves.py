"""Force curves drawn by plotters that are not ours, and photographed by simulation.

What is true of them are the plotter's own numbers: the values it was given, and where it says it
put them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]

LIGHT_LINES = ("#1f5fbf", "#c2412d", "#111111", "#1a7f37", "#8e3fa8")
DARK_LINES = ("#ffd54a", "#4ad0ff", "#f2f2f2", "#ff7a59", "#7ddf64")


@dataclass(frozen=True, eq=False)
class Pictured:
    """A picture of curves, and what is true of it.

    Attributes
    ----------
    pixels : (h, w, 3) RGB
    curves : (n, 2) value along and force of each line, in the axes' units
    lines : (n, 2) where each lies in the picture, pixels
    along_ticks, force_ticks : two values of each axis
    along_places, force_places : where they are in the picture, (2, 2) pixels
    corners : (4, 2) pixels of the screen or sheet; None for a screen shot
    full_n : the upper end of the force axis
    """

    pixels: Pixels
    curves: tuple[Array, ...]
    lines: tuple[Array, ...]
    along_ticks: tuple[float, float]
    force_ticks: tuple[float, float]
    along_places: Array
    force_places: Array
    corners: Array | None
    full_n: float


def stroke_like(rng: np.random.Generator) -> Array:
    """(n, 2) seconds and newtons of a drive: a rise, a rounded top with a dip or two, a fall."""
    drive_s = rng.uniform(0.6, 1.1)
    share = np.linspace(0.0, 1.0, 220)
    peak_at = rng.uniform(0.28, 0.55)
    a, b = rng.uniform(0.55, 1.3), rng.uniform(0.7, 1.6)
    shape = np.sin(np.pi * share ** (np.log(0.5) / np.log(peak_at)))
    shape = np.where(share < peak_at, shape**a, shape**b)
    for _ in range(rng.integers(0, 3)):
        where, wide = rng.uniform(0.15, 0.8), rng.uniform(0.03, 0.09)
        shape *= 1.0 - rng.uniform(0.03, 0.16) * np.exp(-(((share - where) / wide) ** 2))
    return np.column_stack([share * drive_s, rng.uniform(350.0, 1000.0) * shape])


def by_matplotlib(rng: np.random.Generator, dark: bool, count: int, width_pt: float) -> Pictured:
    """A plot with grid, labels and a key, of `count` curves of different colours."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    ground = "#14181d" if dark else "#ffffff"
    figure = Figure(figsize=(9.6, 6.0), dpi=110, facecolor=ground)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    axes.set_facecolor(ground)
    words = "#cccccc" if dark else "#222222"
    axes.tick_params(colors=words)
    axes.spines[:].set_color(words)
    curves = [stroke_like(rng) for _ in range(count)]
    inks = rng.permutation(DARK_LINES if dark else LIGHT_LINES)
    handles = [
        axes.plot(*curve.T, color=str(ink), lw=width_pt, label=f"stroke {i + 1}")[0]
        for i, (curve, ink) in enumerate(zip(curves, inks, strict=False))
    ]
    if rng.random() < 0.75:
        axes.grid(True, color="#3a434c" if dark else "#c9c9c9", lw=0.8)
    axes.set_xlabel("time (s)", color=words)
    axes.set_ylabel("force (N)", color=words)
    axes.set_xlim(-0.05, 1.2)
    axes.set_ylim(-40.0, 1150.0)
    axes.set_title("Handle force", color=words)
    if count > 1:
        axes.legend(handles=handles)
    canvas.draw()
    pixels = np.ascontiguousarray(np.asarray(canvas.buffer_rgba())[..., :3])

    def places(points: Any) -> Array:
        at = np.asarray(axes.transData.transform(points), dtype=float)
        return np.column_stack([at[:, 0] - 0.5, pixels.shape[0] - at[:, 1] - 0.5])

    return Pictured(
        pixels,
        tuple(curves),
        tuple(places(curve) for curve in curves),
        (0.0, 1.0),
        (0.0, 1000.0),
        places([(0.0, -40.0), (1.0, -40.0)]),
        places([(-0.05, 0.0), (-0.05, 1000.0)]),
        None,
        1150.0,
    )


def by_pillow(rng: np.random.Generator, dark: bool, count: int, width_px: int) -> Pictured:
    """A plain drawing as small displays make it: no smooth edges, lines of whole pixels."""
    from PIL import Image, ImageDraw

    size = (900, 560)
    ground, grid = ((10, 14, 20), (52, 60, 70)) if dark else ((246, 246, 240), (205, 205, 200))
    words = (200, 200, 200) if dark else (40, 40, 40)
    image = Image.new("RGB", size, ground)
    draw = ImageDraw.Draw(image)
    left, right, top, low = 80.0, 860.0, 30.0, 500.0
    across, up = (right - left) / 1.2, (low - top) / 1200.0

    def places(points: Any) -> Array:
        at = np.asarray(points, dtype=float)
        return np.column_stack([left + across * at[:, 0], low - up * at[:, 1]])

    for value in np.arange(0.0, 1201.0, 200.0):
        y = low - up * value
        draw.line([(left, y), (right, y)], fill=grid, width=1)
        draw.text((30, y - 6), f"{value:.0f}", fill=words)
    for value in np.arange(0.0, 1.21, 0.2):
        x = left + across * value
        draw.line([(x, top), (x, low)], fill=grid, width=1)
        draw.text((x - 8, low + 8), f"{value:.1f}", fill=words)
    curves = [stroke_like(rng) for _ in range(count)]
    inks = rng.permutation(DARK_LINES if dark else LIGHT_LINES)
    lines = tuple(places(curve) for curve in curves)
    for line, ink in zip(lines, inks, strict=False):
        draw.line([tuple(p) for p in line], fill=str(ink), width=width_px, joint="curve")
    return Pictured(
        np.asarray(image).copy(),
        tuple(curves),
        lines,
        (0.0, 1.0),
        (0.0, 1000.0),
        places([(0.0, 0.0), (1.0, 0.0)]),
        places([(0.0, 0.0), (0.0, 1000.0)]),
        None,
        1200.0,
    )


def photographed(rng: np.random.Generator, plot: Pictured, width: int = 1500) -> Pictured:
    """The plot on a screen or a sheet, as a telephone takes it."""
    cv2 = opencv()
    height, width_px = plot.pixels.shape[:2]
    size = (width, round(0.75 * width))
    edges = np.array([[-0.5, -0.5], [width_px - 0.5, -0.5], [width_px - 0.5, height - 0.5],
                      [-0.5, height - 0.5]])  # fmt: skip
    corners = _seen_at_an_angle(rng, size, height / width_px)
    matrix = cv2.getPerspectiveTransform(edges.astype(np.float32), corners.astype(np.float32))
    matrix = matrix.astype(np.float64)
    around = rng.uniform(20.0, 60.0) if plot.pixels.mean() > 100 else rng.uniform(120.0, 180.0)
    scene = np.full((size[1], size[0], 3), around, dtype=np.float32)
    scene += 6.0 * cv2.GaussianBlur(rng.standard_normal(scene.shape).astype(np.float32), (0, 0), 5)
    # From more pixels than the camera has: the screen's edges fall between its pixels.
    shown = cv2.warpPerspective(plot.pixels.astype(np.float32), matrix, size, flags=cv2.INTER_AREA)
    mask = cv2.warpPerspective(np.ones((height, width_px), np.float32), matrix, size)[..., None]
    scene = scene * (1.0 - mask) + mask * (shown / np.maximum(mask, 1e-3)) * _moire(rng, size)
    scene = cv2.GaussianBlur(scene, (0, 0), rng.uniform(0.6, 1.6))
    scene = scene * rng.uniform(0.75, 1.0) + _glare(rng, size)
    scene += rng.uniform(2.0, 7.0) * rng.standard_normal(scene.shape)
    pixels = as_jpeg(np.clip(scene, 0, 255).astype(np.uint8), int(rng.integers(60, 91)))

    def moved(points: Array) -> Array:
        return np.asarray(cv2.perspectiveTransform(points[None].astype(np.float64), matrix)[0])

    return replace(
        plot,
        pixels=pixels,
        lines=tuple(moved(line) for line in plot.lines),
        along_places=moved(plot.along_places),
        force_places=moved(plot.force_places),
        corners=corners,
    )


def as_jpeg(pixels: Pixels, quality: int) -> Pixels:
    """The pixels after JPEG."""
    from PIL import Image

    file = BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=quality)
    return np.asarray(Image.open(file).convert("RGB")).copy()


def _seen_at_an_angle(rng: np.random.Generator, size: tuple[int, int], ratio: float) -> Array:
    """(4, 2): corners of a sheet turned up to 20 degrees about its three axes."""
    turn, tilt, roll = np.radians([*rng.uniform(-20.0, 20.0, 2), rng.uniform(-6.0, 6.0)])
    half = np.array([[-1, -ratio], [1, -ratio], [1, ratio], [-1, ratio]], dtype=float)
    x, y = half.T
    x, y = x * np.cos(roll) - y * np.sin(roll), x * np.sin(roll) + y * np.cos(roll)
    z = x * np.sin(turn) + y * np.sin(tilt)
    x, y = x * np.cos(turn), y * np.cos(tilt)
    seen = np.column_stack([x, y]) / (3.2 + z)[:, None]
    seen -= (seen.max(axis=0) + seen.min(axis=0)) / 2.0
    fills = rng.uniform(0.72, 0.9)
    scale = fills * np.min(np.array(size) / np.ptp(seen, axis=0))
    return np.asarray(seen * scale + np.array(size) / 2.0)


def _moire(rng: np.random.Generator, size: tuple[int, int]) -> NDArray[np.float32]:
    """Stripes of each colour, as two grids of pixels make them."""
    x, y = np.meshgrid(np.arange(size[0]), np.arange(size[1]))
    out = np.ones((size[1], size[0], 3), dtype=np.float32)
    strength = rng.uniform(0.0, 0.09)
    way = rng.uniform(0.0, np.pi)
    for channel in range(3):
        period = rng.uniform(4.0, 14.0)
        at = 2 * np.pi * (x * np.cos(way) + y * np.sin(way)) / period
        out[..., channel] += strength * np.sin(at + 2.1 * channel)
    return out


def _glare(rng: np.random.Generator, size: tuple[int, int]) -> NDArray[np.float32]:
    """A lamp's soft reflection, added to whatever is shown."""
    x, y = np.meshgrid(np.linspace(0, 1, size[0]), np.linspace(0, 1, size[1]))
    where, wide = rng.uniform(0.0, 1.0, 2), rng.uniform(0.15, 0.5)
    light = np.exp(-((x - where[0]) ** 2 + (y - where[1]) ** 2) / (2 * wide**2))
    return (rng.uniform(0.0, 55.0) * light)[..., None].astype(np.float32)
