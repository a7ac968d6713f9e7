"""The force curve under the picture of a walkthrough, with a cursor at the moment shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.force.piece import PieceAnalysis
from analysis.force.strokes import Stroke
from analysis.force.target import TargetCurve, sample_target
from app.bundle.lettering import outlines, width_of
from app.bundle.words import Words
from app.media.opencv import opencv
from app.media.planes import Planes, from_rgb

Image = NDArray[np.uint8]
Ink = tuple[int, int, int]

# On the dark ground under a film: white 16 : 1, the blue and the green of the Okabe-Ito set, made
# lighter where it is too dark, over 7 : 1. The target is dashed as well.
GROUND: Final[Ink] = (20, 24, 26)
_WHITE: Final[Ink] = (238, 243, 244)
_QUIET: Final[Ink] = (169, 183, 189)
_RULE: Final[Ink] = (70, 83, 90)
_FORCE: Final[Ink] = (86, 180, 233)
_TARGET: Final[Ink] = (63, 208, 165)
_CURSOR: Final[Ink] = (230, 159, 0)
_SHIFT = 4
_BEFORE: Final = 0.06  # of the stroke's time is shown before its catch
_SAMPLES: Final = 600


@dataclass(frozen=True)
class _Box:
    """Where the curve stands in the panel, and what it spans."""

    left: float
    right: float
    top: float
    bottom: float
    from_s: float
    to_s: float
    most_n: float

    def x(self, trace_s: float) -> float:
        """Pixels across of a moment."""
        share = (trace_s - self.from_s) / (self.to_s - self.from_s)
        return self.left + share * (self.right - self.left)

    def y(self, force_n: float) -> float:
        """Pixels down of a force."""
        return self.bottom - force_n / self.most_n * (self.bottom - self.top)


class CurvePanel:
    """The curve of the stroke a moment lies in. Its still part is painted once a stroke.

    Parameters
    ----------
    width, height : pixels, both even
    target : drawn where it is by time
    matrix : of the film's planes
    """

    def __init__(
        self,
        width: int,
        height: int,
        piece: PieceAnalysis,
        target: TargetCurve | None,
        words: Words,
        matrix: int,
    ) -> None:
        self.width, self.height = width, height
        self._piece = piece
        self._target = target if target is not None and target.axis == "time" else None
        self._words = words
        self._matrix = matrix
        self._most_n = max(1.0, 1.1 * float(np.max(piece.trace.force_n, initial=0.0)))
        if self._target is not None:
            self._most_n = max(self._most_n, 1.1 * float(sample_target(self._target).max()))
        self._painted: tuple[int, Planes, _Box] | None = None
        self._ink = from_rgb(np.full((2, 2, 3), _CURSOR, np.uint8), matrix)

    def cursor_px(self, trace_s: float) -> int:
        """The column the cursor stands in; two moments of one column look alike."""
        _still, box = self._still(self._stroke(trace_s))
        return round(min(max(box.x(trace_s), box.left), box.right) / 2) * 2

    def stroke_index(self, trace_s: float) -> int:
        """Which stroke's curve is shown; -1 for none."""
        stroke = self._stroke(trace_s)
        return -1 if stroke is None else stroke.index

    def at(self, trace_s: float) -> Planes:
        """The panel of a moment, seconds of the trace."""
        still, box = self._still(self._stroke(trace_s))
        x = self.cursor_px(trace_s)
        planes = Planes(*(plane.copy() for plane in still.each()))
        wide = max(2, round(self.width / 640) * 2)
        top, bottom = int(box.top) // 2 * 2, int(box.bottom) // 2 * 2
        left = max(0, x - wide // 2) // 2 * 2
        for plane, ink, step in zip(planes.each(), self._ink.each(), (1, 2, 2), strict=True):
            plane[top // step : bottom // step, left // step : (left + wide) // step] = ink[0, 0]
        return planes

    def _stroke(self, trace_s: float) -> Stroke | None:
        """The stroke of a moment, its recovery included; the nearest one outside of all."""
        strokes = self._piece.strokes
        begun = [s for s in strokes if s.catch_s <= trace_s]
        if begun:
            return begun[-1]
        return strokes[0] if strokes else None

    def _still(self, stroke: Stroke | None) -> tuple[Planes, _Box]:
        index = -1 if stroke is None else stroke.index
        if self._painted is None or self._painted[0] != index:
            image, box = self._paint(stroke)
            self._painted = (index, from_rgb(image, self._matrix), box)
        return self._painted[1], self._painted[2]

    def _paint(self, stroke: Stroke | None) -> tuple[Image, _Box]:
        image = np.full((self.height, self.width, 3), GROUND, np.uint8)
        size = max(9.0, self.height * 0.1)
        time_s = self._piece.trace.time_s
        from_s, to_s = float(time_s[0]), float(time_s[-1])
        if stroke is not None:
            to_s = stroke.next_catch_s or stroke.finish_s + (stroke.finish_s - stroke.catch_s)
            from_s = stroke.catch_s - _BEFORE * (to_s - stroke.catch_s)
        margin = 0.02 * self.width
        left = margin + size * (width_of(f"{self._most_n:.0f} N", bold=False) + 0.6)
        box = _Box(
            left, self.width - margin, 2.2 * size, self.height - 1.9 * size,
            from_s, max(to_s, from_s + 1e-3), self._most_n,
        )  # fmt: skip
        line = max(1.5, self.height / 110)
        self._axes(image, box, stroke, size)
        at_s = np.linspace(box.from_s, box.to_s, _SAMPLES)
        at_s = at_s[(at_s >= time_s[0]) & (at_s <= time_s[-1])]
        force_n = np.interp(at_s, time_s, self._piece.trace.force_n)
        _line(image, [(box.x(t), box.y(f)) for t, f in zip(at_s, force_n, strict=True)],
              _FORCE, line)  # fmt: skip
        if stroke is not None and self._target is not None:
            goal_n = sample_target(self._target)
            moments = np.linspace(stroke.catch_s, stroke.finish_s, len(goal_n))
            points = [(box.x(t), box.y(f)) for t, f in zip(moments, goal_n, strict=True)]
            for run in _dashes(points, 3.0 * line):
                _line(image, run, _TARGET, line)
        self._legend(image, box, stroke, size, line)
        return image, box

    def _axes(self, image: Image, box: _Box, stroke: Stroke | None, size: float) -> None:
        step_n = _step(self._most_n)
        for force_n in np.arange(0.0, self._most_n, step_n):
            y = box.y(float(force_n))
            _line(image, [(box.left, y), (box.right, y)], _RULE, 1.0)
            words = f"{force_n:.0f} N"
            x = box.left - size * (width_of(words, bold=False) + 0.4)
            _words(image, words, (x, y + 0.36 * size), size, _QUIET)
        if stroke is None:
            return
        for moment_s, word in ((stroke.catch_s, "catch"), (stroke.finish_s, "finish")):
            x = box.x(moment_s)
            _line(image, [(x, box.top), (x, box.bottom)], _RULE, max(1.0, size / 12))
            text = self._words[word]
            at = min(max(x - size * width_of(text, False) / 2, 0.0), self.width - 4.0 * size)
            _words(image, text, (at, box.bottom + 1.4 * size), size, _QUIET)

    def _legend(
        self, image: Image, box: _Box, stroke: Stroke | None, size: float, line: float
    ) -> None:
        x, y = box.left, 1.5 * size
        if stroke is None:
            _words(image, self._words["walk_no_stroke"], (x, y), size, _WHITE)
            return
        title = self._words["stroke"].format(number=stroke.index + 1)
        for text, ink, dashed in (
            (title[:1].upper() + title[1:], _FORCE, False),
            (self._words["legend_target"], _TARGET, True),
        ):
            if dashed and self._target is None:
                continue
            sample = [(x, y - 0.36 * size), (x + 2.4 * size, y - 0.36 * size)]
            for run in _dashes(sample, 0.6 * size) if dashed else [sample]:
                _line(image, run, ink, line)
            _words(image, text, (x + 2.9 * size, y), size, _WHITE)
            x += size * (width_of(text, False) + 5.0)


def _step(most: float) -> float:
    """A round step that gives two to five lines."""
    for step in (50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0):
        if most / step <= 5.0:
            return step
    return most / 4.0


def _line(image: Image, points: Sequence[tuple[float, float]], ink: Ink, wide: float) -> None:
    opencv().polylines(
        image, [_fixed(points)], False, ink, max(1, round(wide)), opencv().LINE_AA, _SHIFT
    )


def _words(image: Image, text: str, at: tuple[float, float], size: float, ink: Ink) -> None:
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


def _dashes(
    points: Sequence[tuple[float, float]], length: float
) -> list[list[tuple[float, float]]]:
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
