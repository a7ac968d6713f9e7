"""The force curves as pictures: mean and spread, the typical stroke, the target over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from analysis.force.curves import PERCENT, Axis, CurveSet
from analysis.force.trace import FloatArray
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.review.parts.curve_marks import CurveMark
from app.scene import colours, raster, svg
from app.scene.curve_marks import highest
from app.scene.figure import Figure, Moment, drive_ticks, lay_out
from app.scene.force_curve import Band, Curve, over_drive
from app.scene.night import with_night

# Sized so that a phone shows the letters at their full size.
SIZE: Final = (331.0, 310.0)
LETTER: Final = 11.0
_PIXELS_A_POINT: Final = 3.0


def draw_curves(
    curves: CurveSet | None,
    target_n: FloatArray | None,
    axis: Axis,
    png: Path,
    svg_path: Path,
    words: Words,
    marks: Sequence[CurveMark] = (),
    moments: Sequence[Moment] = (),
) -> None:
    """Draw one set of curves as PNG and SVG; the same curves give the same bytes.

    Parameters
    ----------
    curves : the athlete's curves, or None to draw the target alone
    target_n : (101,) N, or None
    marks : what the coach drew on every stroke
    moments : of notes about the body, on the mean
    """
    lines: list[Curve] = []
    band, tops = None, [1.0, highest(marks)]
    if curves is not None:
        low, high = curves.mean - curves.sd, curves.mean + curves.sd
        if len(curves.stroke_indices) > 1:
            band = Band(PERCENT.astype(float), low, high, words["legend_spread"])
        typical = curves.rows[curves.stroke_indices.index(curves.typical)]
        lines = [
            over_drive("lead mean", curves.mean, words["legend_mean"]),
            over_drive("typical", typical, words["legend_typical"]),
        ]
        tops += [float(high.max()), float(typical.max())]
    if target_n is not None:
        lines.insert(1, over_drive("target", target_n, words["legend_target"]))
        tops.append(float(target_n.max()))
    figure = Figure(
        SIZE, LETTER, lines, (0.0, 100.0), (0.0, 1.08 * max(tops)),
        drive_ticks(words["catch"], words["finish"]),
        x_words=words["x_length" if axis == "length" else "x_time"], y_words=words["y_force"],
        band=band, marks=cleaned(marks), decimal=words["decimal"],
        moments=moments if curves is not None else (),
    )  # fmt: skip
    write_figure(figure, png, svg_path)


def cleaned(marks: Sequence[CurveMark]) -> list[CurveMark]:
    """Marks whose words are one clean line."""
    return [replace(mark, text=one_line(mark.text)) for mark in marks]


def write_figure(figure: Figure, png: Path, svg_path: Path) -> None:
    """Write a figure as PNG and as SVG that follows the reader's light or dark setting.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    drawing = lay_out(figure, raster.measure).drawing
    width_px = round(drawing.width * _PIXELS_A_POINT)
    png.write_bytes(raster.png(raster.picture(drawing, colours.LIGHT, width_px, _PIXELS_A_POINT)))
    text = svg.document(drawing, colours.LIGHT, outlined=True)
    svg_path.write_text(with_night(text), "utf-8", newline="")
