"""Everything about comparing strokes on the bench, put together."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QStackedWidget, QWidget
from shiboken6 import isValid

from app.review.references import ReferenceList
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.adjusting import Adjusting
from app.window.features.comparing.comparing import Comparing
from app.window.features.comparing.comparison_bar import ComparisonBar
from app.window.features.comparing.comparison_chooser import ComparisonChooser, Offered
from app.window.features.comparing.comparison_tab import ComparisonTab
from app.window.features.comparing.pair_curves import PairCurves
from app.window.features.comparing.pair_panel import PairPanel
from app.window.features.comparing.pair_signals import PairSignals
from app.window.features.comparing.pair_view import PairView
from app.window.features.comparing.references import References
from app.window.features.comparing.second_marks import SecondMarks
from app.window.features.comparing.self_test_dialog import SelfTestDialog
from app.window.session.other_recordings import own_recording
from app.window.session.playhead import Playhead, Span
from app.window.session.recent_words import words_of
from app.window.session.recording_cache import RecordingsShelf
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.frame_supply import FrameSupply
from app.window.views.picture import PictureView
from app.window.views.shown_marks import ShownMarks
from app.window.views.stage import Stage
from app.window.views.stroke_clock import NEAR_S
from app.window.widgets.side_tabs import SideTabs


class Comparisons(QObject):
    """Makes the parts, and opens what asks the coach something."""

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        supply: FrameSupply,
        picture: PictureView,
        marks: ShownMarks,
        jobs: Jobs,
        messages: Messages,
        settings: Settings,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._playhead, self._session, self._jobs = playhead, session, jobs
        self._messages, self._settings = messages, settings
        self.shelf = RecordingsShelf(session, jobs, self)
        self.comparing = Comparing(playhead, session, supply, picture, self.shelf, messages, self)
        self.adjusting = Adjusting(self.comparing, session, playhead, messages)
        self.references = References(self.comparing, session, playhead, self.shelf, jobs, messages)
        SecondMarks(self.comparing, marks)
        view = PairView()
        self.curves = PairCurves(self.comparing, playhead, view, self)
        self.signals = PairSignals(self.curves, session)
        self._panel = PairPanel(view, self.curves, self.comparing)
        self._panel.add_under_curves(self.signals)

    def stand_under_pictures(self, stage: Stage, actions: Mapping[str, QAction]) -> None:
        """Put the second picture beside the first and the row of buttons under them."""

        def come_forward(shown: str) -> None:
            if shown:  # the stroke strip may stand there
                stage.go_home()

        self.comparing.shown.connect(come_forward)
        bar = ComparisonBar(self.comparing, self.adjusting, actions)
        stage.put_around_picture(self.comparing.stage, bar)

    def take_the_place_of(self, curves: QStackedWidget) -> None:
        """Show both curves in the place of what is shown of one stroke, while two are compared."""
        curves.addWidget(self._panel)
        self.comparing.shown.connect(
            lambda shown: (
                curves.setCurrentWidget(self._panel) if shown else curves.setCurrentIndex(0)
            )
        )

    def stand_in(self, tabs: SideTabs, actions: Mapping[str, QAction]) -> None:
        """Have a tab of our own, which comes to the front with a comparison."""
        self.tab = ComparisonTab(self.comparing, self.adjusting, self._session, self._jobs, actions)
        tabs.add(self.tab, "Compare")
        self._tabs = tabs

        def come_forward(shown: str) -> None:
            if shown:
                tabs.setCurrentWidget(self.tab)

        self.comparing.shown.connect(come_forward)

    @property
    def is_right_mirrored(self) -> bool:
        """Whether the right picture is mirrored."""
        selected = self.comparing.selected
        return selected is not None and selected.fit.mirrored

    @property
    def has_other_marks(self) -> bool:
        """Whether the other review's marks are shown."""
        selected = self.comparing.selected
        return selected is not None and selected.other_marks

    def toggle(self) -> None:
        """Show the last comparison or the picture alone; ask for two strokes the first time."""
        if not self.comparing.toggle():
            self.choose()

    def choose(self) -> None:
        """Ask what to put beside this stroke."""
        if self._session.review is None:
            self._messages.warn("Open a submission first; then a stroke can be compared.")
            return
        self._playhead.pause()
        chooser = ComparisonChooser(
            own_recording(self._session),
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
        own, here_s = own_recording(self._session), self._playhead.moment_s
        for stroke in reversed(own.strokes()):
            ref = own.ref(stroke)
            if ref.catch_s - NEAR_S <= here_s < ref.next_catch_s:
                return ref
        comparison = self.comparing.selected
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
        dialog = SelfTestDialog(self._session, self.this_stroke, self._both, self._window)
        dialog.stroke_wanted.connect(self._go_to)
        dialog.show()

    def _both(self) -> tuple[StrokeRef, ...]:
        comparison = self.comparing.selected
        return () if comparison is None else (comparison.left, comparison.right)

    def _go_to(self, stroke: StrokeRef) -> None:
        self.comparing.show("")
        self._playhead.set_loop(Span(stroke.catch_s, stroke.next_catch_s))
        self._playhead.seek(stroke.catch_s)

    def close(self) -> None:
        """End everything that runs."""
        self.comparing.close()

    def _seen(self, path: Path) -> str:
        review = self._session.review
        return seen_from(path, review.path if review is not None else None)

    def _offered(self) -> tuple[Offered, ...]:
        """Give the piece on the bench, the library, and the reviews opened lately."""
        review = self._session.review
        here = review.path if review is not None else None
        recent = [p for p in self._settings.recent_reviews() if here is None or not _same(p, here)]
        return (
            Offered("This piece", StrokeRef("", 0.0, 1.0, 2.0)),
            *(
                Offered(words_of(p, self._settings), StrokeRef(seen_from(p, here), 0.0, 1.0, 2.0))
                for p in recent
            ),
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
