"""Drawing on the force curve: the tool, the mark in hand, and what is done to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QObject, Signal

from app.review.changes import Change
from app.review.curve_mark_changes import AddCurveMark, DeleteCurveMark, EditCurveMark
from app.review.curve_marks import CurveMark, new_curve_mark, on_curve
from app.review.marks import Point
from app.review.state import ReviewState
from app.window.desk import Desk
from app.window.drawing.drawing import Drawing
from app.window.force.stroke_panel import StrokeView
from app.window.message_line import Messages
from app.window.picture.transport import Transport
from app.window.playhead import Playhead

CHOOSE: Final = "choose"
TOOLS: Final = ("line", "span", CHOOSE)
NO_CURVE = "Marks are drawn over the athlete's curve; add a force file."
NO_STROKE = "There is no drive here; go between a catch and its finish and press it again."
NONE_CHOSEN = "Choose a mark on the curve first: press Shift+P, then click on it."


class CurveDrawing(QObject):
    """Turns what a hand draws on the curve into changes of the review."""

    changed = Signal()  # tool, colour, stroke, axis or the mark in hand
    mode_changed = Signal(bool)
    words_wanted = Signal()  # for the mark in hand

    def __init__(
        self,
        desk: Desk,
        playhead: Playhead,
        transport: Transport,
        view: StrokeView,
        pen: Drawing,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._desk = desk
        self._playhead = playhead
        self._transport = transport
        self._view = view
        self._pen = pen
        self._messages = messages
        self._on = False
        self._tool = "line"
        self._chosen = ""
        self._drags = 0
        self._begun: tuple[int, float] | None = None  # stroke and percent a stretch began at
        desk.state_changed.connect(self._take_state)
        desk.material_changed.connect(lambda _material: self.stop())
        view.stroke_changed.connect(lambda _stroke: self.changed.emit())
        view.axis_changed.connect(lambda _axis: self.changed.emit())
        pen.changed.connect(self._take_colour)

    @property
    def is_on(self) -> bool:
        """Whether the left button draws on the curve."""
        return self._on

    @property
    def tool(self) -> str:
        """One of TOOLS."""
        return self._tool

    @property
    def colour(self) -> str:
        """Colour of the next mark: the pen's, on the picture and on the curve."""
        return self._pen.colour

    @property
    def in_hand(self) -> CurveMark | None:
        """The mark chosen."""
        return next((m for m in self._desk.state.curve_marks if m.id == self._chosen), None)

    @property
    def shown(self) -> tuple[CurveMark, ...]:
        """The marks of the curve on screen."""
        return on_curve(self._desk.state.curve_marks, self._view.axis, self._stroke_index())

    def toggle(self) -> None:
        """Take the pen to the curve, or put it away."""
        if self._on:
            self.stop()
        else:
            self.use(self._tool)

    def use(self, tool: str) -> None:
        """Draw with a tool from now on."""
        if self._view.curves is None or self._desk.review is None:
            self._messages.warn(NO_CURVE)
            return
        self._tool = tool
        if tool != CHOOSE:
            self._chosen = ""
        self._turn(True)

    def stop(self) -> None:
        """Put the pen away; what is drawn stays."""
        self._chosen = ""
        self._begun = None
        self._turn(False)

    def choose_next(self) -> None:
        """Take the next mark of the curve on screen in hand; after the last comes the first."""
        shown = self.shown
        if not shown:
            self._messages.say("Nothing is drawn on this curve.")
            return
        ids = [mark.id for mark in shown]
        at = ids.index(self._chosen) + 1 if self._chosen in ids else 0
        self.use(CHOOSE)
        self.choose(ids[at % len(ids)])

    def choose(self, mark_id: str) -> None:
        """Take a mark in hand; "" lets go."""
        self._chosen = mark_id
        self.changed.emit()

    def add(self, kind: str, points: Sequence[Point]) -> None:
        """Keep what was drawn, on the stroke shown; it is in hand at once."""
        mark = new_curve_mark(kind, self._view.axis, points, self.colour, self._stroke_index())
        self._desk.do(AddCurveMark(mark))
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
                "Shift+H again."
            )
            return
        self.add("span", ((begun[1], 0.0), (percent, 0.0)))
        self._messages.say(f"Shaded from {begun[1]:.0f} to {percent:.0f} % of the drive.")

    def begin_drag(self) -> None:
        """The next moves are one drag, and one undo step."""
        self._drags += 1

    def move(self, points: tuple[Point, ...]) -> None:
        """Put the points of the mark in hand elsewhere."""
        mark = self.in_hand
        if mark is not None and points != mark.points:
            self._do(EditCurveMark(mark.id, points=points, gesture=f"drag {self._drags}"))

    def ask_words(self) -> None:
        """Let the coach type words for the mark in hand."""
        if self._asked() is not None:
            self.words_wanted.emit()

    def reword(self, text: str) -> None:
        """Change the words of the mark in hand."""
        mark = self.in_hand
        if mark is not None and text != mark.text:
            self._do(EditCurveMark(mark.id, text=text))

    def every_stroke(self) -> None:
        """Show the mark in hand on every stroke and the mean, or on this stroke only."""
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

    def delete(self) -> None:
        """Take the mark in hand away."""
        mark = self._asked()
        if mark is not None:
            self._do(DeleteCurveMark(mark.id))
            self.choose("")
            self._messages.say("The mark was deleted; undo brings it back.")

    def _stroke_index(self) -> int | None:
        return None if self._view.stroke is None else self._view.stroke.index

    def _do(self, change: Change) -> None:
        self._desk.do(change)
        self.changed.emit()

    def _asked(self) -> CurveMark | None:
        mark = self.in_hand
        if mark is None:
            self._messages.say(NONE_CHOSEN)
        return mark

    def _turn(self, on: bool) -> None:
        turned, self._on = on != self._on, on
        if turned:
            self.mode_changed.emit(on)
        self.changed.emit()

    def _take_colour(self) -> None:
        """The pen took another colour; so does the mark in hand."""
        mark = self.in_hand
        if self._on and mark is not None and mark.colour != self.colour:
            self._desk.do(EditCurveMark(mark.id, colour=self.colour))
        self.changed.emit()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.curve_marks != before.curve_marks:
            self.changed.emit()
