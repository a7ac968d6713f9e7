"""The tabs beside the picture; each says how much there is in it."""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QTabWidget, QWidget

_SMALLER = 0.92  # so that the names with their counts fit side by side


class SideTabs(QTabWidget):
    """Tabs with a count behind their names, and closer together where there is little room."""

    def __init__(self) -> None:
        super().__init__()
        self.setDocumentMode(True)
        font = self.tabBar().font()
        font.setPointSizeF(_SMALLER * font.pointSizeF())
        self.tabBar().setFont(font)
        self.tabBar().setProperty("tight", False)
        self._names: dict[QWidget, str] = {}
        self._counts: dict[QWidget, int] = {}

    def add(self, widget: QWidget, name: str) -> None:
        """Add a tab."""
        self._names[widget] = name
        self.addTab(widget, name)
        self._fit()

    def count_in(self, widget: QWidget, count: int) -> None:
        """Say how much a tab holds."""
        self._counts[widget] = count
        self._fit()

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

    def show_first(self) -> None:
        """Bring the first of the tabs that are there to the front."""
        for place in range(self.count()):
            if self.isTabVisible(place):
                self.setCurrentIndex(place)
                return

    def show_tab(self, widget: QWidget, shown: bool = True) -> None:
        """Let a tab be there, or not."""
        self.setTabVisible(self.indexOf(widget), shown)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave the counts out where the names alone have room."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Show every name whole: the counts go first, into the tips, then some of the room."""
        self._write(counted=True)
        if self.tabBar().sizeHint().width() > self.width():
            self._write(counted=False)

    def _write(self, *, counted: bool) -> None:
        bar = self.tabBar()
        if bar.property("tight") is counted:
            bar.setProperty("tight", not counted)
            bar.style().unpolish(bar)
            bar.style().polish(bar)
        for widget, name in self._names.items():
            count = self._counts.get(widget, 0)
            whole = f"{name} {count}" if count else name
            self.setTabText(self.indexOf(widget), whole if counted else name)
            self.setTabToolTip(self.indexOf(widget), whole)
