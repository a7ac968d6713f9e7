"""The curves read from pictures on the stroke's curve, and as the base of a target."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, Signal

from analysis.force.curves import PERCENT
from analysis.force.target import TargetCurve, hold_level
from analysis.force.target_patch import from_curve
from analysis.reading_pictures.reading import BAND
from analysis.signals.signal import FloatArray
from app.review.parts.read_curves import DeleteReadCurve, EditReadCurve, ReadCurve
from app.review.parts.state import ReviewState
from app.review.parts.target import SetTarget
from app.scene.force_curve import Band, Curve
from app.scene.plot import Pen
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokeView

DASHES: Final = ((7.0, 2.5), (7.0, 2.5, 1.4, 2.5), (2.0, 2.0))
LABEL: Final = "read from a picture"
_MOST_OPEN: Final = 10  # percent of the drive that may be missing in what a target is made of


class ShownCurves(QObject):
    """Keeps the stroke's curve in step with the review, and acts on the chosen curve."""

    changed = Signal()

    def __init__(
        self,
        session: ReviewSession,
        view: StrokeView,
        curve: CurveView,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._view, self._curve, self._messages = session, view, curve, messages
        self._chosen = ""
        session.state_changed.connect(self._take_state)
        view.renewed.connect(self.show)

    @property
    def curves(self) -> tuple[ReadCurve, ...]:
        """Those of the review."""
        return self._session.state.read_curves

    @property
    def chosen(self) -> ReadCurve | None:
        """The one the buttons act on."""
        found = [c for c in self.curves if c.id == self._chosen]
        return found[0] if found else (self.curves[-1] if self.curves else None)

    def choose(self, curve_id: str) -> None:
        """Let the buttons act on another one."""
        self._chosen = curve_id
        self.changed.emit()

    def show(self) -> None:
        """Draw those that are shown and fit the axis."""
        drawn = []
        for i, read in enumerate(self.curves):
            values, sd = self._newtons(read)
            if not read.shown or not self._fits(read) or values is None:
                continue
            along = PERCENT.astype(float)
            pen = Pen(1.8, DASHES[i % len(DASHES)])
            band = Band(along, np.maximum(values - BAND * sd, 0.0), values + BAND * sd)
            drawn.append((Curve("read", along, values, read.name, pen), band))
        self._curve.set_read(drawn)
        self.changed.emit()

    def difference(self) -> str:
        """How the chosen curve differs from the athlete's mean, in one line."""
        read, mean = self.chosen, self._view.curves
        if read is None:
            return ""
        values, _sd = self._newtons(read)
        if values is None or mean is None or not self._fits(read):
            return "" if read.shown else "hidden"
        off = values - mean.mean
        most = int(np.nanargmax(np.abs(off)))
        tops = int(np.nanargmax(values)), int(np.argmax(mean.mean))
        peaks = f"peak at {tops[0]} %, the athlete's mean at {tops[1]} %"
        return f"{peaks}; furthest apart at {most} %: {off[most]:+.0f} N"

    def use_as_target(self) -> None:
        """Make the chosen curve the one to row towards, at the athlete's own impulse or work.

        Whoever rowed it may be stronger: a target asks for another stroke, not another athlete.
        """
        read, mean = self.chosen, self._view.curves
        if read is None:
            return
        missing = 101 - len(read.points)
        if missing > _MOST_OPEN:
            self._messages.warn(
                f"{missing} % of the drive of “{read.name}” could not be seen in its picture; a"
                " target needs all of it. Draw the target along it instead (D)."
            )
            return
        if mean is None and not read.has_scale:
            self._messages.warn(
                f"“{read.name}” is a shape without a scale: add the athlete's force file, so that"
                " it can be as high as they row."
            )
            return
        target = replace(self._target_of(read), name=f"{read.name}, {LABEL}")
        if mean is not None and target.axis == self._view.axis:
            target = hold_level(target, mean.mean)
        self._session.do(SetTarget(target))
        held = ", at the athlete's own impulse" if mean is not None else ""
        self._messages.say(f"The target is “{read.name}” now, {LABEL}{held}; undo takes it back.")

    def _target_of(self, read: ReadCurve) -> TargetCurve:
        percents, values, _sd = np.array(read.points).T
        whole = np.interp(PERCENT, percents, values)
        if not read.has_scale:
            whole *= float(np.max(self._view.curves.mean)) if self._view.curves else 1.0
        axis = self._view.axis if read.axis == "unknown" else read.axis
        return from_curve(whole, "length" if axis == "length" else "time", True)

    def toggle(self) -> None:
        """Show or hide the chosen curve."""
        read = self.chosen
        if read is not None:
            self._session.do(EditReadCurve(read.id, shown=not read.shown))

    def remove(self) -> None:
        """Take the chosen curve out of the review."""
        read = self.chosen
        if read is not None:
            self._session.do(DeleteReadCurve(read.id))
            self._messages.say(f"“{read.name}” was taken out; undo brings it back.")

    def _fits(self, read: ReadCurve) -> bool:
        return read.axis in ("unknown", self._view.axis)

    def _newtons(self, read: ReadCurve) -> tuple[FloatArray | None, FloatArray]:
        """Values and standard deviations at each percent; a shape is as high as the mean."""
        values, sd = np.full(101, np.nan), np.full(101, np.nan)
        percents, known, spread = np.array(read.points).T
        values[percents.astype(int)], sd[percents.astype(int)] = known, spread
        if read.has_scale:
            return values, sd
        mean = self._view.curves
        top = float(np.max(known))
        if mean is None or not top > 0.0:
            return None, sd
        scale = float(np.max(mean.mean)) / top
        return scale * values, scale * sd

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.read_curves != before.read_curves:
            self.show()
