"""Which further signals there are and which are shown; and the menu in which they are ticked."""

from __future__ import annotations

from PySide6.QtCore import QObject, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QMenu, QToolButton, QWidget

from app.review.parts.shown_signals import ShowSignal
from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock
from app.submission.shown_signals import ShownSignal, choosable, shown
from app.window.features.signals.curve_signals import CurveSignals
from app.window.features.signals.signal_key import SignalKey
from app.window.features.signals.trace_signals import TraceSignals
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokePanel, StrokeView
from app.window.views.trace_view import TraceView

NONE_THERE = (
    "There is nothing else to show: the force file has no columns besides the force, and of the "
    "body nothing was followed that is lined up with it."
)


class TickMenu(QMenu):
    """A menu of ticks that stays open while they are set; Enter or Esc closes it."""

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Tick what was clicked."""
        if not self._tick():
            super().mouseReleaseEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Space ticks."""
        if event.key() != Qt.Key.Key_Space or not self._tick():
            super().keyPressEvent(event)

    def _tick(self) -> bool:
        action = self.activeAction()
        if action is None or not action.isCheckable():
            return False
        action.trigger()
        return True


class Signals(QObject):
    """What can be shown besides the force and what is; the trace and the stroke curve follow."""

    changed = Signal()  # others can be shown, or are

    def __init__(self, session: ReviewSession, messages: Messages, parent: QWidget) -> None:
        super().__init__(parent)
        self._session, self._messages, self._window = session, messages, parent
        self.menu = TickMenu(parent)
        self.menu.setAccessibleName("Signals")
        self.button = QToolButton()
        self.button.setText("Signals")
        self.button.setToolTip("Choose what else of the force file, or of the body, is shown.")
        self.button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.button.setMenu(self.menu)
        self.button.hide()
        session.recordings_changed.connect(self._renew)
        session.body_changed.connect(self._renew)
        session.state_changed.connect(self._take_state)

    @property
    def choosable(self) -> tuple[ShownSignal, ...]:
        """Every signal that could be shown."""
        return choosable(self._session.submission)

    @property
    def shown(self) -> tuple[ShownSignal, ...]:
        """Those that are shown, in order."""
        return shown(self._session.submission)

    def show_on(self, trace: TraceView, curve: CurveView, view: StrokeView) -> None:
        """Draw them on the trace and on the stroke's curve."""
        self._key = SignalKey()
        self.on_trace = TraceSignals(trace, self._session, self)
        self.on_curve = CurveSignals(curve, view, self._session, self._key, self)
        for lines in (self.on_trace, self.on_curve):
            self.changed.connect(lambda lines=lines: lines.show_signals(self.shown))

    def lay_out(self, panel: StrokePanel) -> None:
        """Put the button and the key into the panel of the stroke."""
        panel.add_signals(self.button, self._key)
        panel.resized.connect(lambda: self._key.set_low(panel.is_low))
        self.changed.connect(panel.make_room)

    def choose(self) -> None:
        """Open the menu where it is in sight."""
        actions = self.menu.actions()
        if not actions:
            self._messages.say(NONE_THERE)
            return
        if self.button.isVisible():
            place = self.button.mapToGlobal(QPoint(0, self.button.height()))
        else:
            place = self._window.mapToGlobal(self._window.rect().center())
        self.menu.popup(place)
        self.menu.setActiveAction(actions[0])

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        timed = ReviewClock.of(state) != ReviewClock.of(before)
        if timed or state.shown_signals != before.shown_signals:
            self._renew()

    def _renew(self) -> None:
        there, on = self.choosable, {choice.name for choice in self.shown}
        old = self.menu.actions()
        if [action.data() for action in old] != [choice.name for choice in there]:
            self.menu.clear()
            for choice in there:
                self.menu.addAction(self._action(choice))
        for action, choice in zip(self.menu.actions(), there, strict=True):
            action.setText(choice.words.replace("&", "&&"))
            action.setChecked(choice.name in on)
        self.changed.emit()

    def _action(self, choice: ShownSignal) -> QAction:
        action = QAction(self.menu)
        action.setCheckable(True)
        action.setData(choice.name)
        action.triggered.connect(
            lambda on, name=choice.name: self._session.do(ShowSignal(name, bool(on)))
        )
        return action
