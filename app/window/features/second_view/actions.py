"""The action of the second view."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.second_view.second_view import SecondView

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "second_view",
        "Second view",
        "View",
        (),
        "Show the second camera's film at the same moment: in the corner, larger, away.",
        lambda c: c[SecondView].change(),
        needs="footage",
        also="angle camera front other side inset beside picture two picture-in-picture",
        is_on=lambda c: c[SecondView].is_shown,
    ),
    ActionRow(
        "swap_views",
        "Swap the views",
        "View",
        (),
        "Show the second camera's film large and the first one in the corner, or back.",
        lambda c: c[SecondView].swap(),
        needs="footage",
        also="exchange angle camera main large other side second",
        is_on=lambda c: c[SecondView].is_swapped,
    ),
)
