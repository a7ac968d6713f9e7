"""Everything about comparing strokes on the bench, put together."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QStackedWidget, QTabWidget, QVBoxLayout, QWidget
from shiboken6 import isValid

from app.review.references import ReferenceList
from app.review.stroke_ref import StrokeRef
from app.window.comparing.adjusting import Adjusting
from app.window.comparing.comparing import Comparing
from app.window.comparing.comparison_bar import ComparisonBar
from app.window.comparing.comparison_chooser import ComparisonChooser, Offered
from app.window.comparing.comparison_source import own_recording
from app.window.comparing.comparison_tab import ComparisonTab
from app.window.comparing.pair_curves import PairCurves
from app.window.comparing.pair_panel import PairPanel
from app.window.comparing.pair_view import PairView
from app.window.comparing.references import References
from app.window.comparing.second_marks import SecondMarks
from app.window.comparing.self_test_dialog import SelfTestDialog
from app.window.desk import Desk
from app.window.drawing.drawing import Drawing
from app.window.jobs import Jobs
from app.window.message_line import Messages
from app.window.notes.recordings_shelf import RecordingsShelf
from app.window.picture.frame_supply import FrameSupply
from app.window.picture.picture import PictureView
from app.window.picture.stroke_clock import NEAR_S
from app.window.playhead import Playhead, Span
from app.window.settings import Settings


class Comparisons(QObject):
    """Makes the parts, and opens what asks the coach something."""

    def __init__(
        self,
        playhead: Playhead,
        desk: Desk,
        supply: FrameSupply,
        picture: PictureView,
        jobs: Jobs,
        messages: Messages,
        settings: Settings,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._playhead, self._desk, self._jobs = playhead, desk, jobs
        self._messages, self._settings = messages, settings
        self.shelf = RecordingsShelf(desk, jobs, self)
        self.comparing = Comparing(playhead, desk, supply, picture, self.shelf, messages, self)
        self.adjusting = Adjusting(self.comparing, desk, playhead, messages)
        self.references = References(self.comparing, desk, playhead, self.shelf, jobs, messages)
        self.page = QWidget()
        view = PairView()
        self.curves = PairCurves(self.comparing, playhead, view, self)
        self._panel = PairPanel(view, self.curves, self.comparing)

    def add_under_curves(self, widget: QWidget) -> None:
        """Put something under the curves of both strokes."""
        self._panel.add_under_curves(widget)

    def draw_marks(self, drawing: Drawing) -> None:
        """Show on the right picture, too, what is drawn on its frames."""
        SecondMarks(self.comparing, drawing)

    def lay_out(
        self, window: QWidget, stage: QStackedWidget, actions: Mapping[str, QAction]
    ) -> None:
        """Put the row of buttons under the pictures; dialogs belong to the window."""
        self._window = window

        def come_forward(shown: str) -> None:
            if shown:  # the stroke strip may stand there
                stage.setCurrentWidget(self.page)

        self.comparing.shown.connect(come_forward)
        column = QVBoxLayout(self.page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.comparing.stage, 1)
        column.addWidget(ComparisonBar(self.comparing, self.adjusting, actions))

    def take_the_place_of(self, *alone: QWidget) -> QStackedWidget:
        """Show both curves in the place of what is shown of one stroke, while two are compared."""
        stack = QStackedWidget()
        one = QWidget()
        column = QVBoxLayout(one)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for widget in alone:
            column.addWidget(widget, 0 if column.count() else 1)
        stack.addWidget(one)
        stack.addWidget(self._panel)
        self.comparing.shown.connect(lambda shown: stack.setCurrentIndex(1 if shown else 0))
        return stack

    def stand_in(self, tabs: QTabWidget, actions: Mapping[str, QAction]) -> None:
        """Have a tab of our own, which comes to the front with a comparison."""
        self.tab = ComparisonTab(self.comparing, self.adjusting, self._desk, self._jobs, actions)
        tabs.addTab(self.tab, "Compare")
        self._tabs = tabs

        def come_forward(shown: str) -> None:
            if shown:
                tabs.setCurrentWidget(self.tab)

        self.comparing.shown.connect(come_forward)

    def toggle(self) -> None:
        """Show the last comparison or the picture alone; ask for two strokes the first time."""
        if not self.comparing.toggle():
            self.choose()

    def choose(self) -> None:
        """Ask what to put beside this stroke."""
        if self._desk.review is None:
            self._messages.warn("Open a submission first; then a stroke can be compared.")
            return
        self._playhead.pause()
        chooser = ComparisonChooser(
            own_recording(self._desk),
            self._playhead.moment_s,
            self._offered(),
            self.shelf,
            self.comparing.add,
            self._seen,
            self._window,
        )
        chooser.show()

        def offer(library: ReferenceList) -> None:
            if isValid(chooser):  # else it was closed meanwhile
                chooser.offer_references(library)

        self.references.find(offer)

    def this_stroke(self) -> StrokeRef | None:
        """The stroke under the playhead; the left one of a comparison where none is known."""
        own, here_s = own_recording(self._desk), self._playhead.moment_s
        for stroke in reversed(own.strokes()):
            ref = own.ref(stroke)
            if ref.catch_s - NEAR_S <= here_s < ref.next_catch_s:
                return ref
        comparison = self.comparing.in_hand
        return comparison.left if comparison is not None else None

    def keep_reference(self) -> None:
        """Ask what to remember of the stroke under the playhead, and put it into the library."""
        self.references.ask_to_keep(self.this_stroke(), self._window)

    def show_references(self) -> None:
        """Open the library of reference strokes."""
        self.references.show(self.this_stroke, self._window)

    def write_title(self) -> None:
        """Put the hand into the title of the comparison on screen."""
        self._tabs.setCurrentWidget(self.tab)
        self.tab.choice.write()

    def edit_self_test(self) -> None:
        """Open the editor of the self-test."""
        dialog = SelfTestDialog(self._desk, self.this_stroke, self._both, self._window)
        dialog.stroke_wanted.connect(self._go_to)
        dialog.show()

    def _both(self) -> tuple[StrokeRef, ...]:
        comparison = self.comparing.in_hand
        return () if comparison is None else (comparison.left, comparison.right)

    def _go_to(self, stroke: StrokeRef) -> None:
        self.comparing.show("")
        self._playhead.set_loop(Span(stroke.catch_s, stroke.next_catch_s))
        self._playhead.seek(stroke.catch_s)

    def close(self) -> None:
        """End everything that runs."""
        self.comparing.close()

    def _seen(self, path: Path) -> str:
        review = self._desk.review
        return seen_from(path, review.path if review is not None else None)

    def _offered(self) -> tuple[Offered, ...]:
        """Give the piece on the bench, the library, and the reviews opened lately."""
        review = self._desk.review
        here = review.path if review is not None else None
        recent = [p for p in self._settings.recent_reviews() if here is None or not _same(p, here)]
        return (
            Offered("This piece", StrokeRef("", 0.0, 1.0, 2.0)),
            *(Offered(p.stem, StrokeRef(seen_from(p, here), 0.0, 1.0, 2.0)) for p in recent),
        )


def seen_from(path: Path, review: Path | None) -> str:
    """A review's path as seen from another one, where the two lie close; else the whole path."""
    absolute = path.absolute()
    if review is None:
        return absolute.as_posix()
    try:
        relative = Path(os.path.relpath(absolute, review.absolute().parent))
    except ValueError:  # another drive
        return absolute.as_posix()
    return (absolute if relative.parts.count("..") > 2 else relative).as_posix()


def _same(one: Path, other: Path) -> bool:
    return one.absolute() == other.absolute()
