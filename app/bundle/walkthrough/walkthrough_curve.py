"""The force curve under the picture of a walkthrough, with a cursor at the moment shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from analysis.force.piece import PieceAnalysis
from analysis.force.target import TargetCurve, sample_target
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke
from app.bundle.page.sketch import highest_drawn
from app.bundle.walkthrough.walkthrough_ink import (
    CURSOR,
    FORCE,
    GROUND,
    TARGET,
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
from app.media.planes import Planes, from_rgb
from app.review.parts.curve_marks import CurveMark, on_curve
from app.review.parts.marks import CASING, MARK_COLOURS
from app.scene.lettering import width_of
from app.scene.signs import drawable
from app.submission.shown_signals import ShownSignal, known_runs

_BEFORE: Final = 0.06  # of the stroke's time is shown before its catch
_SAMPLES: Final = 600
# Of the signals: Okabe-Ito, each over 5 : 1 on the ground; the dashes differ as well.
_INKS: Final[tuple[Ink, ...]] = ((204, 121, 167), (240, 228, 66), (255, 140, 74))
_DASHES: Final = (5.0, 2.0, 9.0, 3.5)  # widths of the line
_HIGH: Final = 0.9  # of the panel is as high as a signal goes
_SHADE: Final = 0.3  # how much of a shaded stretch is its colour


class CurvePanel:
    """The curve of the stroke a moment lies in. Its still part is painted once a stroke.

    Parameters
    ----------
    width, height : pixels, both even
    target : drawn where it is by time
    matrix : of the film's planes
    marks : what the coach drew on the curve; those by time are drawn, on their strokes
    signals : drawn with the force, each as high as it reaches in the whole recording
    """

    def __init__(
        self,
        width: int,
        height: int,
        piece: PieceAnalysis,
        target: TargetCurve | None,
        words: Words,
        matrix: int,
        marks: Sequence[CurveMark] = (),
        signals: Sequence[ShownSignal] = (),
    ) -> None:
        self.width, self.height = width, height
        self._piece = piece
        self._target = target if target is not None and target.axis == "time" else None
        self._words = words
        self._matrix = matrix
        self._most_n = max(1.0, 1.1 * float(np.max(piece.trace.force_n, initial=0.0)))
        if self._target is not None:
            self._most_n = max(self._most_n, 1.1 * float(sample_target(self._target).max()))
        self._marks = tuple(m for m in marks if m.axis == "time")
        self._most_n = max(self._most_n, 1.1 * highest_drawn(self._marks))
        self._signals = signals
        self._painted: tuple[int, Planes, Box] | None = None

    def look(self, trace_s: float) -> object:
        """What the panel shows of a moment; two that are equal look alike."""
        stroke = self._stroke(trace_s)
        return self.cursor_px(trace_s), -1 if stroke is None else stroke.index

    def cursor_px(self, trace_s: float) -> int:
        """The column the cursor stands in."""
        _still, box = self._still(self._stroke(trace_s))
        return round(min(max(box.x(trace_s), box.left), box.right) / 2) * 2

    def at(self, trace_s: float) -> Planes:
        """The panel of a moment, seconds of the trace."""
        still, box = self._still(self._stroke(trace_s))
        return draw_cursor(still, box, self.cursor_px(trace_s), CURSOR, self._matrix)

    def _stroke(self, trace_s: float) -> Stroke | None:
        """The stroke of a moment, its recovery included; the nearest one outside of all."""
        strokes = self._piece.strokes
        begun = [s for s in strokes if s.catch_s <= trace_s]
        if begun:
            return begun[-1]
        return strokes[0] if strokes else None

    def _still(self, stroke: Stroke | None) -> tuple[Planes, Box]:
        index = -1 if stroke is None else stroke.index
        if self._painted is None or self._painted[0] != index:
            image, box = self._paint(stroke)
            self._painted = (index, from_rgb(image, self._matrix), box)
        return self._painted[1], self._painted[2]

    def _paint(self, stroke: Stroke | None) -> tuple[Image, Box]:
        image = np.full((self.height, self.width, 3), GROUND, np.uint8)
        size = max(9.0, self.height * 0.1)
        time_s = self._piece.trace.time_s
        from_s, to_s = float(time_s[0]), float(time_s[-1])
        if stroke is not None:
            to_s = stroke.next_catch_s or stroke.finish_s + (stroke.finish_s - stroke.catch_s)
            from_s = stroke.catch_s - _BEFORE * (to_s - stroke.catch_s)
        margin = 0.02 * self.width
        left = margin + size * (width_of(f"{self._most_n:.0f} N", bold=False) + 0.6)
        box = Box(
            left, self.width - margin, 2.2 * size, self.height - 1.9 * size,
            from_s, max(to_s, from_s + 1e-3), self._most_n,
        )  # fmt: skip
        line = max(1.5, self.height / 110)
        marks = () if stroke is None else on_curve(self._marks, "time", stroke.index)
        if stroke is not None:
            for mark in (m for m in marks if m.kind == "span"):
                _shade(image, box, stroke, mark)
        self._axes(image, box, stroke, size)
        at_s = np.linspace(box.first, box.last, _SAMPLES)
        at_s = at_s[(at_s >= time_s[0]) & (at_s <= time_s[-1])]
        for s in self._signals:
            _further(image, box, s, at_s, line)
        force_n = np.interp(at_s, time_s, self._piece.trace.force_n)
        draw_line(image, [(box.x(t), box.y(f)) for t, f in zip(at_s, force_n, strict=True)],
              FORCE, line)  # fmt: skip
        if stroke is not None and self._target is not None:
            goal_n = sample_target(self._target)
            moments = np.linspace(stroke.catch_s, stroke.finish_s, len(goal_n))
            points = [(box.x(t), box.y(f)) for t, f in zip(moments, goal_n, strict=True)]
            for run in dashes(points, 3.0 * line):
                draw_line(image, run, TARGET, line)
        if stroke is not None:
            for mark in marks:
                _drawn(image, box, stroke, mark, size)
        self._legend(image, box, stroke, size, line)
        return image, box

    def _axes(self, image: Image, box: Box, stroke: Stroke | None, size: float) -> None:
        draw_scale(image, box, size)
        if stroke is not None:
            for moment_s, word in ((stroke.catch_s, "catch"), (stroke.finish_s, "finish")):
                draw_moment(image, box, moment_s, self._words[word], size)

    def _legend(
        self, image: Image, box: Box, stroke: Stroke | None, size: float, line: float
    ) -> None:
        x, y = box.left, 1.5 * size
        if stroke is None:
            draw_words(image, self._words["walk_no_stroke"], (x, y), size, WHITE)
            return
        title = self._words["stroke"].format(number=stroke.index + 1)
        for text, ink, dashed in (
            (title[:1].upper() + title[1:], FORCE, False),
            (self._words["legend_target"], TARGET, True),
        ):
            if dashed and self._target is None:
                continue
            sample = [(x, y - 0.36 * size), (x + 2.4 * size, y - 0.36 * size)]
            for run in dashes(sample, 0.6 * size) if dashed else [sample]:
                draw_line(image, run, ink, line)
            draw_words(image, text, (x + 2.9 * size, y), size, WHITE)
            x += size * (width_of(text, False) + 5.0)
        for s in self._signals:
            sample = [(x, y - 0.36 * size), (x + 2.4 * size, y - 0.36 * size)]
            for run in dashes(sample, _dash(s, line)):
                draw_line(image, run, _ink(s), line)
            text = drawable(one_line(s.words))
            draw_words(image, text, (x + 2.9 * size, y), size, WHITE)
            x += size * (width_of(text, False) + 5.0)


def _further(image: Image, box: Box, s: ShownSignal, at_s: FloatArray, line: float) -> None:
    """Draw a signal as high as it reaches, its holes open."""
    shares = s.share(s.signal.at(at_s))
    for known in known_runs(shares):
        points = [
            (box.x(float(t)), box.bottom - _HIGH * float(share) * (box.bottom - box.top))
            for t, share in zip(at_s[known], shares[known], strict=True)
        ]
        for run in dashes(points, _dash(s, line)):
            draw_line(image, run, _ink(s), 0.7 * line)


def _ink(s: ShownSignal) -> Ink:
    return _INKS[s.place % len(_INKS)]


def _dash(s: ShownSignal, line: float) -> float:
    """Each place has dashes of another length, pixels."""
    return _DASHES[s.place % len(_DASHES)] * line


def _x(box: Box, stroke: Stroke, percent: float) -> float:
    """Pixels across of a place on the drive."""
    return box.x(stroke.catch_s + percent / 100.0 * (stroke.finish_s - stroke.catch_s))


def _shade(image: Image, box: Box, stroke: Stroke, mark: CurveMark) -> None:
    """Tint a stretch of the drive, with a line at either end."""
    first, last = (_x(box, stroke, percent) for percent in mark.span_pct)
    area = image[round(box.top) : round(box.bottom), round(first) : max(round(last), 1)]
    ink = np.array(_rgb(MARK_COLOURS[mark.colour]), np.float32)
    area[:] = np.rint(area + _SHADE * (ink - area)).astype(np.uint8)
    for x in (first, last):
        draw_line(image, [(x, box.top), (x, box.bottom)], _rgb(MARK_COLOURS[mark.colour]), 1.5)


def _drawn(image: Image, box: Box, stroke: Stroke, mark: CurveMark, size: float) -> None:
    """Draw a line over the curve, and the words of either kind."""
    words = one_line(mark.text)
    wide = size * width_of(words, bold=False)
    first, last = mark.span_pct
    left, y = _x(box, stroke, 0.5 * (first + last)) - wide / 2, box.bottom - 0.4 * size
    if mark.kind == "line":
        points = [(_x(box, stroke, percent), box.y(force_n)) for percent, force_n in mark.points]
        bold = max(2.0, image.shape[0] / 80)
        draw_line(image, points, _rgb(CASING), 2.0 * bold)
        draw_line(image, points, _rgb(MARK_COLOURS[mark.colour]), bold)
        left, y = points[-1][0] + 0.8 * size, points[-1][1] + 0.36 * size
    if words:
        left = min(max(left, box.left), max(box.right - wide, box.left))
        y = min(max(y, box.top + size), box.bottom)
        edge = round(0.3 * size)
        rows = slice(max(round(y - size), 0), round(y) + edge)
        image[rows, max(round(left) - edge, 0) : round(left + wide) + edge] = _rgb(CASING)
        draw_words(image, words, (left, y), size, WHITE)


def _rgb(colour: str) -> Ink:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue
