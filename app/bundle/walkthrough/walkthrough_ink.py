"""What the panels under a walkthrough's picture are drawn with: inks, lines, words, a scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv
from app.media.planes import Planes, from_rgb
from app.scene.lettering import outlines, width_of

Image = NDArray[np.uint8]
Ink = tuple[int, int, int]

# On the dark ground under a film: white 16 : 1, the blue and the green of the Okabe-Ito set, made
# lighter where it is too dark, over 7 : 1. The target is dashed as well.
GROUND: Final[Ink] = (20, 24, 26)
WHITE: Final[Ink] = (238, 243, 244)
QUIET: Final[Ink] = (169, 183, 189)
RULE: Final[Ink] = (70, 83, 90)
FORCE: Final[Ink] = (86, 180, 233)
TARGET: Final[Ink] = (63, 208, 165)
CURSOR: Final[Ink] = (230, 159, 0)
_SHIFT = 4


@dataclass(frozen=True)
class Box:
    """Where the curve stands in the panel, and what it spans: seconds, or percent of the drive."""

    left: float
    right: float
    top: float
    bottom: float
    first: float
    last: float
    most_n: float

    def x(self, along: float) -> float:
        """Pixels across of a place on the axis."""
        share = (along - self.first) / (self.last - self.first)
        return self.left + share * (self.right - self.left)

    def y(self, force_n: float) -> float:
        """Pixels down of a force."""
        return self.bottom - force_n / self.most_n * (self.bottom - self.top)


def draw_cursor(still: Planes, box: Box, x: int, ink: Ink, matrix: int) -> Planes:
    """A panel with its cursor in a column."""
    planes = Planes(*(plane.copy() for plane in still.each()))
    wide = max(2, round(still.width / 640) * 2)
    top, bottom = int(box.top) // 2 * 2, int(box.bottom) // 2 * 2
    left = max(0, x - wide // 2) // 2 * 2
    colour = from_rgb(np.full((2, 2, 3), ink, np.uint8), matrix)
    for plane, one, step in zip(planes.each(), colour.each(), (1, 2, 2), strict=True):
        plane[top // step : bottom // step, left // step : (left + wide) // step] = one[0, 0]
    return planes


def draw_scale(image: Image, box: Box, size: float) -> None:
    """Level lines with their newtons."""
    for force_n in np.arange(0.0, box.most_n, step_of(box.most_n)):
        y = box.y(float(force_n))
        draw_line(image, [(box.left, y), (box.right, y)], RULE, 1.0)
        words = f"{force_n:.0f} N"
        x = box.left - size * (width_of(words, bold=False) + 0.4)
        draw_words(image, words, (x, y + 0.36 * size), size, QUIET)


def draw_moment(image: Image, box: Box, along: float, words: str, size: float) -> None:
    """An upright line at a place on the axis, named below."""
    x = box.x(along)
    draw_line(image, [(x, box.top), (x, box.bottom)], RULE, max(1.0, size / 12))
    at = min(max(x - size * width_of(words, False) / 2, 0.0), image.shape[1] - 4.0 * size)
    draw_words(image, words, (at, box.bottom + 1.4 * size), size, QUIET)


def step_of(most: float) -> float:
    """A round step that gives two to five lines."""
    for step in (50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0):
        if most / step <= 5.0:
            return step
    return most / 4.0


def draw_line(image: Image, points: Sequence[tuple[float, float]], ink: Ink, wide: float) -> None:
    """Draw a line through points."""
    opencv().polylines(
        image, [_fixed(points)], False, ink, max(1, round(wide)), opencv().LINE_AA, _SHIFT
    )


def draw_words(image: Image, text: str, at: tuple[float, float], size: float, ink: Ink) -> None:
    """Write from a place on the baseline."""
    letters = [
        _fixed([(at[0] + px * size, at[1] - py * size) for px, py in outline])
        for outline in outlines(text, bold=False)
    ]
    if letters:
        opencv().fillPoly(image, letters, ink, opencv().LINE_AA, _SHIFT)


def _fixed(points: Sequence[tuple[float, float]]) -> NDArray[np.int32]:
    places = np.asarray(points, float) - 0.5
    return np.round(np.clip(places, -30_000, 30_000) * 2**_SHIFT).astype(np.int32)


def dashes(points: Sequence[tuple[float, float]], length: float) -> list[list[tuple[float, float]]]:
    """Cut a line into dashes with gaps of two thirds of their length."""
    places = np.asarray(points, float)
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))))
    runs, start = [], 0.0
    while start < along[-1]:
        at = np.linspace(start, min(start + length, along[-1]), 4)
        runs.append(
            [
                (float(np.interp(a, along, places[:, 0])), float(np.interp(a, along, places[:, 1])))
                for a in at
            ]
        )
        start += length * 5.0 / 3.0
    return runs
