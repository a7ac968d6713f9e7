"""The force curve under the picture of a walkthrough, with a cursor at the moment shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import Final

import numpy as np

from analysis.force.piece import PieceAnalysis
from analysis.force.target import TargetCurve, sample_target
from analysis.measures.rowed_piece import RowedPiece
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke
from app.bundle.walkthrough.walkthrough_ink import CURSOR, PanelRoom, draw_cursor, painted
from app.bundle.wording.signal_words import NamedSignal
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.media.planes import Planes, from_rgb
from app.review.parts.curve_marks import CurveMark, on_curve
from app.scene import curve_marks, raster
from app.scene.curve_marks import CurveMarkLook, highest
from app.scene.force_curve import Curve, curve_shapes, signal_curve
from app.scene.plot import Pen, Plot, Scale, moment
from app.scene.shapes import Shape

_BEFORE: Final = 0.06  # of the stroke's time is shown before its catch
_SAMPLES: Final = 600
_OWN: Final = Pen(1.0)
_TARGET: Final = Pen(1.0, (6.0, 2.5))


class CurvePanel:
    """The curve of the stroke a moment lies in. Its still part is painted once a stroke.

    Parameters
    ----------
    width, height : pixels, both even
    target : drawn where it is by time
    matrix : of the film's planes
    marks : what the coach drew on the curve; those by time are drawn, on their strokes
    piece : of a film alone it has no force, and the signals are all there is
    signals : drawn with the force, each as high as it reaches in the whole recording
    """

    def __init__(
        self,
        width: int,
        height: int,
        piece: RowedPiece,
        target: TargetCurve | None,
        words: Words,
        matrix: int,
        marks: Sequence[CurveMark] = (),
        signals: Sequence[NamedSignal] = (),
    ) -> None:
        self.width, self.height = width, height
        self._piece = piece
        self._trace = piece.trace if isinstance(piece, PieceAnalysis) else None
        force_n = np.empty(0) if self._trace is None else self._trace.force_n
        self._target = target if target is not None and target.axis == "time" else None
        self._words = words
        self._matrix = matrix
        self._most_n = max(1.0, 1.1 * float(np.max(force_n, initial=0.0)))
        if self._target is not None:
            self._most_n = max(self._most_n, 1.1 * float(sample_target(self._target).max()))
        self._marks = tuple(
            replace(mark, text=one_line(mark.text))
            for mark in marks
            if mark.axis == "time" and self._trace is not None
        )
        self._most_n = max(self._most_n, 1.1 * highest(self._marks))
        self._signals = signals
        self._painted: tuple[int, Planes, Plot] | None = None

    def look(self, trace_s: float) -> object:
        """What the panel shows of a moment; two that are equal look alike."""
        stroke = self._stroke(trace_s)
        return self.cursor_px(trace_s), -1 if stroke is None else stroke.index

    def cursor_px(self, trace_s: float) -> int:
        """The column the cursor stands in."""
        _still, plot = self._still(self._stroke(trace_s))
        return round(min(max(plot.x.at(trace_s), plot.left), plot.right) / 2) * 2

    def at(self, trace_s: float) -> Planes:
        """The panel of a moment, seconds of the trace."""
        still, plot = self._still(self._stroke(trace_s))
        return draw_cursor(still, plot, self.cursor_px(trace_s), CURSOR, self._matrix)

    def _stroke(self, trace_s: float) -> Stroke | None:
        """The stroke of a moment, its recovery included; the nearest one outside of all."""
        strokes = self._piece.strokes
        begun = [s for s in strokes if s.catch_s <= trace_s]
        if begun:
            return begun[-1]
        return strokes[0] if strokes else None

    def _still(self, stroke: Stroke | None) -> tuple[Planes, Plot]:
        index = -1 if stroke is None else stroke.index
        if self._painted is None or self._painted[0] != index:
            shapes, plot = self._drawn(stroke)
            image = painted(self.width, self.height, shapes)
            self._painted = (index, from_rgb(image, self._matrix), plot)
        return self._painted[1], self._painted[2]

    def _drawn(self, stroke: Stroke | None) -> tuple[list[Shape], Plot]:
        """Everything but the cursor, and where it stands."""
        from_s, to_s = self._reach
        if stroke is not None:
            to_s = stroke.next_catch_s or stroke.finish_s + (stroke.finish_s - stroke.catch_s)
            from_s = stroke.catch_s - _BEFORE * (to_s - stroke.catch_s)
        along = (from_s, max(to_s, from_s + 1e-3))
        curves = self._curves(stroke, along)
        named = [] if stroke is None else [c.entry for c in curves if c.words]
        room = PanelRoom(self.width, self.height, along, self._most_n, named)
        lines = curve_shapes(curves[::-1], room.plot, room.line)
        if stroke is None:
            x, y = room.plot.left, 1.5 * room.size
            said = room.letters.text(x, y, self._words["walk_no_stroke"], ink="ink")
            return [*self._scale(room), *lines, said], room.plot
        drive = Scale(
            ((0.0, room.plot.x.at(stroke.catch_s)), (100.0, room.plot.x.at(stroke.finish_s)))
        )
        over_drive = replace(room.plot, x=drive)
        marks = on_curve(self._marks, "time", stroke.index)
        bold = max(2.0, self.height / 80)
        look = CurveMarkLook(bold, 2.0 * bold, room.size, 0.3, bold=False, rim=1.0)
        shapes = curve_marks.stretches(marks, over_drive, look)
        shapes += self._scale(room)
        names = ("hands_turn", "finish_turn") if self._trace is None else ("catch", "finish")
        for at_s, word in zip((stroke.catch_s, stroke.finish_s), names, strict=True):
            width = max(1.0, room.size / 12)
            shapes += moment(room.plot, at_s, self._words[word], room.letters, width, self.width)
        shapes += lines
        shapes += curve_marks.lines(marks, over_drive, look)
        shapes += curve_marks.words(marks, over_drive, look, raster.measure)
        return [*shapes, *room.named], room.plot

    def _curves(self, stroke: Stroke | None, along: tuple[float, float]) -> list[Curve]:
        """The lines in the order of the key."""
        first_s, last_s = self._reach
        at_s = np.linspace(*along, _SAMPLES)
        at_s = at_s[(at_s >= first_s) & (at_s <= last_s)]
        curves = self._force(stroke, at_s)
        for s, named in self._signals:
            shares, words = s.share(s.signal.at(at_s)), one_line(named)
            curves.append(signal_curve(at_s, shares, words, s.dashes, s.place, self._most_n))
        return curves

    @cached_property
    def _reach(self) -> tuple[float, float]:
        """First and last moment of which anything is known."""
        known = [s.signal.time_s for s, _words in self._signals]
        known = known if self._trace is None else [self._trace.time_s]
        ends = [(float(t[0]), float(t[-1])) for t in known if len(t)]
        strokes = self._piece.strokes
        if not ends:
            ends = [(strokes[0].catch_s, strokes[-1].finish_s)] if strokes else [(0.0, 1.0)]
        return min(first for first, _ in ends), max(last for _, last in ends)

    def _scale(self, room: PanelRoom) -> list[Shape]:
        """Newtons, where there is a force."""
        return [] if self._trace is None else room.scale()

    def _force(self, stroke: Stroke | None, at_s: FloatArray) -> list[Curve]:
        """The force and the target, where there is a force."""
        if self._trace is None:
            return []
        title = ""
        if stroke is not None:
            title = self._words["stroke"].format(number=stroke.index + 1)
        force_n = np.interp(at_s, self._trace.time_s, self._trace.force_n)
        curves = [Curve("own", at_s, force_n, title[:1].upper() + title[1:], _OWN)]
        if stroke is not None and self._target is not None:
            goal_n = sample_target(self._target)
            moments = np.linspace(stroke.catch_s, stroke.finish_s, len(goal_n))
            words = self._words["legend_target"]
            curves.append(Curve("target", moments, goal_n, words, _TARGET))
        return curves
