"""A row of buttons that gives way: what has no room waits in a menu at its end."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QHBoxLayout,
    QLayout,
    QMenu,
    QSpacerItem,
    QToolButton,
    QWidget,
)

_SPACING_PX = 2


@dataclass
class _Part:
    """One widget of the row, and when it makes room."""

    widget: QWidget
    gives: int  # 0 never; the largest first
    name: str  # in the menu; "" for what is only shown where it fits
    wanted: bool = True


@dataclass
class _Gap:
    """Room before the part of a number; it goes with that part."""

    spacer: QSpacerItem
    px: int
    before: int


class OverflowToolBar(QWidget):
    """Widgets in a row, as many as fit, the least important last; those alike go together.

    The narrowest the row asks for is what never gives way; so it does not hold the window open.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._parts: list[_Part] = []
        self._gaps: list[_Gap] = []
        self.row = QHBoxLayout(self)
        self.row.setContentsMargins(8, 2, 8, 2)
        self.row.setSpacing(_SPACING_PX)
        self.row.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        self._more = QToolButton()
        self._more.setText("⋯")
        self._more.setProperty("role", "more")
        self._more.setToolTip("What has no room here.")
        self._more.setAccessibleName("More of this row")
        self._more.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self._more)
        menu.aboutToShow.connect(self._fill)
        self._more.setMenu(menu)
        self.row.addWidget(self._more)
        self._more.hide()

    def put(self, widget: QWidget, gives: int = 0, name: str = "", stretch: int = 0) -> None:
        """Add a widget; the larger `gives`, the sooner it makes room, 0 never.

        `name` is what the menu calls a button that has made room.
        """
        self._parts.append(_Part(widget, gives, name))
        self.row.insertWidget(self._end(), widget, stretch)

    def gap(self, px: int = 8) -> None:
        """Leave a gap, so that what belongs together stands together."""
        spacer = QSpacerItem(px, 0)
        self._gaps.append(_Gap(spacer, px, len(self._parts)))
        self.row.insertItem(self._end(), spacer)

    def stretch(self) -> None:
        """Leave what room there is."""
        self.row.insertStretch(self._end(), 1)

    def want(self, widget: QWidget, wanted: bool) -> None:
        """Show a widget where it fits, or do not show it at all."""
        for part in self._parts:
            if part.widget is widget and part.wanted != wanted:
                part.wanted = wanted
                self._fit()
                self.updateGeometry()

    @property
    def given_way(self) -> tuple[str, ...]:
        """The names of what waits in the menu."""
        return tuple(part.name for part in self._parts if part.name and self._waits(part))

    def minimumSizeHint(self) -> QSize:
        """Room for what never gives way, and for the menu."""
        stays = [part for part in self._parts if part.wanted and part.gives == 0]
        more = any(part.wanted and part.name for part in self._parts if part.gives)
        return QSize(self._width_of(stays, more), super().sizeHint().height())

    def sizeHint(self) -> QSize:
        """Room for everything."""
        wanted = [part for part in self._parts if part.wanted]
        return QSize(self._width_of(wanted, False), super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give way at the new width."""
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """A larger font needs more room."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            if self.isVisible():  # one that is not yet seen gives way when it is shown
                self._fit()
            self.updateGeometry()

    def event(self, event: QEvent) -> bool:
        """The words of a button, or its font, have changed."""
        if event.type() in (QEvent.Type.LayoutRequest, QEvent.Type.Show):
            self._fit()
        return super().event(event)

    def _end(self) -> int:
        return self.row.count() - 1  # the menu's button stays at the end

    def _waits(self, part: _Part) -> bool:
        return part.wanted and part.widget.isHidden()

    def _width_of(self, parts: list[_Part], more: bool) -> int:
        margins = self.row.contentsMargins()
        widths = [_width(part.widget) for part in parts]
        if more:
            widths.append(_width(self._more))
        between = _SPACING_PX * max(0, len(widths) - 1)
        gaps = sum(gap.px for gap in self._gaps if self._stands(gap, parts))
        # Each item of the row has its space, also one that has no width.
        gaps += _SPACING_PX * (len(self._gaps) + 1)
        return sum(widths) + between + gaps + margins.left() + margins.right()

    def _stands(self, gap: _Gap, shown: list[_Part]) -> bool:
        return gap.before >= len(self._parts) or self._parts[gap.before] in shown

    def _fit(self) -> None:
        shown = [part for part in self._parts if part.wanted]
        for gives in sorted({part.gives for part in shown if part.gives}, reverse=True):
            if self._width_of(shown, self._any_named(shown)) <= self.width():
                break
            shown = [part for part in shown if part.gives != gives]
        for part in self._parts:
            hidden = part not in shown
            if part.widget.isHidden() != hidden:
                part.widget.setVisible(not hidden)
        for gap in self._gaps:
            wide = gap.px if self._stands(gap, shown) else 0
            if gap.spacer.sizeHint().width() != wide:
                gap.spacer.changeSize(wide, 0)
                self.row.invalidate()
        more = self._any_named(shown)
        if self._more.isHidden() == more:
            self._more.setVisible(more)

    def _any_named(self, shown: list[_Part]) -> bool:
        return any(part.name for part in self._parts if part.wanted and part not in shown)

    def _fill(self) -> None:
        menu = self._more.menu()
        menu.clear()
        for part in self._parts:
            button = part.widget
            if not (part.name and self._waits(part) and isinstance(button, QAbstractButton)):
                continue
            if isinstance(button, QToolButton) and button.menu() is not None:
                menu.addMenu(button.menu()).setText(part.name)
                continue
            action = menu.addAction(part.name)
            action.setToolTip(button.toolTip())
            action.setEnabled(button.isEnabled())
            action.setCheckable(button.isCheckable())
            action.setChecked(button.isChecked())
            action.triggered.connect(button.click)


def _width(widget: QWidget) -> int:
    hint = widget.sizeHint().width()
    return max(min(hint, widget.maximumWidth()), widget.minimumWidth())
