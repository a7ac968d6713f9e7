"""The action of choosing what is shown besides the force."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.signals.force_reading import ForceReading
from app.window.features.signals.signals import Signals

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "signals",
        "Signals …",
        "Signals and sections",
        (),
        "Choose what else of the force file, or of the body in the picture, stands on the trace "
        "and on the stroke's curve.",
        lambda c: c[Signals].choose(),
        needs="strokes",
        also=(
            "angles knee hip trunk elbow seat handle columns channels sensors extra further "
            "average power watts rhythm units speed"
        ),
    ),
    ActionRow(
        "keep_rest",
        "Force as it was recorded",
        "Signals and sections",
        (),
        "Leave in the force what the recorder reads while nobody pulls; otherwise it is taken off.",
        lambda c: c[ForceReading].toggle_rest(),
        needs="force",
        also="zero offset baseline rest tare raw",
        is_on=lambda c: c[ForceReading].keeps_rest,
    ),
)
