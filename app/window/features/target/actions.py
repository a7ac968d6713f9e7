"""The actions of the target."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow
from app.window.actions.context import ActionContext
from app.window.features.target.target_editor import TargetEditor
from app.window.session.review_session import ReviewSession


def _show_flywheel(c: ActionContext) -> None:
    from app.window.features.target.flywheel_dialog import FlywheelDialog

    FlywheelDialog(c[ReviewSession], c[QMainWindow]).show()


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "target_steady",
        "Target for steady rowing",
        "Target",
        ("T",),
        "A soft build-up, a plateau that reaches late, then a decline.",
        lambda c: c[TargetEditor].use_preset("steady"),
        needs="force",
        also="template ideal goal model plan",
    ),
    ActionRow(
        "target_race",
        "Target for racing",
        "Target",
        (),
        "A softer catch and a shorter plateau.",
        lambda c: c[TargetEditor].use_preset("racing"),
        needs="force",
        also="template ideal goal model",
    ),
    ActionRow(
        "target_draw",
        "Draw the target",
        "Target",
        ("D",),
        "Draw the curve to row towards with the mouse.",
        lambda c: c[TargetEditor].toggle_drawing(),
        needs="force",
        also="ideal goal model",
        is_on=lambda c: c[TargetEditor].is_drawing,
    ),
    ActionRow(
        "target_mend",
        "Mend the curve here",
        "Target",
        (),
        "The athlete's own mean as the target, bridged where the chosen finding is.",
        lambda c: c[TargetEditor].mend(),
        needs="force",
    ),
    ActionRow(
        "flywheel",
        "Flywheel …",
        "Target",
        (),
        "Say what is known of the flywheel; the table of the target is worked out with it.",
        lambda c: _show_flywheel(c),
        needs="review",
        also="drag machine resistance damper watts power",
    ),
    ActionRow(
        "target_remove",
        "Remove the target",
        "Target",
        (),
        "Remove the target curve.",
        lambda c: c[TargetEditor].remove(),
        needs="review",
        also="delete clear",
    ),
)
