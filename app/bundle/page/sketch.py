"""Small force curves drawn straight into the page, so that they cost no file and stay sharp."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.force.curves import PERCENT, stroke_curve
from analysis.force.target import sample_target
from analysis.force.trace import FloatArray
from analysis.signals.stroke import Stroke
from app.bundle.sources.recordings import Sources
from app.bundle.wording.text import one_line
from app.review.parts.curve_marks import CurveMark, on_curve
from app.scene import curve_marks, raster, svg
from app.scene.curve_marks import CurveMarkLook, highest
from app.scene.force_curve import Curve, curve_shapes, over_drive
from app.scene.plot import Plot, Scale
from app.scene.shapes import Circle, Point, Shape

WIDTH, HEIGHT = 320.0, 120.0
TOP = 8.0
_STEP = 2  # every second percent is enough for a line this small
# The page's style sheet decides what is drawn with which ink; words are wider on a phone.
_MARKS: Final = CurveMarkLook(line=2.6, casing=5.0, text=14.0, halo=3.0)
_COLOURS: Final = {"yellow": "yellow", "blue": "light-blue", "red": "red"}
_CLASSES: Final = {
    "target": "aim",
    "drawn words": "drawn-words",
    **{name: f"drawn {said}" for name, said in _COLOURS.items()},
    **{f"{name} shade": f"stretch {said}" for name, said in _COLOURS.items()},
    **{f"{name} edge": f"stretch-edge {said}" for name, said in _COLOURS.items()},
}


@dataclass(frozen=True)
class Sketch:
    """One stroke's curve with the mean and the target in a 320 x 120 box.

    Attributes
    ----------
    drawn : SVG elements, their words escaped
    has : roles of the curves that are drawn: "own", "mean", "target"
    moment : where the note stands on the drive, x and y in the box, or None outside the drive
    moment_pct : the same in percent of drive time
    peak_n, peak_pct : of the stroke itself
    mark_ink : the style sheet's name of the colour of the first mark, "" where there is none
    """

    drawn: str
    has: tuple[str, ...]
    moment: Point | None
    moment_pct: float | None
    peak_n: float
    peak_pct: float
    mark_ink: str = ""


def sketch_of(
    sources: Sources, stroke: Stroke, at_trace_s: float, marks: Sequence[CurveMark] = ()
) -> Sketch | None:
    """Draw a stroke by time; None where its drive has no length."""
    piece = sources.submission.around(stroke.index)
    drive_s = stroke.finish_s - stroke.catch_s
    if piece is None or not drive_s > 0.0:
        return None
    own = stroke_curve(piece.trace, stroke)
    curves = [] if piece.by_time is None else [over_drive("mean", piece.by_time.mean)]
    target = sources.target
    if target is not None and target.axis == "time":
        curves.append(over_drive("target", sample_target(target)))
    curves.append(over_drive("own", own))
    drawn = on_curve(marks, "time", stroke.index)
    plot = box(top_of(curves, drawn), Scale(((0.0, 0.0), (100.0, WIDTH))))
    pct = 100.0 * (at_trace_s - stroke.catch_s) / drive_s
    moment = None
    if 0.0 <= pct <= 100.0:
        moment = plot.x.at(pct), plot.y.at(float(np.interp(pct, PERCENT, own)))
    thinned = [replace(c, along=c.along[::_STEP], values=c.values[::_STEP]) for c in curves]
    return Sketch(
        drawn=elements(thinned, drawn, plot, moment),
        has=tuple(curve.role for curve in curves),
        moment=moment,
        moment_pct=None if moment is None else pct,
        peak_n=float(own.max()),
        peak_pct=float(PERCENT[int(own.argmax())]),
        mark_ink=ink_of(drawn),
    )


def top_of(curves: Sequence[Curve], marks: Sequence[CurveMark]) -> float:
    """The force at the upper end of a box that shows all of them, N."""
    return max(1.0, highest(marks), *(float(np.nanmax(curve.values)) for curve in curves))


def box(top_n: float, x: Scale) -> Plot:
    """The box of a sketch, up to a force."""
    up = Scale(((0.0, HEIGHT), (top_n, TOP)), clamps=True)
    return Plot(0.0, 0.0, WIDTH, HEIGHT, x, up)


def elements(
    curves: Sequence[Curve],
    marks: Sequence[CurveMark],
    plot: Plot,
    moment: Point | None,
    over_drive: Plot | None = None,
) -> str:
    """Write curves, what the coach drew on them, and the note's moment, as SVG elements.

    Parameters
    ----------
    over_drive : where percent of the drive stand, unless the plot spans just that
    """
    clean = [replace(mark, text=one_line(mark.text)) for mark in marks]
    percent = over_drive or plot
    shapes: list[Shape] = curve_marks.stretches(clean, percent, _MARKS)
    shapes += curve_shapes(curves, plot)
    shapes += curve_marks.lines(clean, percent, _MARKS)
    shapes += curve_marks.words(clean, percent, _MARKS, raster.measure)
    if moment is not None:
        shapes.append(Circle(*moment, 5.0, "dot"))
    return svg.elements(shapes, _CLASSES)


def ink_of(marks: Sequence[CurveMark]) -> str:
    """The style sheet's name of the first mark's colour."""
    return _COLOURS[marks[0].colour] if marks else ""


def crest_path(force_n: FloatArray) -> str:
    """Path data of a curve over the drive that fills the box."""
    plot = box(max(1.0, float(force_n.max())), Scale(((0.0, 0.0), (100.0, WIDTH))))
    return svg.path(plot.points(PERCENT[::_STEP].astype(float), force_n[::_STEP]))
