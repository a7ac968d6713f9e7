"""The actions of drawing on the force curve."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.annotations.curve_drawing import CurveDrawing

CURVE: tuple[ActionRow, ...] = (
    ActionRow(
        "curve_draw",
        "Draw on the curve",
        "On the curve",
        (),
        "Draw on the force curve with the last tool, or stop.",
        lambda c: c[CurveDrawing].toggle(),
        needs="force",
        also="annotate graph",
        is_on=lambda c: c[CurveDrawing].is_on,
    ),
    ActionRow(
        "curve_line",
        "Line on the curve",
        "On the curve",
        (),
        "Draw the line as the curve should run.",
        lambda c: c[CurveDrawing].use("line"),
        needs="force",
    ),
    ActionRow(
        "curve_span",
        "Shade a stretch of the curve",
        "On the curve",
        (),
        "Drag over the stretch of the drive to shade.",
        lambda c: c[CurveDrawing].use("span"),
        needs="force",
    ),
    ActionRow(
        "curve_choose",
        "Choose and move marks on the curve",
        "On the curve",
        (),
        "Click a mark on the curve; drag it whole, or by a handle.",
        lambda c: c[CurveDrawing].use("choose"),
        needs="force",
    ),
    ActionRow(
        "curve_next",
        "Next mark on the curve",
        "On the curve",
        (),
        "Select the next mark of this curve, to word, colour or delete it with keys.",
        lambda c: c[CurveDrawing].choose_next(),
        needs="force",
    ),
    ActionRow(
        "curve_shade_here",
        "Shade from here to there",
        "On the curve",
        (),
        "Begin a shaded stretch at the playhead; press it again where it ends.",
        lambda c: c[CurveDrawing].shade_here(),
        needs="force",
    ),
    ActionRow(
        "curve_words",
        "Words on the curve",
        "On the curve",
        (),
        "Type words for the selected mark; a double click on a mark does the same.",
        lambda c: c[CurveDrawing].ask_words(),
        needs="force",
    ),
    ActionRow(
        "curve_every",
        "Show the mark on every stroke",
        "On the curve",
        (),
        "Show the selected mark on every stroke and their mean; again for this stroke only.",
        lambda c: c[CurveDrawing].every_stroke(),
        needs="force",
    ),
    ActionRow(
        "curve_delete",
        "Delete the mark on the curve",
        "On the curve",
        (),
        "Take the selected mark away; while drawing on the curve, Delete alone does the same.",
        lambda c: c[CurveDrawing].delete(),
        needs="force",
    ),
)
