"""What a hand can mark on the picture and on the curve: tools, of which few are out at a time."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.annotations.actions_blur import BLUR
from app.window.features.annotations.actions_curve import CURVE
from app.window.features.annotations.actions_drawing import DRAW
from app.window.features.annotations.blur_bar import BlurBar
from app.window.features.annotations.blur_sheet import BlurSheet
from app.window.features.annotations.blurring import Blurring
from app.window.features.annotations.curve_bar import CurveBar
from app.window.features.annotations.curve_drawing import CurveDrawing
from app.window.features.annotations.curve_mark_sheet import CurveMarkSheet
from app.window.features.annotations.drawing import Drawing
from app.window.features.annotations.drawing_bar import DrawingBar
from app.window.features.annotations.mark_sheet import MarkSheet
from app.window.session.modes import Mode, Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.picture import PictureView
from app.window.views.shown_marks import ShownMarks
from app.window.views.stroke_panel import StrokeView
from app.window.views.transport import Transport


class AnnotationTools(Feature):
    """Drawing on the picture, hiding faces there, and drawing on the curve."""

    actions = (*DRAW, *BLUR, *CURVE)

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c, session, messages = context, context[ReviewSession], context[Messages]
        playhead, transport, picture = c[Playhead], c[Transport], c[PictureView]
        self.drawing = Drawing(
            session, playhead, transport, picture, c[ShownMarks], c[Selection], messages, self
        )
        self.marks = MarkSheet(picture, self.drawing)
        self.blurring = Blurring(session, playhead, picture, c[Jobs], messages, self)
        self.blurs = BlurSheet(picture, self.blurring)
        self.curve_drawing = CurveDrawing(
            session, playhead, transport, c[StrokeView], self.drawing, messages, self
        )
        self.curve_marks = CurveMarkSheet(c[CurveView], self.curve_drawing)
        self._offer_modes(c[Modes])
        context.offer(self.drawing, self.blurring, self.curve_drawing)

    def lay_out(self, places: Places) -> None:
        """Rows of tools under the picture and under the curve, there while they are of use."""
        actions = dict(places.actions)
        places.under_picture += [
            DrawingBar(self.drawing, actions), BlurBar(self.blurring, actions)
        ]  # fmt: skip
        bar = CurveBar(self.curve_drawing, self.drawing, actions)
        places.stroke_panel.add_tools(actions["curve_draw"], bar)
        self.curve_drawing.mode_changed.connect(places.stroke_panel.show_drawing)

    def _offer_modes(self, modes: Modes) -> None:
        drawing, curve, blurring = self.drawing, self.curve_drawing, self.blurring
        modes.add(
            Mode(
                "picture",
                lambda: drawing.is_on,
                drawing.stop,
                "Drawing on the picture",
                self.marks.give_up,
            ),
            drawing.mode_changed,
        )
        modes.add(
            Mode(
                "curve",
                lambda: curve.is_on,
                curve.stop,
                "Drawing on the curve",
                self.curve_marks.give_up,
            ),
            curve.mode_changed,
        )
        hiding = Mode("picture", lambda: blurring.is_on, blurring.stop, "Hiding faces")
        modes.add(hiding, blurring.mode_changed)
        for pen in (drawing, curve):
            pen.changed.connect(modes.tell)
