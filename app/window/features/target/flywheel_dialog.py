"""The flywheel the athlete rows on, by what a coach can read off it or time."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QGroupBox,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from analysis.force.coast_down import FlywheelError, FlywheelModel, ratio_of_coast_down
from app.review.parts.flywheel import SetFlywheel
from app.review.parts.state import ReviewState
from app.window.features.target.flywheel_choice import FlywheelChoice
from app.window.session.review_session import ReviewSession
from app.window.widgets.for_all_row import ForAllRow
from app.window.widgets.number_box import NumberBox
from app.window.widgets.scroll_frame import fit_dialog, scrolled

# Drag as monitors of such machines tell it: in millionths of N m s².
READING_PER_SI = 1e6
READING_SD_SHARE = 0.03  # how far a reading wanders from stroke to stroke: common practice
TIMED_SD_SHARE = 0.08  # turns counted and seconds taken from a film: common practice
# Field, words, unit on screen, how many of that unit one SI unit is, range.
FIELDS = (
    ("inertia_kgm2", "Inertia", "kg m²", 1.0, 0.001, 10.0),
    ("inertia_sd", "… give or take", "kg m²", 1.0, 0.0, 10.0),
    ("drag_sd", "Drag, give or take", "millionths of N m s²", 1e6, 0.0, 100000.0),
    ("sprocket_m", "Radius the chain pulls at", "mm", 1e3, 1.0, 200.0),
)
WORDS = (
    "Drive time, handle speed and power of a target are computed on this flywheel. One of the two "
    "is enough; without either, read the differences, not the values. What is said here counts in "
    "this review alone, until you use it in all."
)
USED = "This flywheel is your default now: all reviews go by it that have none of their own."
FORGOTTEN = "All reviews go by the shipped flywheel again, but where they have their own."
READ = "The machine's monitor shows a drag"
TIMED = "The wheel runs free after a stroke, filmed or timed"
TIMED_HINT = "Count the turns in one second right after the handle stops, and again a while later."


class FlywheelDialog(QDialog):
    """Each change is a change of the review and can be undone.

    Attributes
    ----------
    reading : the drag a monitor shows, in millionths of N m s²
    first, later, between : the timed run: turns a second at two moments, and the seconds between
    said : what became of the timed run
    """

    def __init__(self, session: ReviewSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Flywheel")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._session = session
        self.boxes: dict[str, NumberBox] = {}
        self.reading = NumberBox("Drag", "", 1.0, 100000.0, 0)
        self.first = NumberBox("Turns a second at first", "", 0.1, 100.0, 1)
        self.later = NumberBox("Turns a second later", "", 0.1, 100.0, 1)
        self.between = NumberBox("Seconds between", " s", 0.5, 120.0, 1)
        self.choice = FlywheelChoice(session.own)
        self.for_all = ForAllRow("the flywheel")
        for box, usual in ((self.first, 10.0), (self.later, 6.0), (self.between, 3.0)):
            box.setValue(usual)
        self.use_timed = QPushButton("Use this")
        self.said = QLabel("")
        self.said.setWordWrap(True)
        self._lay_out()
        self.reading.valueChanged.connect(self._read)
        self.use_timed.clicked.connect(self._use_timed)
        self.choice.chosen.connect(self._set_model)
        self.for_all.use.clicked.connect(self._use_in_all)
        self.for_all.back.clicked.connect(lambda: session.do(SetFlywheel(FlywheelModel())))
        self.for_all.forget.clicked.connect(self._forget)
        session.state_changed.connect(self._take_state)
        session.own.changed.connect(self._show)
        self._show()

    def _lay_out(self) -> None:
        column = QVBoxLayout()
        words = QLabel(WORDS)
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        column.addWidget(words)
        column.addWidget(self.choice)
        column.addWidget(_group(READ, (("Drag, millionths of N m s²", self.reading),)))
        hint = QLabel(TIMED_HINT)
        hint.setWordWrap(True)
        hint.setProperty("role", "quiet")
        timed = _group(
            TIMED,
            (
                ("Turns a second at first", self.first),
                ("Turns a second later", self.later),
                ("Seconds between", self.between),
            ),
        )
        form = timed.layout()
        assert isinstance(form, QFormLayout)
        form.insertRow(0, hint)
        form.addRow(self.use_timed)
        form.addRow(self.said)
        column.addWidget(timed)
        rows = []
        for field, name, unit, _scale, least, most in FIELDS:
            box = NumberBox(name, f" {unit}", least, most, 3)
            box.valueChanged.connect(lambda value, field=field: self._set(field, value))
            self.boxes[field] = box
            rows.append((name, box))
        column.addWidget(_group("For those who know it", tuple(rows)))
        column.addStretch(1)
        whole = QVBoxLayout(self)
        whole.addWidget(scrolled(column))
        whole.addWidget(self.for_all)
        fit_dialog(self, 560, 640)

    def _set(self, field: str, value: float) -> None:
        scale = next(f[3] for f in FIELDS if f[0] == field)
        self._set_model(replace(self._now, **{field: value / scale}))

    @property
    def _now(self) -> FlywheelModel:
        return self._session.submission.flywheel

    @property
    def _mine(self) -> FlywheelModel:
        """What holds in all reviews that say nothing themselves."""
        return self._session.submission.mine.flywheel or FlywheelModel()

    def _set_model(self, model: FlywheelModel) -> None:
        self._session.do(SetFlywheel(FlywheelModel() if model == self._mine else model))

    def _use_in_all(self) -> None:
        now = self._now
        if self._session.own.change(lambda mine: replace(mine, flywheel=now), USED):
            self._session.do(SetFlywheel(FlywheelModel()))

    def _forget(self) -> None:
        self._session.own.change(lambda mine: replace(mine, flywheel=None), FORGOTTEN)

    def _read(self, value: float) -> None:
        """A monitor's reading: drag, and how far such a reading wanders."""
        drag = value / READING_PER_SI
        self._set_model(replace(self._now, drag_nms2=drag, drag_sd=READING_SD_SHARE * drag))

    def _use_timed(self) -> None:
        """A run that was timed tells drag against inertia; the drag follows for this inertia."""
        now = self._now
        try:
            ratio = ratio_of_coast_down(
                self.first.value(), self.later.value(), self.between.value()
            )
        except FlywheelError as error:
            self.said.setText(f"{error} Nothing was changed.")
            return
        drag = ratio * now.inertia_kgm2
        self._set_model(replace(now, drag_nms2=drag, drag_sd=TIMED_SD_SHARE * drag))
        shown = f"{drag * READING_PER_SI:.0f} millionths of N m s²"
        self.said.setText(f"A drag of {shown}, from this run.")

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.flywheel != before.flywheel:
            self._show()

    def _show(self) -> None:
        flywheel, mine = self._now, self._session.submission.mine
        self.reading.show_value(flywheel.drag_nms2 * READING_PER_SI)
        for field, _name, _unit, scale, _least, _most in FIELDS:
            self.boxes[field].show_value(getattr(flywheel, field) * scale)
        self.choice.show_state(mine, flywheel)
        has_own = self._session.state.flywheel != FlywheelModel()
        of_all = "your default for all reviews" if mine.flywheel else "the shipped one"
        self.for_all.show_state(
            has_own,
            mine.flywheel is not None,
            flywheel != self._mine,
            f"This review has {'a flywheel of its own' if has_own else of_all}.",
        )


def _group(title: str, rows: tuple[tuple[str, QWidget], ...]) -> QGroupBox:
    group = QGroupBox(title)
    form = QFormLayout(group)
    for name, box in rows:
        form.addRow(name, box)
    return group
