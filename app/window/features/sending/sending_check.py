"""Send: three lines to read before anything goes out, and one button."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtGui import QAction, QCloseEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.bundle.options import Shape
from app.review.parts.about import SetAthlete
from app.review.parts.sending import SetSending, sent_comparisons, sent_notes, sent_walkthroughs
from app.review.parts.state import ReviewState
from app.review.safety import second_view_reminders
from app.submission.clock import ReviewClock
from app.window.features.sending.ask_once import AskOnce
from app.window.features.sending.consent_choice import ConsentChoice
from app.window.features.sending.forgotten import (
    NO_NAME,
    NOT_LINED_UP,
    NOTHING_SAID,
    UNNAMED,
    line_up_reminders,
)
from app.window.features.sending.sending_details import before_sending
from app.window.features.sending.sending_prepare import Preparing, Ready
from app.window.features.sending.shapes import SHAPES, row_of, usual_shape
from app.window.session.review_session import ReviewSession
from app.window.widgets import theme
from app.window.widgets.scroll_frame import ScrollFrame, fit_dialog

if TYPE_CHECKING:
    from app.window.features.sending.sending import Sending

GOOD, CARE = "✓", "▲"
HEADS = ("Lined up?", "Agreed?", "What goes out?")
PARTLY = "Footage and force are lined up {reach}; pictures of the rest go out without their force."
_LEAST = QSize(300, 120)


@dataclass(frozen=True)
class Checked:
    """One line of the check.

    Attributes
    ----------
    words : one sentence
    """

    good: bool
    words: str


def lined_up(state: ReviewState) -> Checked:
    """Whether footage and force stand together."""
    missing = line_up_reminders(state)
    if missing:
        return Checked(False, missing[0])
    if state.video is None or state.trace is None:
        only = "footage" if state.trace is None else "force"
        return Checked(True, f"There is only {only}; nothing is to be lined up.")
    by_clock = state.alignment
    if by_clock is not None and by_clock.has_gap:
        return Checked(False, PARTLY.format(reach=by_clock.reach))
    lock = "" if ReviewClock.of(state).is_lined_up else " by nobody"
    return Checked(True, f"Footage and force are lined up{lock}.")


def agreed(state: ReviewState) -> Checked:
    """Whether the athlete said yes."""
    consent = state.sending.consent
    if consent:
        return Checked(True, "The athlete agrees to being sent this.")
    if consent is None:
        return Checked(False, "Nobody noted whether the athlete agrees to being sent this.")
    return Checked(False, "The athlete does not agree to being sent this.")


def goes_out(state: ReviewState) -> Checked:
    """What is sent."""
    picked = sent_notes(state.sending, state.notes)
    notes = state.notes if picked is None else picked
    parts = (
        (len(notes), "note", "notes"),
        (sum(note.voice is not None for note in notes), "voice", "voices"),
        (len(sent_comparisons(state)), "comparison", "comparisons"),
        (len(sent_walkthroughs(state)), "walkthrough", "walkthroughs"),
    )
    counted = [f"{n} {one if n == 1 else many}" for n, one, many in parts if n]
    if not counted:
        return Checked(False, NOTHING_SAID)
    recordings = " and the recordings themselves" if state.sending.include_originals else ""
    curves = ", with clips and curves" if state.trace is not None else ", with clips"
    said = " ".join((f"{', '.join(counted)}{curves}{recordings}.", *second_view_reminders(state)))
    if not state.athlete.strip():
        return Checked(False, f"{said} {UNNAMED} type the athlete's name below.")
    return Checked(True, f"{said[0].upper()}{said[1:]}")


class SendCheck(QDialog):
    """Lined up? Agreed? What goes out? Then Send."""

    def __init__(
        self,
        session: ReviewSession,
        sending: Sending,
        preparing: Preparing,
        actions: Mapping[str, QAction],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Send")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._session, self._sending, self._preparing = session, sending, preparing
        self._actions = actions
        self._then: Callable[[Ready], None] | None = None
        self._shape_chosen = False
        self.signs = [QLabel() for _ in range(3)]
        self.words = [QLabel() for _ in range(3)]
        self.line_up = _button("Line up", "Find how footage and force lie to each other.")
        self.name = QLineEdit()
        self.name.setPlaceholderText("The athlete's name")
        self.name.setAccessibleName("The athlete's name")
        self.name.setMinimumWidth(150)
        self.consent = ConsentChoice()
        self.minor = QCheckBox("under age")
        self.shape = QComboBox()
        for shape, name, help_text in SHAPES:
            self.shape.addItem(name, shape)
            self.shape.setItemData(self.shape.count() - 1, help_text, Qt.ItemDataRole.ToolTipRole)
        self.shape.setAccessibleName("Shape of what is sent")
        self.reminder = QLabel("")
        self.said = QLabel("")
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.change = _button("Change what goes out …", "Notes, words, parts, language, quality.")
        self.look = _button("Look at it", "Open in the browser exactly what will be sent.")
        self.send = _button("Send", "Write it beside the review, to be handed to the athlete.")
        self.send.setProperty("role", "first")
        self.send.setDefault(True)
        self._ask_once = AskOnce(sending, self.send, self.said, "Send anyway")
        self._lay_out()
        self._connect()
        fit_dialog(self, 560, 380)
        sending.take_remembered()
        self._show()
        (self.send if self.name.isHidden() else self.name).setFocus()
        preparing.begin()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Nothing is lost: what was settled is in the review."""
        self._preparing.end()
        event.accept()

    def reject(self) -> None:
        """Escape closes as the button does."""
        self.close()

    def _lay_out(self) -> None:
        inside = QWidget()
        grid = QGridLayout(inside)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(6)
        grid.setColumnStretch(1, 1)
        ways = (
            _row(self.line_up), _row(self.consent, self.minor), _row(self.name, self.shape)
        )  # fmt: skip
        for line, (head, way) in enumerate(zip(HEADS, ways, strict=True)):
            self.words[line].setWordWrap(True)
            self.words[line].setAccessibleName(head)
            grid.addWidget(self.signs[line], 2 * line, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(self.words[line], 2 * line, 1)
            way.addStretch(1)
            grid.addLayout(way, 2 * line + 1, 1)
        for label in (self.reminder, self.said):
            label.setWordWrap(True)
            label.setProperty("role", "quiet")
        grid.addWidget(self.reminder, 6, 1)
        grid.setRowStretch(7, 1)
        end = QHBoxLayout()
        close = _button("Close", "Everything is kept in the review (Esc).")
        close.clicked.connect(self.close)
        end.addWidget(self.change)
        end.addStretch(1)
        for button in (self.look, self.send, close):
            end.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 12)
        column.setSpacing(8)
        column.addWidget(ScrollFrame(inside, _LEAST), 1)
        column.addWidget(self.said)
        column.addWidget(self.bar)
        column.addLayout(end)

    def _connect(self) -> None:
        self._session.state_changed.connect(self._ask_once.renew)
        self._session.state_changed.connect(self._show)
        self._session.opening.connect(self.close)
        self._sending.written.connect(self._finish)
        self.line_up.clicked.connect(lambda: self._leave_for("auto_line_up"))
        self.name.editingFinished.connect(self._take_name)
        self.consent.chosen.connect(lambda yes: self._session.do(SetSending(consent=yes)))
        self.minor.toggled.connect(lambda on: self._session.do(SetSending(minor=on)))
        self.change.clicked.connect(self._change)
        self.look.clicked.connect(lambda: self._when_ready(self._look))
        self.send.clicked.connect(
            lambda: self._ask_once.before(lambda: self._when_ready(self._write))
        )
        self.shape.activated.connect(self._choose_shape)
        self._preparing.progressed.connect(self._progress)
        self._preparing.outdated.connect(self._show_size)
        self._preparing.ready.connect(self._take_ready)
        self._preparing.failed.connect(self._refuse)
        self._preparing.doubted.connect(self._ask)
        theme.follow(self._show)

    def _take_name(self) -> None:
        """A whole name, not each letter of it: half a name is nobody's."""
        if self._session.review is not None and self.name.text().strip():
            self._session.do(SetAthlete(self.name.text(), self._session.state.title))

    def _leave_for(self, action: str) -> None:
        """Close, and do on the bench what is missing."""
        self.close()
        if action in self._actions:
            self._actions[action].trigger()

    def _change(self) -> None:
        self.close()
        self._sending.show_panel()

    def _show(self, *_changed: object) -> None:
        if self._session.review is None:
            return
        state = self._session.state
        lines = (lined_up(state), agreed(state), goes_out(state))
        for sign, words, line, head in zip(self.signs, self.words, lines, HEADS, strict=True):
            sign.setText(GOOD if line.good else CARE)
            sign.setAccessibleName("in order" if line.good else "with care")
            colour = theme.TARGET_BRIGHT if line.good else theme.PLAYHEAD
            sign.setStyleSheet(f"color: {colour}; font-weight: 600;")
            words.setText(f"<b>{head}</b><br>{line.words}")
        self.line_up.setVisible(lines[0].words == NOT_LINED_UP and "auto_line_up" in self._actions)
        self.name.setVisible(not state.athlete.strip())
        self.consent.show_value(state.sending.consent)
        with QSignalBlocker(self.minor):
            self.minor.setChecked(bool(state.sending.minor))
        if not self._shape_chosen:
            self.shape.setCurrentIndex(row_of(usual_shape(state)))
        told = {line.words for line in lines}
        # Whether they agree is a line of its own already.
        settled = replace(state, sending=replace(state.sending, consent=True))
        told |= {NO_NAME} if any(UNNAMED in t for t in told) else set()
        more = [said for said in before_sending(settled) if not any(said in t for t in told)]
        self.reminder.setText(" ".join(more[:1]))
        self.reminder.setToolTip("\n".join(more))
        self.reminder.setVisible(bool(more))
        self._show_size()

    def _show_size(self) -> None:
        if self._ask_once.is_asking:
            return  # the question stands there
        ready = self._preparing.current
        if ready is None:
            self.said.setText(self.said.text() if self._then else "Preparing, to know the size …")
            return
        size = ready.built.size(self._chosen()) / 1e6
        self.said.setText(" ".join((f"Ready: {size:.1f} MB.", *ready.built.remarks)))

    def _choose_shape(self, _row: int) -> None:
        self._shape_chosen = True
        self._show_size()

    def _chosen(self) -> Shape:
        return SHAPES[self.shape.currentIndex()][0]

    def _when_ready(self, then: Callable[[Ready], None]) -> None:
        ready = self._preparing.current
        if ready is not None:
            then(ready)
            return
        self._then = then
        self.said.setText("This goes on as soon as it is ready …")
        self._preparing.begin()

    def _look(self, ready: Ready) -> None:
        self._sending.look_at(ready, self._chosen())

    def _write(self, ready: Ready) -> None:
        self.said.setText("Writing …")
        self._sending.deliver(ready, self._chosen())

    def _finish(self, _written: object) -> None:
        """It is written, and the bench says where."""
        self.close()

    def _progress(self, share: float, doing: str) -> None:
        self.bar.setRange(0, 1000)
        self.bar.setValue(round(1000 * share))

    def _take_ready(self, ready: Ready) -> None:
        self.bar.setValue(self.bar.maximum())
        self._show_size()
        then, self._then = self._then, None
        if then is not None:
            then(ready)

    def _refuse(self, sentence: str) -> None:
        self._then = None
        self.said.setText(sentence)

    def _ask(self, doubt: Exception) -> None:
        """Nothing is made of another recording: the bench asks which one is meant."""
        self.close()
        self._session.refuse(doubt)


def _button(text: str, help_text: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(help_text)
    button.setAutoDefault(False)
    return button


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(8)
    for widget in widgets:
        row.addWidget(widget)
    return row
