"""The row under the picture: what a hand does most, and what moment it is."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QToolButton, QWidget

from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.widgets.clock_text import clock_text
from app.window.widgets.overflow_tool_bar import OverflowToolBar

# What stands where; of a pair, the word between says what its arrows move by. The number says
# who gives way first where the window is narrow.
_FRAME_GIVES = 9
WIDEST_TIME = "59:59.99"
_SINGLE = (("line_up", 7), ("note", 1))


class TransportBar(OverflowToolBar):
    """Buttons of the actions it is given, the clock, the frame number and the speed."""

    def __init__(
        self, playhead: Playhead, actions: Mapping[str, QAction], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._footage: Footage | None = None
        self._time = QLabel(clock_text(0.0))
        self._time.setProperty("role", "clock")
        self._time.setAccessibleName("Video time")
        self._frame = QLabel("")
        self._frame.setProperty("role", "quiet")
        self._frame.setAccessibleName("Frame number")
        self._frame.setToolTip("Frame number / frames in the footage")
        self._frame.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._speed = _between("1×")
        self._speed.setAccessibleName("Speed")
        _hold(self._speed, "0.25×")
        self.put(_button(actions["play"]))
        self.gap()
        self._pair(actions, "step_back", _between("Frame"), "step_on", 0)
        self._pair(actions, "previous_catch", _between("Catch"), "next_catch", 3)
        self._pair(actions, "slower", self._speed, "faster", 8)
        self.put(_button(actions["loop"]), gives=5, name=actions["loop"].data())
        self.gap()
        for name, gives in _SINGLE:
            if name not in actions:
                continue
            self.put(_button(actions[name]), gives, actions[name].data())
        self.stretch()
        # Half a number is another number: it stands there whole or not at all.
        self.put(self._frame, gives=_FRAME_GIVES)
        self.gap(10)
        _hold(self._time, WIDEST_TIME)
        self._time.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.put(self._time)
        playhead.moved.connect(self._show_time)
        playhead.speed_changed.connect(self._show_speed)

    def set_footage(self, footage: Footage | None) -> None:
        """Count the frames of this footage."""
        self._footage = footage
        count = len(footage.index) if footage is not None else 0
        _hold(self._frame, f"{count} / {count}")
        _hold(self._time, WIDEST_TIME)
        self.want(self._frame, count > 0)
        self._show_time(self._playhead.time_s)

    def _pair(
        self, actions: Mapping[str, QAction], back: str, between: QLabel, forth: str, gives: int
    ) -> None:
        """Two arrows and what they move by; they make room together."""
        self.put(_button(actions[back]), gives, actions[back].data())
        # Two arrows are known without the word between them.
        self.put(between, gives or 2)
        self.put(_button(actions[forth]), gives, actions[forth].data())
        self.gap()

    def _show_time(self, time_s: float) -> None:
        self._time.setText(clock_text(time_s))
        if len(self._time.text()) > len(WIDEST_TIME):
            _hold(self._time, self._time.text())
        footage = self._footage
        text = ""
        if footage is not None and footage.index.holds(time_s):
            text = f"{footage.index.at(time_s) + 1} / {len(footage.index)}"
        self._frame.setText(text)

    def _show_speed(self, speed: float) -> None:
        self._speed.setText(f"{speed:g}×")


def _between(text: str) -> QLabel:
    """What stands between the two buttons that change it."""
    label = QLabel(text)
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setContentsMargins(3, 0, 3, 0)
    return label


def _hold(label: QLabel, widest: str) -> None:
    """Give a label the size of its widest text.

    The row does not shuffle while frames go by, and need not be laid out anew for each of them.
    """
    label.ensurePolished()
    margins = label.contentsMargins()
    wide = label.fontMetrics().horizontalAdvance(widest) + margins.left() + margins.right()
    label.setFixedSize(wide + 2, label.fontMetrics().height() + 2)


def _button(action: QAction) -> QToolButton:
    button = QToolButton()
    button.setDefaultAction(action)
    button.setAccessibleName(action.data())
    if len(action.text()) == 1:
        button.setMinimumWidth(30)  # an arrow alone is too small to hit in a hurry
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return button
