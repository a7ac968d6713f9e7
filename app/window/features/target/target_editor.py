"""The curve to row towards: presets, drawing, and holding the work equal."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from uuid import uuid4

from PySide6.QtCore import QObject, Signal

from analysis.force.target import (
    TargetCurve,
    draw_freehand,
    hold_level,
    racing,
    steady_rowing,
)
from analysis.force.trace import FloatArray
from app.review.parts.state import ReviewState
from app.review.parts.target import SetTarget
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokeView

if TYPE_CHECKING:
    pass

PRESETS = {"steady": steady_rowing, "racing": racing}


class TargetEditor(QObject):
    """Turns drags, presets and drawn lines into changes of the review's target."""

    drawing_changed = Signal(bool)
    shown = Signal(object)  # the TargetCurve now on the curve, or None

    def __init__(
        self,
        session: ReviewSession,
        view: StrokeView,
        curve: CurveView,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._view = view
        self._curve = curve
        self._messages = messages
        self._drawing = False
        self._gesture = ""
        curve.target_moved.connect(self._drag)
        curve.target_dropped.connect(self._drop)
        curve.drawn.connect(self._take_line)
        session.state_changed.connect(self._take_state)
        view.renewed.connect(self.show)

    @property
    def is_drawing(self) -> bool:
        """Whether the hand draws a target."""
        return self._drawing

    def use_preset(self, name: str) -> None:
        """Set a preset at the athlete's own impulse or work."""
        curves = self._view.curves
        if curves is None:
            self._messages.warn("A target is drawn over the athlete's curve; add a force file.")
            return
        self._set(hold_level(PRESETS[name](self._view.axis), curves.mean))

    def remove(self) -> None:
        """Remove the target."""
        if self._session.state.target is not None:
            self._session.do(SetTarget(None))

    def toggle_drawing(self) -> None:
        """Begin to draw a target by hand, or stop."""
        if self._view.curves is None:
            self._messages.warn("A target is drawn over the athlete's curve; add a force file.")
            return
        self._drawing = not self._drawing
        self._curve.set_drawing(self._drawing)
        self.drawing_changed.emit(self._drawing)

    def stop_drawing(self) -> None:
        """Put away the pen that draws a target."""
        if self._drawing:
            self.toggle_drawing()

    def hold(self, equal: bool) -> None:
        """Keep impulse or work equal to the athlete's own, or let the level be free."""
        target = self._session.state.target
        if target is not None and target.hold_equal != equal:
            self._set(self._levelled(replace(target, hold_equal=equal)))

    def show(self) -> None:
        """Show the target on the axis it was made for; on the other one it does not apply."""
        target = self._session.state.target
        visible = target if target is not None and target.axis == self._view.axis else None
        self._curve.set_target(visible)
        self.shown.emit(visible)

    def _drag(self, target: TargetCurve) -> None:
        self._gesture = self._gesture or uuid4().hex
        self._set(self._levelled(target))

    def _drop(self) -> None:
        self._gesture = ""

    def _take_line(self, line: FloatArray) -> None:
        self.toggle_drawing()
        base = self._session.state.target
        if base is None or base.axis != self._view.axis:
            base = steady_rowing(self._view.axis)
        drawn = draw_freehand(replace(base, name="drawn by hand"), line)
        if drawn.freehand == base.freehand:
            self._messages.warn("That line was too short to be a curve; the target was left.")
            return
        self._set(self._levelled(drawn))

    def _levelled(self, target: TargetCurve) -> TargetCurve:
        curves = self._view.curves
        return target if curves is None else hold_level(target, curves.mean)

    def _set(self, target: TargetCurve) -> None:
        self._session.do(SetTarget(target, self._gesture))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.target != before.target:
            if state.target is not None and state.target.axis != self._view.axis:
                self._view.set_axis(state.target.axis)
            self.show()
