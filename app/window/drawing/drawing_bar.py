"""The row of tools under the picture while drawing: everything the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtGui import QAction, QColor, QIcon, QPainter, QPixmap, QTransform
from PySide6.QtWidgets import QDoubleSpinBox, QToolButton

from app.review.marks import MARK_COLOURS, Mark, Point, length_px, shape_of
from app.window import theme
from app.window.drawing.drawing import CHOOSE, TOOLS, Drawing
from app.window.drawing.mark_paint import paint_runs
from app.window.giving_row import GivingRow

ICON_PX = 22
_SKETCHES: dict[str, tuple[Point, ...]] = {
    "line": ((3, 18), (19, 4)),
    "arrow": ((3, 18), (18, 5)),
    "freehand": ((3, 15), (6, 8), (10, 7), (12, 13), (15, 16), (19, 9)),
    "circle": ((3, 4), (19, 18)),
    "angle": ((19, 17), (4, 17), (15, 4)),
    "plumb": ((11, 3), (11, 19)),
    "level": ((3, 11), (19, 11)),
    "distance": ((4, 11), (18, 11)),
}
# The last number: who makes room first where the window is narrow.
_DEEDS = (
    ("mark_copy", "Copy", 2),
    ("mark_stroke", "Stroke", 3),
    ("mark_to_here", "To here", 4),
    ("mark_delete", "Delete", 1),
    ("draw_stop", "Done", 0),
)


class DrawingBar(GivingRow):
    """Tools, colours and what can be done with the mark in hand; hidden while nobody draws."""

    def __init__(self, drawing: Drawing, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self._drawing = drawing
        self._tools: dict[str, QToolButton] = {}
        self._colours: dict[str, QToolButton] = {}
        for tool in (CHOOSE, *(t for t in TOOLS if t != CHOOSE)):
            button = tool_button(actions[f"draw_{tool}"])
            button.setIcon(tool_icon(tool))
            self._tools[tool] = button
            self.put(button)
        self.gap()
        for colour in MARK_COLOURS:
            self._colours[colour] = swatch(colour, partial(drawing.set_colour, colour))
            self.put(self._colours[colour])
        self.gap()
        self._deeds = {}
        for name, text, gives in _DEEDS:
            button = tool_button(actions[name])
            button.setText(text)
            button.setCheckable(False)
            self._deeds[name] = button
            self.put(button, gives, actions[name].text())
        self.stretch()
        self._length = QDoubleSpinBox()
        self._length.setAccessibleName("Real length of the distance")
        self._length.setToolTip(
            "How long this distance really is. It sets the scale for every distance, and holds in"
            " the plane of this line, at this zoom of the camera."
        )
        self._length.setRange(0.0, 100.0)
        self._length.setDecimals(2)
        self._length.setSingleStep(0.05)
        self._length.setSuffix(" m")
        self._length.setPrefix("= ")
        self._length.setSpecialValueText("= ? m")
        self._length.setFixedWidth(96)
        self._length.setKeyboardTracking(False)
        self._length.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._length.valueChanged.connect(drawing.set_length)
        self._length.editingFinished.connect(self._length.clearFocus)
        self.put(self._length)
        self.want(self._length, False)
        drawing.changed.connect(self._show)
        drawing.mode_changed.connect(self.setVisible)
        self.setVisible(False)

    def _show(self) -> None:
        mark = self._drawing.in_hand
        for tool, button in self._tools.items():
            button.setChecked(tool == self._drawing.tool)
        for colour, button in self._colours.items():
            button.setChecked(colour == self._drawing.colour)
        for name, button in self._deeds.items():
            button.setEnabled(mark is not None or name == "draw_stop")
        measured = mark is not None and mark.kind == "distance"
        self.want(self._length, measured)
        if mark is not None and measured:
            scale = self._drawing.metres_per_px
            with QSignalBlocker(self._length):
                self._length.setValue(0.0 if scale is None else scale * length_px(mark.points_px))


def swatch(colour: str, run: Callable[[], None]) -> QToolButton:
    """Give a button for one of the colours."""
    button = bare_button()
    pixmap = QPixmap(ICON_PX, ICON_PX)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(QColor(MARK_COLOURS[colour]))
        painter.setPen(QColor(theme.FLOOR))
        painter.drawEllipse(3, 3, ICON_PX - 6, ICON_PX - 6)
    button.setIcon(QIcon(pixmap))
    button.setAccessibleName(f"Colour {colour}")
    button.setToolTip(f"Draw in {colour}; the mark in hand takes the colour.\nKey: Q, the next")
    button.clicked.connect(lambda: run())
    return button


def bare_button() -> QToolButton:
    """Give a checkable button that leaves the keys alone."""
    button = QToolButton()
    button.setCheckable(True)
    button.setIconSize(QSize(ICON_PX, ICON_PX))
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return button


def tool_button(action: QAction) -> QToolButton:
    """Give a button that does what an action does, and says its key."""
    button = bare_button()
    key = action.shortcut().toString()
    button.setAccessibleName(action.text())
    button.setToolTip(f"{action.text()}: {action.statusTip()}" + (f"\nKey: {key}" if key else ""))
    button.clicked.connect(action.trigger)
    return button


def tool_icon(tool: str) -> QIcon:
    """Sketch what a tool draws."""
    pixmap = QPixmap(ICON_PX * 2, ICON_PX * 2)
    pixmap.setDevicePixelRatio(2.0)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QColor(theme.TEXT))
        if tool == "text":
            font = painter.font()
            font.setPixelSize(19)
            painter.setFont(font)
            painter.drawText(0, 0, ICON_PX, ICON_PX, Qt.AlignmentFlag.AlignCenter, "T")
        elif tool == CHOOSE:
            hand = ((5, 3), (5, 17), (9, 13), (12, 19), (14, 18), (11, 12), (17, 12), (5, 3))
            paint_runs(painter, (hand,), "blue", QTransform(), 1.2)
        else:
            runs = shape_of(Mark("", tool, _SKETCHES[tool]), None, 8.0).runs
            paint_runs(painter, runs, "yellow", QTransform(), 1.8)
    return QIcon(pixmap)
