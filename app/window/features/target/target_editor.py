"""The curve to row towards: presets, drawing, mending, and holding the work equal."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from uuid import uuid4

import numpy as np
from PySide6.QtCore import QObject, Signal

from analysis.force.target import (
    TargetCurve,
    draw_freehand,
    hold_level,
    racing,
    sample_target,
    steady_rowing,
)
from analysis.force.target_patch import Patch, from_curve, is_whole, patch
from analysis.force.trace import FloatArray
from app.review.parts.state import ReviewState
from app.review.parts.target import SetTarget
from app.window.features.target.target_asking import PeakQuestion
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.message_line import Messages, Offer
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokeView

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.force.curves import CurveSet
    from analysis.force.peak_power import OwnPower
    from analysis.force.target_proposal import Proposal
    from analysis.force.trace import FloatArray

PRESETS = {"steady": steady_rowing, "racing": racing}
NO_CURVE = "A target is drawn over the athlete's curve; add a force file."


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
        selection: Selection,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._view = view
        self._curve = curve
        self._messages = messages
        self._selection = selection
        self._question = PeakQuestion(messages, self._set)
        self._drawing = False
        self._gesture = ""
        self._refused: TargetCurve | None = None  # what a drag asked for beyond the bound
        # How the targets of this sitting came about, so that keeping the impulse later still
        # leaves what was drawn. Undo finds them again, for a target is its own key.
        self._patches: dict[TargetCurve, Patch] = {}
        self._mended: dict[TargetCurve, Finding] = {}
        curve.target_moved.connect(self._drag)
        curve.target_dropped.connect(self._drop)
        curve.drawn.connect(self._take_line)
        session.state_changed.connect(self._take_state)
        session.opening.connect(self._forget)
        view.renewed.connect(self.show)

    @property
    def is_drawing(self) -> bool:
        """Whether the hand draws a target."""
        return self._drawing

    def use_preset(self, name: str) -> None:
        """Set a preset at the athlete's own impulse or work and no more peak power."""
        from analysis.force.target_proposal import highest_peak, propose

        curves = self._view.curves
        if curves is None:
            self._messages.warn(NO_CURVE)
            return
        preset = PRESETS[name](self._view.axis)
        found = propose(preset, curves.mean, highest_peak(curves), self._power())
        self._set(found.target)
        if found.remarks:
            self._messages.say(" ".join(found.remarks))

    def mend(self) -> None:
        """Bridge the stretch of the chosen finding in the athlete's own mean curve."""
        finding = self._selection.finding
        if self._session.submission.piece is None:
            self._messages.warn(NO_CURVE)
            return
        if finding is None or finding.evidence.percent_from is None:
            self._messages.warn(
                "Choose a finding with a stretch on the curve first (list of findings); its stretch"
                " is what is mended. To change another part, draw it (D)."
            )
            return
        if finding.good:
            self._messages.warn(f"“{finding.title}” is a good sign; there is nothing to mend.")
            return
        target = self._session.state.target
        self._mend(finding, target is not None and target.hold_equal)

    def remove(self) -> None:
        """Remove the target."""
        if self._session.state.target is not None:
            self._session.do(SetTarget(None))

    def toggle_drawing(self) -> None:
        """Begin to draw a target by hand, or stop."""
        if self._view.curves is None:
            self._messages.warn(NO_CURVE)
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
        if target is None or target.hold_equal == equal:
            return
        if target in self._mended:
            self._mend(self._mended[target], equal)
        elif target in self._patches:
            self._take_patch(self._patches[target], equal)
        else:
            self._offer(self._levelled(replace(target, hold_equal=equal)))
        self.show()  # the tick says what is so, not what was asked

    def show(self) -> None:
        """Show the target on the axis it was made for; on the other one it does not apply."""
        target = self._session.state.target
        visible = target if target is not None and target.axis == self._view.axis else None
        self._curve.set_target(visible)
        self.shown.emit(visible)

    def _mend(self, finding: Finding, hold_equal: bool) -> None:
        from analysis.force.target_proposal import CannotMend, highest_peak, mend

        self._view.set_axis("time")  # where the stretch of a finding is
        curves, stretch = self._view.curves, finding.evidence
        if curves is None or stretch.percent_from is None or stretch.percent_to is None:
            self._messages.warn(NO_CURVE)
            return
        try:
            found = mend(
                curves.mean,
                stretch.percent_from,
                stretch.percent_to,
                highest_peak(curves),
                self._power(),
                hold_equal,
            )
        except CannotMend as error:
            self._messages.warn(str(error))
            return
        self._set(found.target)
        self._mended[found.target] = finding
        self._tell_mended(finding, found, curves)

    def _tell_mended(self, finding: Finding, found: Proposal, curves: CurveSet) -> None:
        target = found.target
        if target.hold_equal:
            rest = f"the rest is the athlete's own curve times {found.rest_factor:.2f}"
            text = f"Mended: {finding.title}. To keep the impulse, {rest}."
            offer = Offer("Leave the rest as it is", lambda: self._change_hold(target))
        else:
            share = float(np.trapezoid(sample_target(target)) / np.trapezoid(curves.mean))
            text = (
                f"Mended: {finding.title}. The rest is the athlete's own curve; the impulse is"
                f" {100.0 * share:.0f} % of their own."
            )
            offer = Offer("Keep the impulse", lambda: self._change_hold(target))
        self._messages.say(" ".join((text, *found.remarks)), offer)

    def _change_hold(self, of: TargetCurve) -> None:
        if self._session.state.target == of:
            self.hold(not of.hold_equal)

    def _power(self) -> OwnPower | None:
        from analysis.force.peak_power import power_of_piece

        piece = self._session.submission.piece
        if piece is None:
            return None
        return power_of_piece(piece, self._view.axis, self._session.submission.flywheel)

    def _drag(self, target: TargetCurve) -> None:
        self._gesture = self._gesture or uuid4().hex
        levelled = self._levelled(target)
        if self._question.is_over(levelled, self._view.curves, self._shown()):
            self._refused = levelled
            return
        self._refused = None
        self._set(levelled)

    def _drop(self) -> None:
        self._gesture = ""
        refused, self._refused = self._refused, None
        if refused is not None:
            self._offer(refused)

    def _take_line(self, line: FloatArray) -> None:
        self.toggle_drawing()
        curves, shown = self._view.curves, self._shown()
        if curves is None:
            return
        if is_whole(line):
            base = shown or TargetCurve(self._view.axis)
            drawn = draw_freehand(replace(base, name="drawn by hand"), line)
            if drawn.freehand != base.freehand:
                self._offer(self._levelled(drawn))
                return
        under = curves.mean if shown is None else sample_target(shown)
        before = self._patches.get(shown) if shown is not None else None
        made = patch(under, line, before.weight if before is not None else None)
        if made is None or made.curve().max() <= 0.0:
            self._messages.warn("That line was too short to be a curve; the target was left.")
            return
        self._take_patch(made, shown is not None and shown.hold_equal)

    def _take_patch(self, made: Patch, hold_equal: bool) -> None:
        """Take a line over part of the drive, levelled by what was not drawn where that can be."""
        curves = self._view.curves
        if curves is None:
            return
        levelled = made.levelled(curves.mean) if hold_equal else None
        curve = made.curve() if levelled is None else levelled
        target = from_curve(curve, self._view.axis, levelled is not None, "drawn by hand")
        self._patches[target] = made
        if self._offer(target) and hold_equal and levelled is None:
            self._say_not_held(target)

    def _say_not_held(self, target: TargetCurve) -> None:
        held = "work" if target.axis == "length" else "impulse"
        whole = self._levelled(replace(target, hold_equal=True))
        self._messages.warn(
            f"The line is kept as drawn. The athlete's own {held} is not: the rest of the curve"
            " would have to be scaled by more than 15 % for it. Draw over more of the drive, or"
            " scale line and rest together.",
            Offer("Scale all of it", lambda: self._scale_all(target, whole)),
        )

    def _scale_all(self, asked: TargetCurve, whole: TargetCurve) -> None:
        if self._session.state.target == asked:
            self._offer(whole)

    def _shown(self) -> TargetCurve | None:
        target = self._session.state.target
        return target if target is not None and target.axis == self._view.axis else None

    def _levelled(self, target: TargetCurve) -> TargetCurve:
        curves = self._view.curves
        return target if curves is None else hold_level(target, curves.mean)

    def _offer(self, target: TargetCurve) -> bool:
        """Take a target, or ask first where it is far above what the athlete rows."""
        curves = self._view.curves
        if curves is None or not self._question.is_over(target, curves, self._shown()):
            self._set(target)
            return True
        self._question.ask(target, curves, lambda highest_n: self._lowered(target, highest_n))
        return False

    def _lowered(self, target: TargetCurve, highest_n: float) -> TargetCurve:
        if target in self._patches:  # only what was drawn too high
            capped = np.minimum(sample_target(target), highest_n)
            return from_curve(capped, target.axis, False, target.name)
        return replace(target, level_n=highest_n, hold_equal=False)

    def _set(self, target: TargetCurve) -> None:
        self._session.do(SetTarget(target, self._gesture))

    def _forget(self) -> None:
        self._patches.clear()
        self._mended.clear()
        self._question.forget()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.target != before.target:
            self._question.forget()
            if state.target is not None and state.target.axis != self._view.axis:
                self._view.set_axis(state.target.axis)
            self.show()
