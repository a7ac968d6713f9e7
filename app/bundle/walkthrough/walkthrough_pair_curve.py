"""Both force curves under a comparison in a walkthrough, with a cursor at the moment shown."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from analysis.comparing.curves import CurvePair
from analysis.comparing.phase import phase_of
from app.bundle.walkthrough.walkthrough_ink import CURSOR, PanelRoom, draw_cursor, painted
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.media.planes import Planes, from_rgb
from app.review.parts.comparisons import Comparison
from app.scene.force_curve import band_shapes, curve_shapes, pair_of
from app.scene.pair_figure import reach_of
from app.scene.plot import Pen, moment
from app.scene.shapes import Shape

_STEP_S: Final = 0.5  # between two moments named on the axis of seconds
_LEFT: Final = Pen(1.3)
_RIGHT: Final = Pen(1.3, (8.0, 3.6))


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
        least, most = reach_of(pair)
        self._band, curves = pair_of(pair, (one_line(labels[0]), one_line(labels[1])))
        right, left = curves
        self._curves = [replace(left, pen=_LEFT), replace(right, pen=_RIGHT)]
        along = (float(pair.along[0]), float(pair.along[-1]))
        entries = [curve.entry for curve in self._curves]
        room = PanelRoom(width, height, along, most, entries, least, pair.unit)
        self._plot = room.plot
        self._still = from_rgb(painted(width, height, self._drawn(room, width, words)), matrix)

    def look(self, left_s: float) -> object:
        """What the panel shows of a moment; two that are equal look alike."""
        return self._comparison.id, self._cursor_px(left_s)

    def at(self, left_s: float) -> Planes:
        """The panel of a moment, seconds of the left film."""
        x = self._cursor_px(left_s)
        if x is None:
            return self._still
        return draw_cursor(self._still, self._plot, x, CURSOR, self._matrix)

    def _cursor_px(self, left_s: float) -> int | None:
        """The column of the cursor; None in the recovery, where no force is compared."""
        times = self._comparison.left.times
        along = left_s - times.catch_s
        if self._pair.axis == "percent":
            along = 100.0 * phase_of(times, left_s)
        if not self._pair.along[0] <= along <= self._pair.along[-1]:
            return None
        return round(self._plot.x.at(along) / 2) * 2

    def _drawn(self, room: PanelRoom, width: int, words: Words) -> list[Shape]:
        """Everything but the cursor."""
        pair, plot, bold = self._pair, room.plot, room.line
        catch, finish = ("catch", "finish") if pair.is_force else ("hands_turn", "finish_turn")
        named = {max(0.0, float(pair.along[0])): words[catch]}
        if pair.axis == "percent":
            named[100.0] = words[finish]
        else:
            for at_s in np.arange(_STEP_S, pair.along[-1], _STEP_S):
                named[float(at_s)] = f"{at_s:.1f} s".replace(".", words["decimal"])
        shapes = [*band_shapes(self._band, plot), *room.scale()]
        for at, said in named.items():
            shapes += moment(plot, at, said, room.letters, max(1.0, room.size / 12), width)
        return [*shapes, *curve_shapes(self._curves, plot, bold), *room.named]
