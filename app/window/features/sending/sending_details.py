"""Who sends, to whom, in which language and quality, and with what."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSpinBox,
    QWidget,
)

from app.bundle.pictures.quality import QUALITY
from app.bundle.wording.languages import LANGUAGE_NAMES, WRITTEN_IN
from app.review.parts.films import views_of_piece
from app.review.parts.sending import SendingPlan, SetSending
from app.review.parts.state import ReviewState
from app.review.safety import safety_reminders, second_view_reminders, unread_reminders
from app.window.features.sending.consent_choice import ConsentChoice
from app.window.features.sending.forgotten import line_up_reminders, name_reminders

ORIGINALS = (
    "The footage goes along whole, with every face and everything said in it, and the force file "
    "as it came. Whoever gets the bundle can pass it on."
)
VIEW_HELP = "A still and a clip of the other camera beside each note; look at them first"
VIEW_STAYS = "It stays here: a face is hidden in the first film, and nobody hid it in this one."
HIDDEN = "The footage itself stays here: it would show a face that you hid."
_MAIL_MB = 25  # what many mail servers take; common practice, no source


class Details(QWidget):
    """A form; each change is a change of the review and can be undone."""

    changed = Signal(object)  # Change
    fit_wanted = Signal(int)  # megabytes
    own_language_settled = Signal(str)  # for all reviews
    logo_wanted = Signal()
    logo_gone = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.coach = QLineEdit()
        self.coach.setPlaceholderText("Your name, as the page shows it")
        self.coach.setAccessibleName("Coach")
        self.logo = QLabel("no logo")
        self.logo.setFixedSize(96, 32)
        self.logo.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.logo.setProperty("role", "quiet")
        self.choose_logo = _button("Logo …", "Choose a picture; a small copy is kept in the review")
        self.no_logo = _button("No logo", "Take the logo off the page")
        self.language = QComboBox()
        for code, name in LANGUAGE_NAMES.items():
            self.language.addItem(name, code)
        self.language.setAccessibleName("Language of the page's own words")
        self.own_language = QComboBox()
        self.own_language.addItem("not said", "")
        for code, name in WRITTEN_IN.items():
            self.own_language.addItem(name, code)
        self.own_language.setAccessibleName("Language of your own words")
        self.own_language.setToolTip(
            "What you write yourself is read aloud in this language, and runs its way"
        )
        self.for_all = _button("All reviews", "Begin every new review with this language of yours")
        self.quality = QComboBox()
        for name, quality in QUALITY.items():
            self.quality.addItem(quality.about, name)
        self.quality.setAccessibleName("Quality of clips and stills")
        self.most = QSpinBox()
        self.most.setRange(1, 2000)
        self.most.setValue(_MAIL_MB)
        self.most.setSuffix(" MB")
        self.most.setAccessibleName("Largest size")
        self.fit = _button("Fit into", "Choose the best quality whose bundle is no larger")
        self.originals = QCheckBox("Send the recordings themselves too")
        self.skeleton = QCheckBox("Draw the followed body over pictures and clips")
        self.unread = QCheckBox("Send words you have not accepted, marked as a program’s")
        self.second_view = QCheckBox("Second view too")
        self.consent = ConsentChoice()
        self.minor = QCheckBox("under age")
        self._form = QFormLayout(self)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        form = self._form
        form.setContentsMargins(0, 0, 0, 0)
        form.setVerticalSpacing(5)
        form.addRow("From", _row(self.coach, self.logo, self.choose_logo, self.no_logo))
        form.addRow("Language", _row(self.language, None))
        form.addRow("My words are in", _row(self.own_language, self.for_all, None))
        form.addRow("Quality", _row(self.quality, self.fit, self.most, None))
        form.addRow("Originals", self.originals)
        form.addRow("Body", self.skeleton)
        form.addRow("Voices", self.unread)
        form.addRow("Cameras", self.second_view)

    def consent_row(self) -> QHBoxLayout:
        """Whether the athlete agrees: laid out where it is seen without scrolling."""
        heading = QLabel("Does the athlete agree?")
        heading.setProperty("role", "heading")
        return _row(heading, self.consent, self.minor, None)

    def _connect(self) -> None:
        self.coach.textEdited.connect(lambda text: self.changed.emit(SetSending(coach=text)))
        self.language.activated.connect(
            lambda _: self.changed.emit(SetSending(language=self.language.currentData()))
        )
        self.own_language.activated.connect(
            lambda _: self.changed.emit(SetSending(own_language=self.own_language.currentData()))
        )
        self.for_all.clicked.connect(
            lambda: self.own_language_settled.emit(self.own_language.currentData())
        )
        self.quality.activated.connect(
            lambda _: self.changed.emit(SetSending(quality=self.quality.currentData()))
        )
        self.originals.toggled.connect(
            lambda on: self.changed.emit(SetSending(include_originals=on))
        )
        self.consent.chosen.connect(lambda yes: self.changed.emit(SetSending(consent=yes)))
        self.skeleton.toggled.connect(lambda on: self.changed.emit(SetSending(skeleton=on)))
        self.unread.toggled.connect(lambda on: self.changed.emit(SetSending(unread_words=on)))
        self.second_view.toggled.connect(lambda on: self.changed.emit(SetSending(second_view=on)))
        self.minor.toggled.connect(lambda on: self.changed.emit(SetSending(minor=on)))
        self.fit.clicked.connect(lambda: self.fit_wanted.emit(self.most.value()))
        self.choose_logo.clicked.connect(self.logo_wanted)
        self.no_logo.clicked.connect(self.logo_gone)

    def show_state(self, state: ReviewState, logo_png: bytes | None) -> None:
        """Show what the review holds."""
        plan = state.sending
        if self.coach.text() != plan.coach:
            self.coach.setText(plan.coach)
        if self.own_language.findData(plan.own_language) < 0:  # another said so in its file
            self.own_language.addItem(plan.own_language, plan.own_language)
        chosen = (
            (self.language, plan.language),
            (self.own_language, plan.own_language),
            (self.quality, plan.quality),
        )
        for box, value in chosen:
            box.setCurrentIndex(box.findData(value))
        self.consent.show_value(plan.consent)
        ticks = (
            (self.originals, plan.include_originals),
            (self.skeleton, plan.skeleton),
            (self.unread, plan.unread_words),
            (self.second_view, plan.second_view and not state.blurs),
            (self.minor, plan.minor),
        )
        for tick, on in ticks:
            with QSignalBlocker(tick):
                tick.setChecked(on)
        self._form.setRowVisible(self.second_view, bool(views_of_piece(state)))
        self.second_view.setEnabled(not state.blurs)
        self.second_view.setToolTip(VIEW_STAYS if state.blurs else VIEW_HELP)
        self.no_logo.setEnabled(bool(plan.logo_id))
        self._show_logo(plan, logo_png)

    def _show_logo(self, plan: SendingPlan, logo_png: bytes | None) -> None:
        picture = QPixmap()
        if logo_png is not None and picture.loadFromData(logo_png):
            self.logo.setPixmap(
                picture.scaled(
                    self.logo.size(),
                    Qt.AspectRatioMode.KeepAspectRatio,
                    Qt.TransformationMode.SmoothTransformation,
                )
            )
        else:
            self.logo.setText("logo is gone" if plan.logo_id else "no logo")


def before_sending(state: ReviewState) -> tuple[str, ...]:
    """Sentences to read before the bundle leaves the machine."""
    plan = state.sending
    said = safety_reminders(state, consent=plan.consent, minor=plan.minor)
    said += second_view_reminders(state) + unread_reminders(state)
    said += line_up_reminders(state) + name_reminders(state)
    if plan.include_originals and state.blurs:
        return (*said, HIDDEN)
    return (*said, ORIGINALS) if plan.include_originals else said


def _row(*widgets: QWidget | None) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(8)
    for widget in widgets:
        if widget is None:
            row.addStretch(1)
        else:
            row.addWidget(widget)
    return row


def _button(text: str, help_text: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(help_text)
    button.setAutoDefault(False)
    return button
