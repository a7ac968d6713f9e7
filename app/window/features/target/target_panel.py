"""The buttons of the target and what it would change."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QCheckBox, QGridLayout, QLabel, QToolButton, QWidget

from analysis.force.target import (
    TargetCurve,
    TargetMeasures,
    compare_target,
)
from app.window.features.target.target_editor import TargetEditor
from app.window.session.review_session import ReviewSession
from app.window.views.stroke_panel import StrokeView
from app.window.widgets.overflow_tool_bar import OverflowToolBar

if TYPE_CHECKING:
    from analysis.force.flywheel import WhatWouldChange


LOW_LINES = 25  # what curve and panel share, in lines of text: below it the curve needs it all


class TargetPanel(QWidget):
    """The buttons of the target and a small table of what would change.

    Under a curve with little height what a flywheel would do gives way, and is a tool tip then.
    """

    ROWS = ("Peak", "Build-up", "Plateau", "Mean-to-peak")
    WHEEL_ROWS = ("Drive time", "Handle speed", "Peak power", "Speed variation")

    def __init__(
        self,
        editor: TargetEditor,
        session: ReviewSession,
        view: StrokeView,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._view = view
        heading = QLabel("Target")
        heading.setProperty("role", "heading")
        self._buttons = buttons = OverflowToolBar()
        buttons.row.setContentsMargins(0, 0, 0, 0)
        buttons.put(heading, stretch=1)
        self._draw = _button("Draw", editor.toggle_drawing)
        self._draw.setCheckable(True)
        self._remove = _button("Remove", editor.remove)
        steady = _button("Steady", lambda: editor.use_preset("steady"))
        race = _button("Race", lambda: editor.use_preset("racing"))
        mend = _button("Mend", editor.mend)
        self._begin = (steady, race, mend, self._draw)
        for button, gives, help_text in (
            (steady, 0, "A target for steady rowing.\nKey: T"),
            (race, 2, "A target for racing."),
            (mend, 3, "Mend the curve where the chosen finding is."),
            (self._draw, 1, "Draw the target with the mouse.\nKey: D"),
            (self._remove, 4, "Remove the target."),
        ):
            button.setToolTip(help_text)
            button.setAccessibleName(help_text.split(".")[0])
            buttons.put(button, gives, button.text())
        self._hold = QCheckBox("Keep the athlete's own impulse")
        self._hold.setToolTip(
            "The level follows the shape, so that the target asks for another stroke, not for a"
            " stronger athlete."
        )
        self._hold.clicked.connect(editor.hold)
        grid = self._grid = QGridLayout(self)
        grid.setContentsMargins(8, 2, 8, 4)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(1)
        grid.addWidget(buttons, 0, 0, 1, 4)
        grid.addWidget(self._hold, 1, 0, 1, 4)
        self._labels = []
        for name in self.ROWS + self.WHEEL_ROWS:
            label, now = QLabel(name), QLabel("")
            label.setProperty("role", "quiet")
            self._labels.append((label, now))
        grid.setColumnStretch(1, 1)
        # Beside the large curve there is much room: it stays below, not between the lines.
        grid.setRowStretch(2 + len(self._labels), 1)
        self._across = 0
        self._gives_way = False
        self._wheel: tuple[str, ...] = ()
        self._lay_measures(2)
        editor.shown.connect(self._show)
        editor.drawing_changed.connect(self._draw.setChecked)
        self._show(None)
        self.show_wheel(None)

    def give_way(self, on: bool) -> None:
        """Leave the room to another tool of the curve."""
        self._gives_way = on
        self._see_room()

    def _see_room(self) -> None:
        """Stand there only where there is a curve to draw a target over."""
        self.setVisible(not self._gives_way and self._view.curves is not None)

    def _lay_measures(self, across: int) -> None:
        """Two measures a line, so that the panel stays low; one where it is narrow."""
        if across == self._across:
            return
        self._across = across
        for place, pair in enumerate(self._labels):
            for part, widget in enumerate(pair):
                self._grid.addWidget(widget, 2 + place // across, 2 * (place % across) + part)
        self._grid.setColumnStretch(3, 1 if across == 2 else 0)

    def _width(self, across: int) -> int:
        """How wide the measures are, so many a line."""
        margins, gap = self._grid.contentsMargins(), self._grid.horizontalSpacing()
        columns = [
            max((pair[part].sizeHint().width() for pair in self._labels[start::across]), default=0)
            for start in range(across)
            for part in (0, 1)
        ]
        return sum(columns) + gap * (len(columns) - 1) + margins.left() + margins.right()

    def minimumSizeHint(self) -> QSize:
        """One measure a line is enough."""
        margins = self._grid.contentsMargins()
        sides = margins.left() + margins.right()
        rows = (self._buttons.minimumSizeHint().width(), self._hold.minimumSizeHint().width())
        return QSize(
            max(*(row + sides for row in rows), self._width(1)), super().minimumSizeHint().height()
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """See how many measures fit a line."""
        super().resizeEvent(event)
        self._lay_measures(2 if self._width(2) <= self.width() else 1)

    def event(self, event: QEvent) -> bool:
        """Watch the height that is shared with the curve."""
        parent = self.parentWidget()
        if event.type() == QEvent.Type.ParentChange and parent is not None:
            parent.installEventFilter(self)
        return super().event(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """See again what there is room for."""
        seen = (QEvent.Type.Resize, QEvent.Type.LayoutRequest)
        if watched is self.parentWidget() and event.type() in seen:
            self._make_room()
        return super().eventFilter(watched, event)

    @property
    def is_low(self) -> bool:
        """Whether this stands under a curve that has little height."""
        parent = self.parentWidget()
        layout = None if parent is None else parent.layout()
        if parent is None or not isinstance(layout, QBoxLayout):
            return False
        under = layout.direction() == QBoxLayout.Direction.TopToBottom
        return under and parent.height() < LOW_LINES * self.fontMetrics().height()

    def _make_room(self) -> None:
        """Show what the flywheel does where there is room, else where the pointer rests."""
        wheel = self._labels[len(self.ROWS) :]
        is_shown = bool(self._wheel) and not self.is_low
        for label, value in wheel:
            label.setVisible(is_shown)
            value.setVisible(is_shown)
        told = [f"{label.text()}: {value.text()}" for label, value in wheel]
        hidden = "\n".join(told) if self._wheel and not is_shown else ""
        for pair in self._labels[: len(self.ROWS)]:
            for part in pair:
                part.setToolTip(hidden)

    def _show(self, target: TargetCurve | None) -> None:
        curves = self._view.curves
        held = "work" if self._view.axis == "length" else "impulse"
        self._hold.setText(f"Keep the athlete's own {held}")
        self._see_room()
        self._hold.setVisible(target is not None)
        self._hold.setChecked(target is not None and target.hold_equal)
        self._remove.setEnabled(target is not None)
        for button in self._begin:
            button.setEnabled(curves is not None)
        visible = target is not None and curves is not None
        shape = self._labels[: len(self.ROWS)]
        for label, value in shape:
            label.setVisible(visible)
            value.setVisible(visible)
        if target is None or curves is None:
            return
        both = compare_target(target, curves.mean, curves.mean_span)
        for (label, value), text in zip(shape, _rows(both.now, both.target), strict=True):
            shown = text is not None
            label.setVisible(shown)
            value.setVisible(shown)
            value.setText(text or "")

    def show_wheel(self, change: WhatWouldChange | None) -> None:
        """Show what the target would change on a flywheel, with what the model does not know."""
        self._wheel = _wheel_rows(change) if change is not None else ()
        for text, (label, value) in zip(self._wheel, self._labels[len(self.ROWS) :], strict=False):
            value.setText(text)
            for part in (label, value):
                part.setToolTip("\n".join(change.limits if change is not None else ()))
        self._make_room()


def _wheel_rows(change: WhatWouldChange) -> tuple[str, ...]:
    now, aim = change.before, change.after
    return (
        f"{now.drive_s:.2f} → {aim.drive_s:.2f} s",
        f"{now.peak_handle_m_s:.2f} → {aim.peak_handle_m_s:.2f} m/s",
        f"{now.peak_power_w:.0f} → {aim.peak_power_w:.0f} W",
        f"{now.fluctuation_pct:.1f} → {aim.fluctuation_pct:.1f} %",
    )


def _rows(now: TargetMeasures, aim: TargetMeasures) -> tuple[str | None, ...]:
    build_up = None
    if now.rfd_n_per_s is not None and aim.rfd_n_per_s is not None:
        build_up = f"{now.rfd_n_per_s / 1000:.1f} → {aim.rfd_n_per_s / 1000:.1f} kN/s"
    return (
        f"{now.peak_n:.0f} → {aim.peak_n:.0f} N",
        build_up,
        f"{now.plateau_pct:.0f} → {aim.plateau_pct:.0f} %",
        f"{now.mean_to_peak:.2f} → {aim.mean_to_peak:.2f}",
    )


def _button(text: str, run: Callable[[], None]) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.clicked.connect(lambda: run())
    return button
