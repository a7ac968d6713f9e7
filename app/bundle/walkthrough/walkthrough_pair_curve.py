"""Both force curves under a comparison in a walkthrough, with a cursor at the moment shown."""

from __future__ import annotations

from typing import Final

import numpy as np

from analysis.comparing.curves import CurvePair
from analysis.comparing.phase import phase_of
from app.bundle.walkthrough.walkthrough_ink import (
    CURSOR,
    FORCE,
    GROUND,
    WHITE,
    Box,
    Image,
    Ink,
    dashes,
    draw_cursor,
    draw_line,
    draw_moment,
    draw_scale,
    draw_words,
)
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.media.opencv import opencv
from app.media.planes import Planes, from_rgb
from app.review.parts.comparisons import Comparison
from app.scene.lettering import width_of

# The reddish purple of the Okabe-Ito set, 6 : 1 on the ground; the right curve is dashed as well.
_RIGHT: Final[Ink] = (204, 121, 167)
_STEP_S: Final = 0.5  # between two moments named on the axis of seconds
_BETWEEN: Final[Ink] = (52, 62, 68)


class PairPanel:
    """The two curves of a comparison on the dark ground. The still part is painted once.

    Parameters
    ----------
    width, height : pixels, both even
    pair : as `curves_of` gives it: by percent of the drive, or by seconds from the left catch
    labels : what the two strokes are called
    matrix : of the film's planes
    """

    def __init__(
        self,
        width: int,
        height: int,
        pair: CurvePair,
        comparison: Comparison,
        labels: tuple[str, str],
        words: Words,
        matrix: int,
    ) -> None:
        self._pair, self._comparison, self._matrix = pair, comparison, matrix
        image = np.full((height, width, 3), GROUND, np.uint8)
        size = max(9.0, height * 0.1)
        most_n = 1.1 * max([1.0, *(float(np.nanmax(c)) for c in (pair.left, pair.right))])
        margin = 0.02 * width
        left = margin + size * (width_of(f"{most_n:.0f} N", bold=False) + 0.6)
        self._box = Box(
            left, width - margin, 2.2 * size, height - 1.9 * size,
            float(pair.along[0]), float(pair.along[-1]), most_n,
        )  # fmt: skip
        self._paint(image, size, labels, words)
        self._still = from_rgb(image, matrix)

    def look(self, left_s: float) -> object:
        """What the panel shows of a moment; two that are equal look alike."""
        return self._comparison.id, self._cursor_px(left_s)

    def at(self, left_s: float) -> Planes:
        """The panel of a moment, seconds of the left film."""
        x = self._cursor_px(left_s)
        if x is None:
            return self._still
        return draw_cursor(self._still, self._box, x, CURSOR, self._matrix)

    def _cursor_px(self, left_s: float) -> int | None:
        """The column of the cursor; None in the recovery, where no force is compared."""
        times = self._comparison.left.times
        along = left_s - times.catch_s
        if self._pair.axis == "percent":
            along = 100.0 * phase_of(times, left_s)
        if not self._box.first <= along <= self._box.last:
            return None
        return round(self._box.x(along) / 2) * 2

    def _paint(self, image: Image, size: float, labels: tuple[str, str], words: Words) -> None:
        box, pair = self._box, self._pair
        line = max(1.5, image.shape[0] / 110)
        lower, upper = np.fmin(pair.left, pair.right), np.fmax(pair.left, pair.right)
        both = np.isfinite(pair.difference)
        if both.any():
            there = [
                (box.x(a), box.y(f)) for a, f in zip(pair.along[both], lower[both], strict=True)
            ]
            back = [
                (box.x(a), box.y(f)) for a, f in zip(pair.along[both], upper[both], strict=True)
            ]
            area = np.round(np.array([*there, *back[::-1]])).astype(np.int32)
            opencv().fillPoly(image, [area], _BETWEEN, opencv().LINE_AA)
        draw_scale(image, box, size)
        draw_moment(image, box, max(0.0, box.first), words["catch"], size)
        if pair.axis == "percent":
            draw_moment(image, box, 100.0, words["finish"], size)
        else:
            for at_s in np.arange(_STEP_S, box.last, _STEP_S):
                seconds = f"{at_s:.1f} s".replace(".", words["decimal"])
                draw_moment(image, box, float(at_s), seconds, size)
        x = box.left
        for curve, ink, name, dashed in (
            (pair.left, FORCE, labels[0], False),
            (pair.right, _RIGHT, labels[1], True),
        ):
            known = np.isfinite(curve)
            places = zip(pair.along[known], curve[known], strict=True)
            points = [(box.x(float(a)), box.y(float(f))) for a, f in places]
            for run in dashes(points, 9.0 * line) if dashed else [points]:
                draw_line(image, run, ink, 1.3 * line)
            x = _named(image, x, name, ink, dashed, size, line)


def _named(
    image: Image, x: float, name: str, ink: Ink, dashed: bool, size: float, line: float
) -> float:
    """Name a curve over the panel from a place on; return where the next name may begin."""
    y = 1.5 * size
    room = (image.shape[1] - x) / size - 3.5
    name = one_line(name)
    while len(name) > 1 and width_of(name, bold=False) > max(room, 2.0):
        name = name[:-2].rstrip() + "…"
    sample = [(x, y - 0.36 * size), (x + 2.4 * size, y - 0.36 * size)]
    for run in dashes(sample, 0.6 * size) if dashed else [sample]:
        draw_line(image, run, ink, line)
    draw_words(image, name, (x + 2.9 * size, y), size, WHITE)
    return x + size * (width_of(name, bold=False) + 5.0)
