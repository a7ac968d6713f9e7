"""Drawing on the picture: the tool, the colour, the selected mark, and what is done to it."""

from __future__ import annotations

import uuid
from collections.abc import Sequence

from PySide6.QtCore import QObject

from app.review.mark_shapes import length_px, shown_marks, straightened
from app.review.parts.marks import (
    MARK_COLOURS,
    MARK_KINDS,
    AddMark,
    CopyMark,
    DeleteMark,
    EditMark,
    Mark,
    Point,
    SetScale,
    new_mark,
)
from app.window.features.annotations.pen import CHOOSE, Kept, MarkPen
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView
from app.window.views.shown_marks import ShownMarks
from app.window.views.transport import Transport

TOOLS = (*MARK_KINDS, CHOOSE)
STEP_SHARE = 0.005  # of the picture's height, for one press of an arrow
STAYS_S = 1.0  # a mark drawn while time runs stays at least so long: common practice, no source
NO_FOOTAGE = "Open footage first; marks are drawn on its picture."
NONE_CHOSEN = "Choose a mark first: press P, then click on it."


class Drawing(MarkPen[Mark]):
    """Turns what a hand draws on the picture into changes of the review."""

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        transport: Transport,
        picture: PictureView,
        shown_marks: ShownMarks,
        selection: Selection,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        kept = Kept(lambda state: state.marks, EditMark, DeleteMark, NONE_CHOSEN)
        super().__init__(session, messages, kept, parent)
        self._playhead = playhead
        self._transport = transport
        self._picture = picture
        self._colour = "yellow"
        self._on_picture, self._selection = shown_marks, selection
        shown_marks.changed.connect(self.changed)
        self.changed.connect(self._tell_choice)

    @property
    def colour(self) -> str:
        """Colour of the next mark."""
        return self._colour

    @property
    def metres_per_px(self) -> float | None:
        """The review's scale."""
        return self._session.state.metres_per_px

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks of every frame: the review's own, or a walkthrough's while it is played."""
        return self._on_picture.marks

    @property
    def shown(self) -> tuple[Mark, ...]:
        """The marks of the frame on screen."""
        footage, frame = self._session.footage, self._picture.frame
        if footage is None or frame is None:
            return ()
        return shown_marks(self.marks, frame.index, footage.index.at)

    def use(self, tool: str) -> None:
        """Draw with a tool from now on."""
        if self._session.footage is None or self._session.review is None:
            self._messages.warn(NO_FOOTAGE)
            return
        super().use(tool)

    def set_colour(self, colour: str) -> None:
        """Draw in a colour, and give it to the selected mark."""
        self._colour = colour
        self._recolour(colour)
        self.changed.emit()

    def next_colour(self) -> None:
        """Go round the colours."""
        colours = tuple(MARK_COLOURS)
        self.set_colour(colours[(colours.index(self._colour) + 1) % len(colours)])

    def moment(self) -> float | None:
        """Video seconds of the frame on screen, which is what the hand draws on."""
        footage, frame = self._session.footage, self._picture.frame
        if footage is None or frame is None:
            return None
        return float(footage.index.time_s[frame.index])

    def add(self, kind: str, points_px: Sequence[Point], begun_s: float, text: str = "") -> None:
        """Keep what was drawn since a moment; it is selected at once.

        At rest it stands on that moment's frame. Drawn while time runs, it stays until it was
        finished, and long enough to be seen.
        """
        end_s: float | None = None
        if self._playhead.is_playing:
            now_s = self.moment()
            first_s = begun_s if now_s is None else min(begun_s, now_s)
            end_s = max(begun_s, first_s + STAYS_S, -1.0 if now_s is None else now_s)
            begun_s = first_s
        mark = new_mark(kind, points_px, begun_s, end_s, self._colour, text)
        self._session.do(AddMark(mark))
        self.choose(mark.id)

    def move(self, points: tuple[Point, ...], moved: int | None = None, gesture: str = "") -> None:
        """Put the points of the selected mark elsewhere; plumb and level lines stay so."""
        mark = self.selected
        if mark is None:
            return
        if moved is not None:
            points = straightened(mark.kind, points, self.quarter_turns, moved)
        if points != mark.points_px:
            self._session.do(EditMark(mark.id, points_px=points, gesture=self._gesture(gesture)))

    def _shifted(self, mark: Mark, dx: int, dy: int) -> tuple[Point, ...]:
        size = self._picture.source_size
        step_px = STEP_SHARE * size.height() if size is not None else 1.0
        x, y = self._picture.step_in_video(dx, dy)
        return tuple((px + x * step_px, py + y * step_px) for px, py in mark.points_px)

    @property
    def quarter_turns(self) -> int:
        """How the coach turned the picture; plumb and level are meant as seen."""
        return self._session.state.turn.quarter_turns

    def _tell_choice(self) -> None:
        self._selection.mark_id = self._chosen

    def copy_here(self) -> None:
        """Draw the selected mark again on the frame on screen."""
        mark, now_s = self._asked(), self.moment()
        if mark is None or now_s is None:
            return
        if mark in self.shown:
            self._messages.say("The mark is on this frame already; go to another one.")
            return
        copy_id = uuid.uuid4().hex
        self._do(CopyMark(mark.id, copy_id, now_s))
        self.choose(copy_id)

    def span_stroke(self) -> None:
        """Show the selected mark through its stroke, or on its frame only."""
        mark, clock = self._asked(), self._transport.clock
        if mark is None:
            return
        if mark.end_s is not None:
            self._do(EditMark(mark.id, end_s=None))
            self._messages.say("The mark stands on its first frame only.")
            return
        stroke = clock.stroke_at(mark.video_s) if clock is not None else None
        if clock is None or stroke is None:
            self._messages.warn(
                "There is no stroke here; go to the last frame for the mark and show it to there."
            )
            return
        span = clock.span_of(stroke)
        start_s = max(min(span.start_s, mark.video_s), 0.0)
        self._do(EditMark(mark.id, video_s=start_s, end_s=max(span.end_s, mark.video_s)))
        self._messages.say("The mark stands through its stroke; again for one frame.")

    def span_to_here(self) -> None:
        """Show the selected mark from its frame to the one on screen."""
        mark, now_s = self._asked(), self.moment()
        if mark is None or now_s is None:
            return
        first_s, last_s = min(mark.video_s, now_s), max(mark.video_s, now_s)
        self._do(EditMark(mark.id, video_s=first_s, end_s=last_s))
        self._messages.say(f"The mark stands for {last_s - first_s:.2f} s.")

    def set_length(self, metres: float) -> None:
        """Say how long the selected distance really is: the scale of this picture."""
        mark = self.selected
        if mark is not None and mark.kind == "distance" and metres > 0:
            pixels = length_px(mark.points_px)
            if pixels > 0:
                self._do(SetScale(metres / pixels))

    def forget_scale(self) -> None:
        """Distances are in pixels again."""
        if self.metres_per_px is None:
            self._messages.say("No length was told here; distances are in pixels already.")
        else:
            self._do(SetScale(None))
