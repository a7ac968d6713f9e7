"""The flywheel the athlete rows on, as far as it is known."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDoubleSpinBox, QFormLayout, QLabel, QWidget

from analysis.force.coast_down import FlywheelModel
from app.review.parts.flywheel import SetFlywheel
from app.review.parts.state import ReviewState
from app.window.session.review_session import ReviewSession

# Field, words, unit on screen, how many of that unit one SI unit is, range.
FIELDS = (
    ("inertia_kgm2", "Inertia", "kg m²", 1.0, 0.001, 10.0),
    ("inertia_sd", "… give or take", "kg m²", 1.0, 0.0, 10.0),
    ("drag_nms2", "Drag", "10⁻⁴ N m s²", 1e4, 0.01, 1000.0),
    ("drag_sd", "… give or take", "10⁻⁴ N m s²", 1e4, 0.0, 1000.0),
    ("sprocket_m", "Radius the chain pulls at", "mm", 1e3, 1.0, 200.0),
)
WORDS = (
    "What the target would change is reckoned on this flywheel. Where the numbers are guesses, "
    "read the differences, not the values. They are kept in this review."
)


class FlywheelDialog(QDialog):
    """Five numbers; each change is a change of the review and can be undone."""

    def __init__(self, session: ReviewSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Flywheel")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._session = session
        self.boxes: dict[str, QDoubleSpinBox] = {}
        form = QFormLayout(self)
        words = QLabel(WORDS)
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        form.addRow(words)
        for field, name, unit, _scale, least, most in FIELDS:
            box = QDoubleSpinBox()
            box.setRange(least, most)
            box.setDecimals(3)
            box.setSuffix(f" {unit}")
            box.setKeyboardTracking(False)
            box.setAccessibleName(name)
            box.valueChanged.connect(lambda value, field=field: self._set(field, value))
            form.addRow(name, box)
            self.boxes[field] = box
        session.state_changed.connect(self._take_state)
        self._show(session.state.flywheel)

    def _set(self, field: str, value: float) -> None:
        scale = next(f[3] for f in FIELDS if f[0] == field)
        flywheel = replace(self._session.state.flywheel, **{field: value / scale})
        self._session.do(SetFlywheel(flywheel))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.flywheel != before.flywheel:
            self._show(state.flywheel)

    def _show(self, flywheel: FlywheelModel) -> None:
        for field, _name, _unit, scale, _least, _most in FIELDS:
            box = self.boxes[field]
            was_blocked = box.blockSignals(True)
            box.setValue(getattr(flywheel, field) * scale)
            box.blockSignals(was_blocked)
