"""The actions of the stroke strip."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.stroke_strip.strips import Strips

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "strip",
        "Stroke strip",
        "Stroke strip",
        ("V",),
        "Lay the stroke out, frame by frame over its curve, in the picture's place.",
        lambda c: c[Strips].toggle(),
        needs="strokes",
        also="filmstrip sequence frames series storyboard snapshot",
        is_on=lambda c: c[Strips].is_shown,
    ),
    ActionRow(
        "save_strip",
        "Save the stroke strip",
        "Stroke strip",
        (),
        "Write the stroke strip as PNG and SVG beside the review.",
        lambda c: c[Strips].save(),
        needs="strokes",
        also="export image picture png print screenshot snapshot still",
    ),
)
