"""The action of choosing what is shown besides the force."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.signals.signals import Signals

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "signals",
        "Signals …",
        "Signals",
        (),
        "Choose what else of the force file stands on the trace and on the stroke's curve.",
        lambda c: c[Signals].choose(),
        needs="force",
        also="columns channels sensors extra further",
    ),
)
