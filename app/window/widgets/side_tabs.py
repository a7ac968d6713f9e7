"""The tabs beside the picture; each says how much there is in it."""

from __future__ import annotations

from PySide6.QtWidgets import QTabWidget, QWidget

_SMALLER = 0.92  # so that five names with their counts fit side by side


class SideTabs(QTabWidget):
    """Tabs with a count behind their names."""

    def __init__(self) -> None:
        super().__init__()
        self.setDocumentMode(True)
        font = self.tabBar().font()
        font.setPointSizeF(_SMALLER * font.pointSizeF())
        self.tabBar().setFont(font)
        self._names: dict[QWidget, str] = {}

    def add(self, widget: QWidget, name: str) -> None:
        """Add a tab."""
        self._names[widget] = name
        self.addTab(widget, name)

    def count_in(self, widget: QWidget, count: int) -> None:
        """Say how much a tab holds."""
        name = self._names[widget]
        self.setTabText(self.indexOf(widget), f"{name} {count}" if count else name)

    @property
    def current_name(self) -> str:
        """The name of the tab in front, "" where there is none."""
        widget = self.currentWidget()
        return "" if widget is None else self._names.get(widget, "")

    def show_named(self, name: str) -> None:
        """Bring a tab to the front; one that is not there, or hidden, is passed over."""
        for widget, known in self._names.items():
            if known == name and self.isTabVisible(self.indexOf(widget)):
                self.setCurrentWidget(widget)

    def show_tab(self, widget: QWidget, shown: bool = True) -> None:
        """Let a tab be there, or not."""
        self.setTabVisible(self.indexOf(widget), shown)
