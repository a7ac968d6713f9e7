"""Drawing on the force curve: the tool, the selected mark, and what is done to it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QObject, Signal

from app.review.parts.curve_marks import (
    AddCurveMark,
    CurveMark,
    DeleteCurveMark,
    EditCurveMark,
    new_curve_mark,
    on_curve,
    within_drive,
)
from app.review.parts.marks import Point
from app.window.features.annotations.drawing import Drawing
from app.window.features.annotations.pen import CHOOSE, Kept, MarkPen
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.stroke_panel import StrokeView
from app.window.views.transport import Transport

STEP_PCT = 1.0  # of the drive, for one press of an arrow
STEP_N = 5.0
NO_CURVE = "Marks are drawn over the athlete's curve; add a force file."
NO_STROKE = "There is no drive here; go between a catch and its finish and press it again."
NONE_CHOSEN = "Choose a mark on the curve first: take the hand, then click on it."


class CurveDrawing(MarkPen[CurveMark]):
    """Turns what a hand draws on the curve into changes of the review."""

    words_wanted = Signal()  # for the selected mark

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        transport: Transport,
        view: StrokeView,
        pen: Drawing,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        kept = Kept(lambda s: s.curve_marks, EditCurveMark, DeleteCurveMark, NONE_CHOSEN)
        super().__init__(session, messages, kept, parent)
        self._playhead = playhead
        self._transport = transport
        self._view = view
        self._pen = pen
        self._begun: tuple[int, float] | None = None  # stroke and percent a stretch began at
        view.stroke_changed.connect(lambda _stroke: self.changed.emit())
        view.axis_changed.connect(lambda _axis: self.changed.emit())
        pen.changed.connect(self._take_colour)

    @property
    def colour(self) -> str:
        """Colour of the next mark: the pen's, on the picture and on the curve."""
        return self._pen.colour

    @property
    def shown(self) -> tuple[CurveMark, ...]:
        """The marks of the curve on screen."""
        return on_curve(self._session.state.curve_marks, self._view.axis, self._stroke_index())

    def use(self, tool: str) -> None:
        """Draw with a tool from now on."""
        if self._view.curves is None or self._session.review is None:
            self._messages.warn(NO_CURVE)
            return
        self._pen.choose("")  # a hand holds one mark; the next colour is for the curve
        super().use(tool)

    def choose(self, mark_id: str) -> None:
        """Take a selected mark, out of which one on the picture goes; "" lets go."""
        if mark_id:
            self._pen.choose("")
        super().choose(mark_id)

    def stop(self) -> None:
        """Put the pen away; what is drawn stays."""
        self._begun = None
        super().stop()

    def choose_next(self) -> None:
        """Select the next mark of the curve on screen; after the last comes the first."""
        shown = self.shown
        if not shown:
            self._messages.say("Nothing is drawn on this curve.")
            return
        ids = [mark.id for mark in shown]
        at = ids.index(self._chosen) + 1 if self._chosen in ids else 0
        self.use(CHOOSE)
        self.choose(ids[at % len(ids)])

    def add(self, kind: str, points: Sequence[Point]) -> None:
        """Keep what was drawn, on the stroke shown; it is selected at once."""
        mark = new_curve_mark(kind, self._view.axis, points, self.colour, self._stroke_index())
        self._session.do(AddCurveMark(mark))
        self.choose(mark.id)

    def shade_here(self) -> None:
        """Begin a shaded stretch at the playhead; the second time, end it there."""
        stroke, clock = self._view.stroke, self._transport.clock
        time_s = self._playhead.moment_s
        percent = None
        if stroke is not None and clock is not None:
            percent = clock.percent_at(stroke, time_s, self._view.axis)
        if stroke is None or percent is None:
            self._messages.warn(NO_STROKE)
            return
        begun, self._begun = self._begun, None
        if begun is None or begun[0] != stroke.index or begun[1] == percent:
            self._begun = (stroke.index, percent)
            self._messages.say(
                f"The stretch begins at {percent:.0f} % of the drive; go to its end and press "
                "choose it again."
            )
            return
        self.add("span", ((begun[1], 0.0), (percent, 0.0)))
        self._messages.say(f"Shaded from {begun[1]:.0f} to {percent:.0f} % of the drive.")

    def move(self, points: tuple[Point, ...], moved: int | None = None, gesture: str = "") -> None:
        """Put the points of the selected mark elsewhere, within the drive and not below zero.

        A mark that is moved whole keeps its shape and stays at the edge.
        """
        mark = self.selected
        if mark is None:
            return
        points = within_drive(points, whole=moved is None)
        if points != mark.points:
            self._do(EditCurveMark(mark.id, points=points, gesture=self._gesture(gesture)))

    def _shifted(self, mark: CurveMark, dx: int, dy: int) -> tuple[Point, ...]:
        return tuple((x + STEP_PCT * dx, y - STEP_N * dy) for x, y in mark.points)

    def ask_words(self) -> None:
        """Let the coach type words for the selected mark."""
        if self._asked() is not None:
            self.words_wanted.emit()

    def every_stroke(self) -> None:
        """Show the selected mark on every stroke and the mean, or on this stroke only."""
        mark = self._asked()
        if mark is None:
            return
        stroke = self._stroke_index() if mark.stroke is None else None
        if mark.stroke is None and stroke is None:
            self._messages.warn("Go to the stroke the mark is to stay on.")
            return
        self._do(EditCurveMark(mark.id, stroke=stroke))
        where = "every stroke and their mean" if stroke is None else f"stroke {stroke + 1} only"
        self._messages.say(f"The mark stands on {where}.")

    def _stroke_index(self) -> int | None:
        return None if self._view.stroke is None else self._view.stroke.index

    def _take_colour(self) -> None:
        """The pen took another colour, and so does the selected mark, or a mark on the picture."""
        if self._pen.selected is not None:
            self._chosen = ""
        if self._on:
            self._recolour(self.colour)
        self.changed.emit()
