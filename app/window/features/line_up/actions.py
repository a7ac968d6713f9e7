"""The actions of the line-up."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.features.line_up.line_up import LineUp
from app.window.features.line_up.shown_line_up import ShownLineUp

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "line_up",
        "Mark this catch for the line-up",
        "Line-up",
        ("L",),
        "Step to a catch in the picture, press, then click the same catch on the trace.",
        lambda c: c[LineUp].mark(),
        needs="recordings",
        in_bar="Line up",
    ),
    ActionRow(
        "auto_line_up",
        "Line up automatically",
        "Line-up",
        ("Ctrl+L",),
        "Find how footage and force lie to each other from what both show of the strokes.",
        lambda c: c[AutoLineUp].run(),
        needs="force",
    ),
    ActionRow(
        "check_line_up",
        "Check the line-up",
        "Line-up",
        (),
        "Hold the line-up there is against what picture and sound show; nothing is changed.",
        lambda c: c[AutoLineUp].check(),
        needs="force",
    ),
    ActionRow(
        "next_candidate",
        "Next candidate of the line-up",
        "Line-up",
        ("J",),
        "Where several strokes fit, lay the trace as the next likely line-up has it.",
        lambda c: c[AutoLineUp].next_candidate(),
        needs="force",
    ),
    ActionRow(
        "show_line_up",
        "Show the line-up",
        "Line-up",
        ("Shift+L",),
        "See five catches and the two signals over each other; nudge and lock.",
        lambda c: c[ShownLineUp].show(),
        needs="force",
    ),
    ActionRow(
        "nudge_earlier",
        "Trace one frame earlier",
        "Line-up",
        ("[",),
        "Move the trace one frame earlier under the footage.",
        lambda c: c[AutoLineUp].nudge_frame(-1),
        needs="force",
    ),
    ActionRow(
        "nudge_later",
        "Trace one frame later",
        "Line-up",
        ("]",),
        "Move the trace one frame later under the footage.",
        lambda c: c[AutoLineUp].nudge_frame(1),
        needs="force",
    ),
    ActionRow(
        "nudge_sample_earlier",
        "Trace one sample earlier",
        "Line-up",
        ("Shift+[", "{"),
        "Move the trace one sample earlier under the footage.",
        lambda c: c[AutoLineUp].nudge_sample(-1),
        needs="force",
    ),
    ActionRow(
        "nudge_sample_later",
        "Trace one sample later",
        "Line-up",
        ("Shift+]", "}"),
        "Move the trace one sample later under the footage.",
        lambda c: c[AutoLineUp].nudge_sample(1),
        needs="force",
    ),
    ActionRow(
        "lock_line_up",
        "Lock the line-up",
        "Line-up",
        (),
        "Say that you have looked and that it is right.",
        lambda c: c[AutoLineUp].lock(),
        needs="force",
    ),
    ActionRow(
        "clear_line_up",
        "Clear the line-up",
        "Line-up",
        (),
        "Forget the pairs; both recordings count from their own start again.",
        lambda c: c[LineUp].clear(),
        needs="review",
    ),
    ActionRow(
        "by_itself",
        "Line up new submissions automatically",
        "Settings",
        (),
        "Switch whether a new submission is lined up on opening.",
        lambda c: c[AutoLineUp].toggle_by_itself(),
    ),
)
