"""The action of this time against last time."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.last_time.last_time_panel import LastTimePanel
from app.window.widgets.side_tabs import SideTabs


def _show(tabs: SideTabs, panel: LastTimePanel) -> None:
    tabs.show_tab(panel)
    tabs.setCurrentWidget(panel)


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "last_time",
        "This time against last time",
        "Two strokes",
        (),
        "See what the athlete was told last time, whether it changed, and the months before.",
        lambda c: _show(c[SideTabs], c[LastTimePanel]),
        needs="review",
        also=(
            "progress follow up history changed earlier before previous month statistics "
            "trend compare"
        ),
    ),
)
