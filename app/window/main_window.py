"""The bench: which part stands where, and who listens to whom."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QFrame,
    QMainWindow,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.review.state import ReviewState
from app.submission.clock import ReviewClock
from app.submission.sections import sections_of
from app.window.acting.action_row import Controls
from app.window.acting.actions import ACTIONS
from app.window.acting.key_card import ActionSearch, KeyCard
from app.window.acting.menus import Menus
from app.window.comparing.comparisons import Comparisons
from app.window.desk import Desk
from app.window.drawing.blur_bar import BlurBar
from app.window.drawing.drawing_bar import DrawingBar
from app.window.drawing.pens import Pens
from app.window.force.auto_line_up import AutoLineUp
from app.window.force.curve_view import CurveView
from app.window.force.findings import Findings
from app.window.force.line_up import LineUp
from app.window.force.line_up_view import LineUpView
from app.window.force.standing import Standing
from app.window.force.stroke_panel import StrokePanel, StrokeView
from app.window.force.target_panel import TargetEditor, TargetPanel
from app.window.force.trace_view import TraceView
from app.window.force.wheel import Wheel
from app.window.invitation import Invitation
from app.window.jobs import Jobs
from app.window.keeping.saved_sign import SavedSign
from app.window.keeping.way_out import WayOut
from app.window.known_recordings import KnownRecordings
from app.window.material import Material
from app.window.message_line import MessageLine, Messages
from app.window.name_panel import NamePanel
from app.window.notes.notes_panel import Notes, NotesPanel
from app.window.notes.voice import Voice
from app.window.opening import Opening
from app.window.picture.capture_rate import CaptureRate
from app.window.picture.frame_supply import FrameSupply
from app.window.picture.legend import Legend
from app.window.picture.limits import Limits
from app.window.picture.picture import PictureView
from app.window.picture.sound_player import SoundPlayer
from app.window.picture.strip_view import Strips, StripView
from app.window.picture.transport import Transport
from app.window.picture.transport_bar import TransportBar
from app.window.playhead import Playhead
from app.window.question_panel import QuestionPanel
from app.window.sending.answers import Answers
from app.window.sending.sending import Sending
from app.window.settings import Settings
from app.window.side_tabs import SideTabs
from app.window.signals.signals import Signals
from app.window.walkthrough.walkthroughs import WalkBench, Walkthroughs

NO_FOOTAGE = "No footage.\nDrop it here, or work from the force alone."
OUTSIDE = "The footage does not show this moment."
SIDE_WIDTH = 390
CLOSING_S = 1.0  # a saving under way may hold up closing so long without a word


class MainWindow(QMainWindow):
    """Puts the parts together; each part does its own work."""

    def __init__(self, settings: Settings | None = None) -> None:
        super().__init__()
        self.setWindowTitle("Strokeside")
        self.setAcceptDrops(True)
        self.messages = Messages(self)
        self.jobs = Jobs(self)
        self.playhead = Playhead(self)
        settings = settings or Settings()
        self.desk = Desk(self.jobs, self.messages, settings, self)
        self.transport = Transport(self.playhead, self.desk, self.messages, self)
        self.supply = FrameSupply(self.playhead, self)
        self.limits = Limits(self, self.supply, settings)
        self.notes = Notes(self.playhead, self.desk, self.transport, self.messages, self)
        self.findings = Findings(
            self.desk, self.playhead, self.notes, self.jobs, self.messages, self
        )
        self.line_up = LineUp(self.playhead, self.desk, self.messages, self)
        self.auto_line_up = AutoLineUp(self.desk, self.jobs, self.messages, settings, self)
        self.sending = Sending(self.desk, self.jobs, self.messages, settings, self)
        self.answers = Answers(self, self.desk, self.jobs, self.messages)
        self.opening = Opening(self, self.desk, self.jobs, self.messages, self.answers.take)
        self.known = KnownRecordings(
            self.desk, self.jobs, self.messages, self.opening.find_recording, self
        )
        self.way_out = WayOut(self.desk, self.jobs, self.messages, self)
        self._make_picture(settings)
        self._make_curve()
        self._make_stage(settings)
        self.question = QuestionPanel()
        self.names = NamePanel(self.desk)
        self.message_line = MessageLine(self.messages)
        self.message_line.stand_at_end(SavedSign(self.desk.safe))
        self.menus = Menus(self)
        self.menus.connect_to(self._controls())
        self._standing = Standing(self.desk)
        self._lay_out()
        self._connect()
        self._show_material(Material())

    def _make_picture(self, settings: Settings) -> None:
        """The picture, what is drawn on it and what is heard with it."""
        self.picture = PictureView()
        self.pens = Pens(
            self.desk, self.playhead, self.transport, self.picture, self.jobs, self.messages, self
        )
        self.drawing, self.marks = self.pens.drawing, self.pens.marks
        self.blurring, self.blurs = self.pens.blurring, self.pens.blurs
        self.sound = SoundPlayer(self.playhead, self)
        self.voice = Voice(
            self.playhead, self.desk, self.notes, self.sound, self.messages, settings, self
        )
        self.legend = Legend(self.playhead, self.picture, self)

    def _make_curve(self) -> None:
        """The force: the whole trace, and one stroke's curve with its target and marks."""
        self.trace = TraceView()
        self.curve = CurveView()
        self.view = StrokeView(self.playhead, self.desk, self.transport, self.curve, self)
        self.signals = Signals(self.desk, self.messages, self)
        self.signals.show_on(self.trace, self.curve, self.view)
        self.target = TargetEditor(self.desk, self.view, self.curve, self.messages, self)
        self.curve_marks = self.pens.for_curve(self.view, self.curve, self.target)
        self.wheel = Wheel(self.desk, self.view, self.target, self.jobs, self)

    def _make_stage(self, settings: Settings) -> None:
        """What may stand in the picture's place, and what records all that is shown."""
        self.comparisons = Comparisons(
            self.playhead, self.desk, self.supply, self.picture, self.jobs, self.messages, settings,
            self,
        )  # fmt: skip
        self.comparisons.draw_marks(self.drawing)
        self.signals.show_in_comparison(self.comparisons)
        self.stage = QStackedWidget()
        strip = StripView()
        self.stage.addWidget(self.comparisons.page)
        self.stage.addWidget(strip)
        self.invitation = Invitation(self.stage, self.desk, settings)
        self.strips = Strips(
            self.desk, self.view, self.findings, self.jobs, self.messages, self.stage, strip
        )
        self.walkthroughs = Walkthroughs(
            WalkBench(
                self.playhead, self.desk, self.picture, self.drawing, self.strips,
                self.comparisons.comparing, self.view, self.stage, self.sound, self.voice,
                self.jobs, self.messages, settings,
            ),
            self,
        )  # fmt: skip

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Files may be dropped anywhere."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open what was dropped."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        if not self.answers.take(paths):
            self.desk.open_paths(paths)
        event.acceptProposedAction()

    def closeEvent(self, event: QCloseEvent) -> None:
        """End everything that runs, once the review is saved or the coach has said what to do."""
        self.playhead.pause()
        self.voice.close()
        self.walkthroughs.close()
        if not self.desk.leaving.is_free(CLOSING_S):
            event.ignore()
            self.desk.leaving.begin(self._quit)
            return
        self.jobs.cancel_all()
        self.supply.close()
        self.comparisons.close()
        self.sound.close()
        self.desk.close()
        event.accept()

    def _controls(self) -> Controls:
        return Controls(
            desk=self.desk,
            playhead=self.playhead,
            transport=self.transport,
            notes=self.notes,
            findings=self.findings,
            line_up=self.line_up,
            auto_line_up=self.auto_line_up,
            target=self.target,
            sending=self.sending,
            opening=self.opening,
            answers=self.answers,
            trace=self.trace,
            signals=self.signals,
            picture=self.picture,
            drawing=self.drawing,
            curve_drawing=self.curve_marks.drawing,
            blurring=self.blurring,
            stop_drawing=lambda: self.pens.give_up_or_stop(self.comparisons),
            legend=self.legend,
            sound=self.sound,
            strips=self.strips,
            capture_rate=CaptureRate(self, self.desk, self.messages),
            names=self.names,
            voice=self.voice,
            comparisons=self.comparisons,
            walkthroughs=self.walkthroughs,
            limits=self.limits,
            way_out=self.way_out,
            choose_microphone=lambda: self.voice.choose_microphone(self),
            show_flywheel=self._show_flywheel,
            show_line_up=self._show_line_up,
            show_thresholds=self._show_thresholds,
            show_keys=self._show_keys,
            search=self._search,
            quit=self._quit,
        )

    def _lay_out(self) -> None:
        self.bar = TransportBar(self.playhead, self.menus.bar_actions())
        self.stroke_panel = StrokePanel(self.curve)
        self.stroke_panel.listen(self.view, self.desk)
        self.signals.lay_out(self.stroke_panel)
        self.curve_marks.lay_out(self.stroke_panel, self.menus.actions)
        self.notes_panel = NotesPanel(self.notes, self.desk)
        tools = DrawingBar(self.drawing, self.menus.actions)
        self.voice.lay_out(self.stage, self.notes_panel)
        blur_tools = BlurBar(self.blurring, self.menus.actions)
        self.comparisons.lay_out(self, self.stage, self.menus.actions)
        self.invitation.lay_out(self.menus.actions)
        self.menuBar().setCornerWidget(self.names)
        left = _column(self.stage, tools, blur_tools, self.bar, stretch=self.stage)
        target = TargetPanel(self.target, self.desk, self.view)
        self.wheel.told.connect(target.show_wheel)
        # The pen of the target rests meanwhile, and a low screen has no room for both.
        self.curve_marks.drawing.mode_changed.connect(target.setHidden)
        right = QSplitter(Qt.Orientation.Vertical)
        curves = self.comparisons.take_the_place_of(self.stroke_panel, target)
        right.addWidget(curves)
        self.tabs = SideTabs(self.desk, self.findings, self.notes, self.notes_panel, self.answers)
        self.comparisons.stand_in(self.tabs, self.menus.actions)
        self.walkthroughs.lay_out(self.tabs, self.menus.actions)
        right.addWidget(self.tabs)
        right.setSizes([410, 290])
        right.setChildrenCollapsible(False)
        top = QSplitter(Qt.Orientation.Horizontal)
        top.addWidget(left)
        top.addWidget(right)
        top.setStretchFactor(0, 1)
        top.setSizes([890, SIDE_WIDTH])
        top.setChildrenCollapsible(False)
        below = _column(self.question, self._standing, self.trace, stretch=self.trace)
        whole = QSplitter(Qt.Orientation.Vertical)
        whole.addWidget(top)
        whole.addWidget(below)
        whole.setStretchFactor(0, 1)
        whole.setSizes([640, 140])
        whole.setChildrenCollapsible(False)
        self.setCentralWidget(_column(whole, self.message_line, stretch=whole))
        # Where the keys go when nobody has them, as after a dialog: never into a field, where the
        # keys of the bench would be typed.
        self.stage.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.stage.setAccessibleName("Picture")
        self.setTabOrder(self.stage, self.names.athlete)
        self.setTabOrder(self.names.athlete, self.names.title)

    def _connect(self) -> None:
        self.playhead.wanted.connect(self.trace.show_wanted)
        self.playhead.moved.connect(self.trace.follow)
        self.playhead.loop_changed.connect(self.trace.set_loop)
        self.supply.frame_ready.connect(self.picture.show_frame)
        self.supply.lost.connect(self.messages.warn)
        self.picture.size_wanted.connect(self.supply.set_size)
        self.picture.stepped.connect(self.playhead.step)
        self.trace.seek_wanted.connect(self.playhead.seek)
        self.trace.catch_picked.connect(self.line_up.pick)
        self.trace.note_chosen.connect(self.tabs.go_to_note)
        self.sending.note_wanted.connect(self.tabs.go_to_note)
        self.auto_line_up.show_wanted.connect(self._show_line_up)
        self.line_up.picking_changed.connect(self.trace.set_picking)
        self.findings.chosen.connect(self.view.show_evidence)
        self.desk.first_frame.connect(self.picture.show_frame)
        self.desk.material_changed.connect(self._show_material)
        self.desk.state_changed.connect(self._show_state)
        self.desk.file_changed.connect(self._show_title)
        self.desk.question_asked.connect(self.question.ask)
        self.known.allowed.connect(self.comparisons.comparing.open_again)
        # A low screen has no room for both, and the trace waits for the answer.
        self.question.asking.connect(self.trace.setHidden)
        self.question.answered.connect(self.desk.answer)
        self.jobs.started.connect(self.message_line.watch)
        self.jobs.ended.connect(self.message_line.leave)

    def _show_material(self, material: Material) -> None:
        footage = material.footage
        self.supply.set_footage(footage)
        self.sound.set_footage(footage)
        self.picture.set_source_size(QSize(footage.width, footage.height) if footage else None)
        if footage is None:
            self.picture.show_frame(None)
            self.picture.set_words(NO_FOOTAGE)
        else:
            # What is on screen stays until the first frame comes; it may be that frame already.
            self.picture.set_words(OUTSIDE)
        self.bar.set_material(material)
        self.legend.set_material(material)
        self.picture.zoom_to_fit()
        self.trace.set_alignment(self.desk.state.alignment)
        self.trace.set_piece(material.force.piece if material.force else None)
        self._show_sections()
        span = material.span(self.desk.state.alignment)
        self.trace.set_range(span, start_over=True)
        self.playhead.set_material(span, footage.index if footage else None)
        self.view.renew()
        self.target.show()

    def _show_state(self, state: ReviewState, before: ReviewState) -> None:
        self.picture.set_turn(state.turn)
        if state.alignment != before.alignment:
            self.trace.set_alignment(state.alignment)
            span = self.desk.material.span(state.alignment)
            self.playhead.set_range(span)
            self.trace.set_range(span)
            self.view.renew()
        if state.notes != before.notes:
            self.trace.set_notes(state.notes)
        if state.sections != before.sections:
            self._show_sections()
        if state.pairs != before.pairs or state.alignment != before.alignment:
            self._show_title()

    def _show_sections(self) -> None:
        force, state = self.desk.material.force, self.desk.state
        piece = None if force is None else force.piece
        self.trace.set_sections(sections_of(piece, state, ReviewClock.of(state)))

    def _show_title(self) -> None:
        review = self.desk.review
        name = review.path.name if review is not None and review.path else ""
        self.setWindowTitle(f"{name} – Strokeside" if name else "Strokeside")

    def _show_line_up(self) -> None:
        view = LineUpView(self.desk, self.auto_line_up, self.jobs, self)
        view.addActions(list(self.menus.actions.values()))  # the same keys there
        view.show()

    def _show_flywheel(self) -> None:
        from app.window.force.flywheel_dialog import FlywheelDialog

        FlywheelDialog(self.desk, self).show()

    def _show_thresholds(self) -> None:
        from app.window.force.thresholds import ThresholdsDialog

        ThresholdsDialog(self.desk, self).show()

    def _show_keys(self) -> None:
        KeyCard(ACTIONS, self).open()

    def _search(self) -> None:
        ActionSearch(ACTIONS, self.menus.actions, self).open()

    def _quit(self) -> None:
        self.close()


def _column(*widgets: QWidget, stretch: QWidget) -> QFrame:
    frame = QFrame()
    column = QVBoxLayout(frame)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    for widget in widgets:
        column.addWidget(widget, 1 if widget is stretch else 0)
    return frame
