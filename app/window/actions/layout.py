"""How the window is divided among what stands in it."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum, auto

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QBoxLayout, QFrame, QSplitter, QWidget

from app.review.parts.picture import PictureTurn
from app.window.actions.feature import Places
from app.window.session.footage import Footage
from app.window.tasks.message_line import MessageLine
from app.window.views.trace_view import TraceView
from app.window.widgets.scroll_frame import ScrollFrame

SIDE_WIDTH = 390
NARROW_SIDE = 318
NARROW = 1100  # a window below it gives the picture what the side can spare
TIGHT_LINES = 53  # a room narrower than so many lines are high has nothing beside its large curve
LEAST_SIDE = QSize(0, 90)  # below it the side would hardly show a line
TRACE_PX = 90  # the lowest a force trace can be read at
TIME_PX = 46  # a line of time with the pins of the notes, where there is no force
NO_PICTURE_PX = 64  # a line that says what footage would add
MOST_PX = 16_777_215  # what the toolkit calls without a bound
LEAST = QSize(400, 220)  # where even that is too much, all of it scrolls


class Kind(Enum):
    """What is open, as far as the room goes."""

    NOTHING = auto()
    FILM = auto()
    FORCE = auto()
    BOTH = auto()
    PORTRAIT = auto()  # both, and the film is higher than it is wide


def kind_of(footage: Footage | None, has_curves: bool, turn: PictureTurn) -> Kind:
    """What the room is divided for.

    Parameters
    ----------
    has_curves : strokes are known, from a force or from the picture
    """
    if footage is None:
        return Kind.FORCE if has_curves else Kind.NOTHING
    if not has_curves:
        return Kind.FILM
    on_its_side = turn.quarter_turns % 2 == 1
    is_high = footage.facts.height > footage.facts.width
    return Kind.PORTRAIT if is_high != on_its_side else Kind.BOTH


class Layout(QObject):
    """The picture with its rows, the curves and the tabs beside it, the trace below.

    What is open decides who has the room: a film alone has no curve beside it and a line of time
    below, a force alone has its curve in the picture's place, and a film that is higher than wide
    has the curve and the tabs side by side.

    Attributes
    ----------
    whole : what fills the window
    kind : what it is divided for now
    """

    def __init__(self, places: Places, tasks: QWidget, trace: TraceView, line: MessageLine) -> None:
        super().__init__(places.window)
        self._curves, self._stage, self._trace = places.curves, places.stage, trace
        self.kind = Kind.BOTH
        # From the window inwards: whoever gets a parent is dressed anew with all that is in it;
        # and in the order in which the Tab key goes through.
        self.whole, column = _in_row(places.window)
        self._halves = halves = _split(Qt.Orientation.Vertical)
        self._room = room = ScrollFrame(halves, LEAST)
        _fill(column, (tasks, room), room)
        self._across = above = _split(Qt.Orientation.Horizontal)
        halves.addWidget(above)
        self._pictures = _split(Qt.Orientation.Vertical)
        left, under_picture = _in_row()
        above.addWidget(left)
        _fill(under_picture, (self._pictures,), self._pictures)
        self._pictures.addWidget(places.stage)
        _fill(under_picture, places.under_picture)
        self._right = _split(Qt.Orientation.Vertical)
        self._side = side = ScrollFrame(self._right, LEAST_SIDE)
        above.addWidget(side)
        self._right.addWidget(self._curves)
        alone, self._beside = _in_row()
        self._curves.insertWidget(0, alone)
        _fill(self._beside, (places.stroke_panel, *places.under_curve), places.stroke_panel)
        self._curves.setCurrentIndex(0)
        self._tabs, under_tabs = _in_row()
        self._right.addWidget(self._tabs)
        _fill(under_tabs, (places.tabs, *places.under_tabs), places.tabs)
        below, over_trace = _in_row()
        halves.addWidget(below)
        _fill(over_trace, (*places.over_trace, trace), trace)
        column.addWidget(line)
        self._right.setSizes([410, 290])
        above.setSizes([890, SIDE_WIDTH])
        above.setStretchFactor(0, 1)
        self._is_narrow = self._is_tight = False
        halves.setSizes([640, 140])
        halves.setStretchFactor(0, 1)
        above.installEventFilter(self)
        room.installEventFilter(self)
        self._curves.currentChanged.connect(self._make_room)
        self._stage.currentChanged.connect(self._make_room)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Give the picture more of a window that has become narrow, and less again."""
        is_resized = watched is self._across and event.type() == QEvent.Type.Resize
        if is_resized and self._is_narrow != (self._across.width() < NARROW):
            self._is_narrow = not self._is_narrow
            self._share_width()
        if watched is self._room and event.type() == QEvent.Type.Resize:
            tight_px = TIGHT_LINES * self._room.fontMetrics().height()
            if self._is_tight != (self._room.width() < tight_px):
                self._is_tight = not self._is_tight
                self._turn_beside()
        return super().eventFilter(watched, event)

    def arrange(self, kind: Kind) -> None:
        """Divide the room for what is open now; what a hand has moved stays until that changes."""
        if kind == self.kind:
            return
        self.kind = kind
        if self.has_large_curve != (kind == Kind.FORCE):
            self.toggle_large_curve()
        self._trace.show_axes(
            left=kind not in (Kind.FILM, Kind.NOTHING), bottom=kind != Kind.NOTHING
        )
        self._side.setVisible(kind != Kind.NOTHING)
        self._make_room()
        self._share_width()
        is_low = kind in (Kind.NOTHING, Kind.FILM)
        self._halves.setSizes([MOST_PX if is_low else 640, 1 if is_low else 140])

    def _make_room(self, *_page: int) -> None:
        """Keep low what there is nothing to see in, unless a feature put something there."""
        low = {Kind.NOTHING: 0, Kind.FILM: TIME_PX}.get(self.kind)
        self._trace.setMinimumHeight(TRACE_PX if low is None else low)
        self._trace.setMaximumHeight(MOST_PX if low is None else low)
        is_bare = self.kind in (Kind.NOTHING, Kind.FILM) and self._curves.currentIndex() == 0
        self._curves.setVisible(not is_bare)
        no_picture = self.kind == Kind.FORCE and self._stage.currentIndex() == 0
        self._stage.setMaximumHeight(NO_PICTURE_PX if no_picture else MOST_PX)

    def _share_width(self) -> None:
        wide = self._across.width()
        tall = self.kind == Kind.PORTRAIT and not self._is_narrow
        side = NARROW_SIDE if self._is_narrow else 2 * SIDE_WIDTH if tall else SIDE_WIDTH
        way = Qt.Orientation.Horizontal if tall else Qt.Orientation.Vertical
        if self._right.orientation() != way:
            self._right.setOrientation(way)
            self._right.setSizes([SIDE_WIDTH, SIDE_WIDTH] if tall else [410, 290])
        # What the side cannot do without in a large font, the picture does not ask for in vain.
        side = max(side, self._side.minimumSizeHint().width())
        self._across.setSizes([max(wide - side, 0), side])
        self._turn_beside()

    def _turn_beside(self) -> None:
        """Put what stands under the curve beside it where that is wide and low."""
        is_high = self.kind == Kind.FORCE and not self._is_narrow
        is_beside = self.has_large_curve and not is_high and not self._is_tight
        way = QBoxLayout.Direction
        self._beside.setDirection(way.LeftToRight if is_beside else way.TopToBottom)

    @property
    def has_large_curve(self) -> bool:
        """Whether the curve has the lower half, under the picture."""
        return self._pictures.indexOf(self._curves) >= 0

    def toggle_large_curve(self) -> None:
        """Give the curve the lower half under the picture, or its place beside it again."""
        if self.has_large_curve:
            self._right.insertWidget(0, self._curves)
            self._right.setSizes([410, 290])
        else:
            self._pictures.addWidget(self._curves)
            self._pictures.setSizes([420, 580])
        self._turn_beside()


def _split(way: Qt.Orientation) -> QSplitter:
    splitter = QSplitter(way)
    splitter.setChildrenCollapsible(False)
    return splitter


def _in_row(parent: QWidget | None = None) -> tuple[QFrame, QBoxLayout]:
    """From the top down, until the layout is turned."""
    frame = QFrame(parent)
    column = QBoxLayout(QBoxLayout.Direction.TopToBottom, frame)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    return frame, column


def _fill(column: QBoxLayout, widgets: Iterable[QWidget], stretch: QWidget | None = None) -> None:
    for widget in widgets:
        column.addWidget(widget, 1 if widget is stretch else 0)
