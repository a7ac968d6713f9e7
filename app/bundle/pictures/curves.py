"""The force curves as pictures: mean and spread, the typical stroke, the target over them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from analysis.force.curves import PERCENT, Axis, CurveSet
from analysis.force.trace import FloatArray
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import CASING, MARK_COLOURS
from app.scene import colours
from app.scene.night import with_night
from app.scene.signs import drawable, families_for

# Sized so that a phone shows the letters at their full size: 4.6 in are 331 points wide.
SIZE_IN = (4.6, 4.3)
_DPI = 220
STYLE: dict[str, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 11,
    "svg.fonttype": "path",
    "svg.hashsalt": "strokeside",
    "path.simplify": False,
    "axes.edgecolor": colours.INK,
    "axes.labelcolor": colours.INK,
    "text.color": colours.INK,
    "xtick.color": colours.INK,
    "ytick.color": colours.INK,
}


def draw_curves(
    curves: CurveSet | None,
    target_n: FloatArray | None,
    axis: Axis,
    png: Path,
    svg: Path,
    words: Words,
    marks: Sequence[CurveMark] = (),
) -> None:
    """Draw one set of curves as PNG and SVG; the same curves give the same bytes.

    Parameters
    ----------
    curves : the athlete's curves, or None to draw the target alone
    target_n : (101,) N, or None
    marks : what the coach drew on every stroke
    """
    import matplotlib.style
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with matplotlib.style.context(["default", STYLE]):
        figure = Figure(figsize=SIZE_IN, dpi=_DPI, layout="constrained")
        FigureCanvasAgg(figure)
        plot = figure.add_subplot()
        top_n = max(_lines(plot, curves, target_n, words), _marks(plot, marks))
        _frame(plot, top_n, axis, words)
        figure.legend(
            loc="outside lower center", ncols=2, frameon=False, handlelength=3.2, fontsize=10.5
        )
        # Neither the date nor the program's name goes into the files.
        figure.savefig(png, format="png", metadata={"Software": None})
        figure.savefig(
            svg,
            format="svg",
            metadata={"Date": None, "Creator": None, "Format": None, "Type": None},
        )
    svg.write_text(with_night(svg.read_text("utf-8")), "utf-8", newline="")


def _lines(plot: Any, curves: CurveSet | None, target_n: FloatArray | None, words: Words) -> float:
    """Draw the curves, each told apart by its line and its label; return the highest force."""
    tops = [1.0]
    if curves is not None:
        low, high = curves.mean - curves.sd, curves.mean + curves.sd
        if len(curves.stroke_indices) > 1:
            plot.fill_between(
                PERCENT, low, high, color=colours.BAND, linewidth=0, label=words["legend_spread"]
            )
        typical = curves.rows[curves.stroke_indices.index(curves.typical)]
        plot.plot(
            PERCENT,
            typical,
            color=colours.BLACK,
            linewidth=1.1,
            linestyle=(0, (1, 1.6)),
            zorder=3,
            label=words["legend_typical"],
        )
        plot.plot(
            PERCENT,
            curves.mean,
            color=colours.BLUE,
            linewidth=2.8,
            solid_capstyle="round",
            label=words["legend_mean"],
        )
        tops += [float(high.max()), float(typical.max())]
    if target_n is not None:
        plot.plot(
            PERCENT,
            target_n,
            color=colours.BLACK,
            linewidth=2.2,
            linestyle=(0, (5, 2.2)),
            label=words["legend_target"],
        )
        tops.append(float(target_n.max()))
    return max(tops)


def _marks(plot: Any, marks: Sequence[CurveMark]) -> float:
    """Draw what the coach drew; return the highest force of it, N."""
    from matplotlib.patheffects import withStroke

    top_n = 0.0
    for mark in marks:
        colour = MARK_COLOURS[mark.colour]
        first, last = mark.span_pct
        if mark.kind == "span":
            plot.axvspan(first, last, facecolor=colour, alpha=0.28, linewidth=0, zorder=0.5)
            for at in (first, last):
                plot.axvline(at, color=colour, linewidth=1.6, zorder=1)
            place, how = (0.5 * (first + last), 0.03), plot.get_xaxis_transform()
        else:
            percent, force_n = zip(*mark.points, strict=True)
            casing = [withStroke(linewidth=4.2, foreground=CASING)]
            plot.plot(percent, force_n, color=colour, linewidth=2.2, zorder=6, path_effects=casing)
            place, how = mark.points[-1], plot.transData
            top_n = max(top_n, *force_n)
        if mark.text:
            text = drawable(one_line(mark.text))
            plot.text(
                *place, text.replace("$", r"\$"), transform=how, ha=_side(place[0]),
                va="bottom", weight="bold", family=list(families_for(text)), zorder=7,
                path_effects=[withStroke(linewidth=3, foreground=colours.PAPER)],
            )  # fmt: skip
    return top_n


def _side(percent: float) -> str:
    """By which end words stand, so that they stay within the plot."""
    return "left" if percent < 25.0 else "right" if percent > 75.0 else "center"


def _frame(plot: Any, top_n: float, axis: Axis, words: Words) -> None:
    plot.set_xlim(0, 100)
    plot.set_ylim(0, top_n * 1.08)
    plot.set_xticks(
        [0, 25, 50, 75, 100],
        [f"0\n{words['catch']}", "25", "50", "75", f"100\n{words['finish']}"],
    )
    plot.set_xlabel(words["x_length" if axis == "length" else "x_time"])
    plot.set_ylabel(words["y_force"])
    plot.locator_params(axis="y", nbins=6)
    plot.grid(axis="y", color=colours.RULE, linewidth=0.8)
    plot.set_axisbelow(True)
    plot.tick_params(length=0, pad=6)
    for side in ("top", "right", "left"):
        plot.spines[side].set_visible(False)
