"""The actions of drawing on the picture."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.annotations.curve_drawing import CurveDrawing
from app.window.features.annotations.drawing import Drawing
from app.window.session.modes import Modes

# What a coach asks of a picture: the tools stand under the question each answers.
_WHERE, _HOW_MUCH = "Where?", "What angle? How far?"
_ASKS = {"angle": _HOW_MUCH, "plumb": _HOW_MUCH, "level": _HOW_MUCH, "distance": _HOW_MUCH}


def _tool(key: str, tool: str, title: str, help_text: str, also: str = "") -> ActionRow:
    return ActionRow(
        f"draw_{tool}",
        title,
        _ASKS.get(tool, _WHERE),
        (key,),
        help_text,
        lambda c: c[Drawing].use(tool),
        needs="footage",
        also=f"annotate {also}",
        is_on=lambda c: c[Drawing].is_on and c[Drawing].tool == tool,
    )


def _move(way: str, dx: int, dy: int) -> ActionRow:
    return ActionRow(
        f"mark_{way}",
        f"Move the mark {f'to the {way}' if dx else way}",
        "Selected mark",
        (),
        "Move the selected mark a little, on the curve or on the picture; again for more.",
        lambda c: (c[Drawing] if c[CurveDrawing].selected is None else c[CurveDrawing]).nudge(
            dx, dy
        ),
    )


DRAW: tuple[ActionRow, ...] = (
    ActionRow(
        "draw",
        "Draw on the picture",
        _WHERE,
        ("A",),
        "Start drawing with the last tool, or stop; the middle button moves the picture.",
        lambda c: c[Drawing].toggle(),
        needs="footage",
        in_bar="Draw",
        also="annotate pen pencil sketch",
        is_on=lambda c: c[Drawing].is_on,
    ),
    ActionRow(
        "draw_stop",
        "Leave the mode",
        "Changes",
        ("Esc",),
        "Drop what is half done; else leave the mode that is on. What was made stays.",
        lambda c: c[Modes].give_up_or_stop(),
        needs="drawing",
        also="escape cancel finish done",
    ),
    _tool("1", "line", "Line", "Drag a line."),
    _tool("2", "arrow", "Arrow", "Drag an arrow to its tip.", "point"),
    _tool("3", "freehand", "Freehand", "Draw what you like.", "pencil sketch pen"),
    _tool(
        "4",
        "circle",
        "Circle",
        "Drag from corner to corner of the circle's box.",
        "ellipse ring highlight",
    ),
    _tool(
        "5",
        "angle",
        "Angle",
        "Drag one arm towards the joint, then click the other arm's end.",
        "protractor degrees measure",
    ),
    _tool("6", "plumb", "Plumb line", "Drag a line that stays upright.", "vertical grid"),
    _tool("7", "level", "Level line", "Drag a line that stays level.", "horizontal grid"),
    _tool(
        "8",
        "text",
        "Words on the picture",
        "Click, type, Return; a double click rewords.",
        "label write type font",
    ),
    _tool(
        "9",
        "distance",
        "Distance",
        "Drag a distance; give one real length for all of them.",
        "ruler measure length scale calibrate",
    ),
    _tool(
        "P",
        "choose",
        "Choose and move marks",
        "Click a mark; drag it whole, or by a handle.",
        "select edit move",
    ),
    ActionRow(
        "mark_colour",
        "Next colour",
        "Selected mark",
        (),
        "Yellow, blue or red, for the selected mark and the next ones.",
        lambda c: c[Drawing].next_colour(),
        needs="footage",
        also="color red yellow blue thickness",
    ),
    ActionRow(
        "mark_copy",
        "Copy the mark to this frame",
        "Selected mark",
        (),
        "Draw the selected mark again on the frame on screen.",
        lambda c: c[Drawing].copy_here(),
        needs="footage",
    ),
    ActionRow(
        "mark_stroke",
        "Show the mark through its stroke",
        "Selected mark",
        (),
        "Show the selected mark through its stroke; again for one frame.",
        lambda c: c[Drawing].span_stroke(),
        needs="footage",
    ),
    ActionRow(
        "mark_to_here",
        "Show the mark to this frame",
        "Selected mark",
        (),
        "Show the selected mark from its own frame to the one on screen.",
        lambda c: c[Drawing].span_to_here(),
        needs="footage",
    ),
    _move("left", -1, 0),
    _move("right", 1, 0),
    _move("up", 0, -1),
    _move("down", 0, 1),
    ActionRow(
        "mark_delete",
        "Delete the mark",
        "Selected mark",
        (),
        "Take the selected mark away; while drawing, Delete alone does the same.",
        lambda c: c[Drawing].delete(),
        needs="footage",
        also="erase remove rubber clear",
    ),
    ActionRow(
        "forget_scale",
        "Remove the scale",
        "Selected mark",
        (),
        "Show distances in pixels again.",
        lambda c: c[Drawing].forget_scale(),
        needs="footage",
    ),
)
