"""What the window asks of a feature, and where a feature may stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import ClassVar

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMainWindow, QStackedWidget, QWidget

from app.window.actions.action_row import ActionRow
from app.window.actions.context import ActionContext
from app.window.views.stage import Stage
from app.window.views.stroke_panel import StrokePanel
from app.window.widgets.side_tabs import SideTabs


@dataclass
class Places:
    """Where features put what is seen of them; the window lays it out afterwards.

    Attributes
    ----------
    actions, bar_actions : the Qt actions, and their short-named twins, by name
    under_picture, under_curve, under_tabs, over_trace : from the top down
    tab_order : who gets the keys one after another with Tab
    curves : one page is the stroke's curve; a feature may add others in its place
    """

    window: QMainWindow
    actions: Mapping[str, QAction]
    bar_actions: Mapping[str, QAction]
    stage: Stage
    stroke_panel: StrokePanel
    curves: QStackedWidget
    tabs: SideTabs
    under_picture: list[QWidget] = field(default_factory=list)
    under_curve: list[QWidget] = field(default_factory=list)
    under_tabs: list[QWidget] = field(default_factory=list)
    over_trace: list[QWidget] = field(default_factory=list)
    task_corner: list[QWidget] = field(default_factory=list)
    end_of_line: list[QWidget] = field(default_factory=list)
    tab_order: list[QWidget] = field(default_factory=list)


class Feature(QObject):
    """One thing a coach can do: its actions, its parts, and where they are seen.

    `__init__` makes its parts, with what it asks the context for, and offers those its own
    actions ask for. Features never ask for parts of each other: they meet in the rooms below.
    """

    actions: ClassVar[Sequence[ActionRow]] = ()

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context[QMainWindow])
        self.context = context

    def lay_out(self, places: Places) -> None:
        """Put what is seen of it into its places; the actions are there now."""

    def pause(self) -> None:
        """The coach wants to leave: keep what is under way, as a recording."""

    def close(self) -> None:
        """End everything that runs."""
