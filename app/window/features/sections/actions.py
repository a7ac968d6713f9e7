"""The actions of the sections."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.sections.section_cutting import SectionCutting

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "begin_section",
        "Begin a section here",
        "Signals and sections",
        (),
        "Cut the piece before the stroke at the playhead: steadiness and means are told of each "
        "section by itself.",
        lambda c: c[SectionCutting].begin_here(),
        needs="strokes",
        also="split divide interval segment part pyramid set",
    ),
    ActionRow(
        "name_section",
        "Name this section …",
        "Signals and sections",
        (),
        "Say what was rowed at the playhead: “10 easy”, “race pace”.",
        lambda c: c[SectionCutting].name_here(),
        needs="strokes",
        also="rename label title interval",
    ),
    ActionRow(
        "join_section",
        "Join this section with the one before",
        "Signals and sections",
        (),
        "Take away where the section at the playhead begins.",
        lambda c: c[SectionCutting].join_here(),
        needs="strokes",
        also="merge delete remove interval combine",
    ),
    ActionRow(
        "sections_as_found",
        "Sections as found",
        "Signals and sections",
        (),
        "Forget your own sections: the piece is cut by its rate and pressure again.",
        lambda c: c[SectionCutting].as_found(),
        needs="strokes",
        also="reset automatic interval",
    ),
)
