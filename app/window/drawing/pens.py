"""What a hand can mark on the picture and on the curve: pens, of which few are out at a time."""

from __future__ import annotations

from PySide6.QtCore import QObject

from app.window.comparing.comparisons import Comparisons
from app.window.desk import Desk
from app.window.drawing.blur_sheet import BlurSheet
from app.window.drawing.blurring import Blurring
from app.window.drawing.curve_marks import CurveMarks
from app.window.drawing.drawing import Drawing
from app.window.drawing.mark_sheet import MarkSheet
from app.window.force.curve_view import CurveView
from app.window.force.stroke_panel import StrokeView
from app.window.force.target_panel import TargetEditor
from app.window.jobs import Jobs
from app.window.message_line import Messages
from app.window.picture.picture import PictureView
from app.window.picture.transport import Transport
from app.window.playhead import Playhead


class Pens(QObject):
    """Drawing on the picture, hiding faces there, and drawing on the curve.

    The first two take the same mouse, so one puts the other away.
    """

    def __init__(
        self,
        desk: Desk,
        playhead: Playhead,
        transport: Transport,
        picture: PictureView,
        jobs: Jobs,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._desk, self._playhead, self._transport = desk, playhead, transport
        self._messages = messages
        self.drawing = Drawing(desk, playhead, transport, picture, messages, self)
        self.marks = MarkSheet(picture, self.drawing)
        self.blurring = Blurring(desk, playhead, picture, jobs, messages, self)
        self.blurs = BlurSheet(picture, self.blurring)
        self.curve: CurveMarks | None = None
        self.blurring.mode_changed.connect(lambda on: self.drawing.stop() if on else None)
        self.drawing.mode_changed.connect(lambda on: self.blurring.stop() if on else None)

    def for_curve(self, view: StrokeView, curve: CurveView, target: TargetEditor) -> CurveMarks:
        """Take the pen for the curve as well."""
        self.curve = CurveMarks(
            self._desk, self._playhead, self._transport, view, curve, self.drawing, target,
            self._messages, self,
        )  # fmt: skip
        return self.curve

    def give_up_or_stop(self, comparisons: Comparisons) -> None:
        """Drop what is half drawn, or put the pen that is out away."""
        if self.blurring.is_on:
            self.blurring.stop()
            return
        dropped = (
            (self.curve is not None and self.curve.give_up_or_stop())
            or comparisons.comparing.laying.give_up()
            or self.marks.give_up()
        )
        if not dropped:
            self.drawing.stop()
