"""The bench: the parts every feature meets in, and where the features stand.

The window is on the screen before its parts are made: each room is imported in the step that makes
of it, never here above.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QMainWindow, QStackedWidget

from app.window.actions.appearance import Appearance
from app.window.actions.context import ActionContext
from app.window.session.settings import Settings
from app.window.widgets.opening_page import OpeningPage

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState
    from app.window.actions.conditions import Conditions
    from app.window.actions.feature import Feature, Places

CLOSING_S = 1.0  # a saving under way may hold up closing so long without a word

T = TypeVar("T")


class MainWindow(QMainWindow):
    """Makes what the features meet in, then the features, and lays out what they have to show.

    Parameters
    ----------
    features : all of them where none are named
    in_steps : whether whoever makes the window goes through `steps` while it is on the screen

    Attributes
    ----------
    steps : the making of what is still missing, short enough for the window to answer in between
    is_made : whether all of it is there
    opening_page : what stands in the window until then
    dropped : the files that were dropped on it until then
    """

    def __init__(
        self,
        settings: Settings | None = None,
        features: Sequence[type[Feature]] | None = None,
        *,
        in_steps: bool = False,
    ) -> None:
        super().__init__()
        self.setWindowTitle("Strokeside")
        self.setAcceptDrops(True)
        self.context = ActionContext()
        self.context.offer_as(QMainWindow, self)
        settings = settings or Settings()
        self.context.offer(settings, Appearance(settings, self))
        self.is_made = False
        self.dropped: list[Path] = []
        self.opening_page = OpeningPage()
        self.setCentralWidget(self.opening_page)
        self.steps = self._make(settings, features)
        if not in_steps:
            self.make_the_rest()

    def make_the_rest(self) -> None:
        """Make what is still missing, without a pause."""
        for _step in self.steps:
            pass

    def _make(self, settings: Settings, features: Sequence[type[Feature]] | None) -> Iterator[None]:
        """Make the bench in steps, between which the window may answer."""
        self._make_session(settings)
        yield
        yield from self._make_views()
        if features is None:
            from app.window.feature_list import FEATURES

            features = FEATURES
            yield
        made = []
        for kind in features:
            made.append(kind(self.context))
            yield
        self._features = tuple(made)
        self.context.offer(*self._features)
        yield from self._lay_out()
        self._connect()
        self._showing.show_recordings()
        self._arrange()
        self.is_made = True

    def __getitem__(self, kind: type[T]) -> T:
        """Give the part of a type, as the context does."""
        return self.context[kind]

    def _make_session(self, settings: Settings) -> None:
        """The open review, what moves and what is chosen in it, and what runs."""
        from app.window.session.coach_library import CoachLibrary
        from app.window.session.incoming_files import IncomingFiles
        from app.window.session.known_recordings import KnownRecordings
        from app.window.session.last_times import LastTimes
        from app.window.session.library_filling import LibraryFilling
        from app.window.session.modes import Modes
        from app.window.session.playhead import Playhead
        from app.window.session.review_session import ReviewSession
        from app.window.session.selection import Selection
        from app.window.sound.microphone_use import MicrophoneUse
        from app.window.sound.writing_down import WritingDown
        from app.window.tasks.jobs import Jobs
        from app.window.tasks.message_line import Messages
        from app.window.tasks.unfinished import UnfinishedWork

        self.messages = Messages(self)
        self.jobs = Jobs(self)
        self.unfinished = UnfinishedWork(self.jobs, self.messages, self)
        self.playhead = Playhead(self)
        self.session = ReviewSession(self.jobs, self.messages, settings, self)
        self.modes = Modes(self)
        self.library = CoachLibrary(self.jobs, self)
        self.filling = LibraryFilling(self.session, self.library, self.messages)
        known = KnownRecordings(self.session, self.jobs, self.messages, self)
        self.context.offer(
            self.messages, self.jobs, self.playhead, self.session, self.modes, known,
            Selection(self), IncomingFiles(self.session, self), MicrophoneUse(self),
            self.unfinished, self.library, self.filling, LastTimes(self.session, self.library),
            WritingDown(self.session, self.jobs, self.messages, settings, self),
        )  # fmt: skip
        self.context.offer(self._make_conditions())

    def _make_conditions(self) -> Conditions:
        from app.window.actions.conditions import Conditions

        conditions, session = Conditions(self), self.session

        def has_footage() -> bool:
            return session.footage is not None

        def has_force() -> bool:
            return session.submission.piece is not None

        conditions.add(
            "recordings",
            lambda: has_footage() or has_force(),
            "open footage or force first",
            session.recordings_changed,
        )
        conditions.add("review", lambda: session.review is not None, "open a submission first")
        conditions.add("footage", has_footage, "needs footage")
        conditions.add("force", has_force, "needs a force file")
        conditions.add(
            "strokes",
            lambda: session.submission.rowed is not None,
            "needs a force file, or “Follow the body” in the Picture menu",
            session.body_changed,
        )
        conditions.add("drawing", lambda: self.modes.any_on, "no mode is on", self.modes.changed)
        return conditions

    def _make_views(self) -> Iterator[None]:
        """The picture, the trace and the stroke's curve, which features draw on."""
        from app.window.views.frame_supply import FrameSupply
        from app.window.views.picture import PictureView
        from app.window.views.shown_marks import ShownMarks
        from app.window.views.sound_player import SoundPlayer
        from app.window.views.stage import Stage
        from app.window.views.transport import Transport

        session, playhead, messages = self.session, self.playhead, self.messages
        self.transport = Transport(playhead, session, messages, self)
        self.supply = FrameSupply(playhead, self)
        self.sound = SoundPlayer(playhead, self)
        self.picture = PictureView()
        self.stage = Stage(self.picture)
        yield
        from app.window.views.curve_view import CurveView
        from app.window.views.stroke_panel import StrokeView
        from app.window.views.trace_view import TraceView

        self.trace = TraceView()
        yield
        self.curve = CurveView()
        self.view = StrokeView(playhead, session, self.transport, self.curve, self)
        self.context.offer(
            self.transport, self.supply, self.sound, self.picture, self.trace, self.curve,
            self.view, self.stage, ShownMarks(session, self),
        )  # fmt: skip
        yield

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Files may be dropped anywhere."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open what was dropped."""
        urls = event.mimeData().urls()
        self.drop([Path(u.toLocalFile()) for u in urls if u.isLocalFile()])
        event.acceptProposedAction()

    def drop(self, paths: Sequence[Path]) -> None:
        """Open files that were dropped, as soon as there is a bench to open them on."""
        if not self.is_made:
            self.dropped.extend(paths)
        elif paths:
            from app.window.session.incoming_files import IncomingFiles

            self[IncomingFiles].open(list(paths))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Say why the key of an action that can do nothing now did nothing."""
        why = self.is_made and self.menus.why_not(QKeySequence(event.keyCombination()))
        if event.key() == Qt.Key.Key_Escape:
            event.accept()  # pressed to be sure that nothing is on; nothing is
        elif why:
            self.messages.say(why)
            event.accept()
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """End everything that runs, once the review is saved or the coach has said what to do."""
        if not self.is_made:
            # What is half made could not be ended; the rest takes less than a second, unseen.
            self.hide()
            self.make_the_rest()
        self.playhead.pause()
        for feature in self._features:
            feature.pause()
        if not self.unfinished.is_none:
            event.ignore()
            self.unfinished.ask(lambda: (self.close(), None)[1])
            return
        if not self.session.leaving.is_free(CLOSING_S):
            event.ignore()
            self.session.leaving.begin(lambda: (self.close(), None)[1])
            return
        self.filling.keep_now()
        self.hide()  # gone at once: what ends now takes a moment that nobody need watch
        self.jobs.cancel_all()
        self.supply.close()
        for feature in self._features:
            feature.close()
        self.sound.close()
        self[Appearance].close()
        self.session.close()
        self.library.close()
        event.accept()

    def _lay_out(self) -> Iterator[None]:
        from app.window.actions.menu_order import in_order
        from app.window.actions.menus import Menus
        from app.window.actions.window_actions import WINDOW_ACTIONS
        from app.window.tasks.message_line import MessageLine
        from app.window.views.stroke_panel import StrokePanel
        from app.window.widgets.side_tabs import SideTabs

        of_features = (row for feature in self._features for row in feature.actions)
        rows = in_order((*of_features, *WINDOW_ACTIONS))
        self.menus = Menus(self, rows, self.context)
        self.context.offer(self.menus)
        yield
        self.message_line = MessageLine(self.messages)
        self.stroke_panel = StrokePanel(self.curve)
        self.stroke_panel.listen(self.view, self.session)
        self.tabs = SideTabs()
        places = self._places()
        for feature in self._features:
            feature.lay_out(places)
            yield
        for widget in places.end_of_line:
            self.message_line.stand_at_end(widget)
        self._divide(places)

    def _places(self) -> Places:
        from app.window.actions.feature import Places

        # The keys stand here when nobody has them, as after a dialog: never in a field, where
        # the keys of the bench would be typed.
        self.stage.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.stage.setAccessibleName("Picture")
        return Places(
            self, self.menus.actions, self.menus.bar_actions(), self.stage, self.stroke_panel,
            QStackedWidget(), self.tabs,
        )  # fmt: skip

    def _divide(self, places: Places) -> None:
        from app.window.actions.layout import Layout
        from app.window.actions.task_bar import TaskBar

        self.tasks = TaskBar(places.bar_actions, self.menus.sections(), places.task_corner)
        self.division = Layout(places, self.tasks, self.trace, self.message_line)
        self.context.offer(self.division)
        self.setCentralWidget(self.division.whole)
        for one, next_one in pairwise(places.tab_order):
            self.setTabOrder(one, next_one)

    def _connect(self) -> None:
        from app.window.session.selection import Selection
        from app.window.views.showing import Showing

        self._showing = Showing(
            self.session, self.playhead, self[Selection], self.supply, self.sound, self.picture,
            self.trace, self.view, self.messages, self,
        )  # fmt: skip
        self.session.recordings_changed.connect(self._arrange)
        self.session.body_changed.connect(self._arrange)
        self.session.state_changed.connect(self._take_state)
        self.session.file_changed.connect(self._show_title)
        self.modes.changed.connect(lambda: self.message_line.show_mode(self.modes.words))
        self.jobs.started.connect(self.message_line.work.watch)
        self.jobs.ended.connect(self.message_line.work.leave)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        self._show_title()
        if state.turn != before.turn:
            self._arrange()

    def _arrange(self) -> None:
        """What is open decides how the room is divided."""
        from app.window.actions.layout import kind_of

        session = self.session
        has_curves = session.submission.rowed is not None
        self.division.arrange(kind_of(session.footage, has_curves, session.state.turn))

    def _show_title(self) -> None:
        review = self.session.review
        name = review.path.name if review is not None and review.path else ""
        self.setWindowTitle(f"{name} – Strokeside" if name else "Strokeside")
