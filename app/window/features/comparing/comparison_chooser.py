"""What to put beside this stroke: another of the piece, of another review, or a reference."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from app.review.references import ReferenceList
from app.review.values.stroke_ref import StrokeRef
from app.window.session.other_recordings import Recording
from app.window.session.recording_cache import CHOOSER, RecordingsShelf
from app.window.views.stroke_clock import NEAR_S
from app.window.widgets.clock_text import clock_text

ROLE = Qt.ItemDataRole.UserRole
OPENING = "Opening ..."
BY_HAND = "A stroke from its start; set catch, finish and next catch by hand"


@dataclass(frozen=True)
class Offered:
    """A recording one may take a stroke from.

    Attributes
    ----------
    ref : any stroke of it; says where it lies
    only : `ref` is the stroke itself
    """

    title: str
    ref: StrokeRef
    only: bool = False


class ComparisonChooser(QDialog):
    """Two lists: where from, and which stroke; Return takes it."""

    def __init__(
        self,
        own: Recording,
        here_s: float,
        offered: tuple[Offered, ...],
        shelf: RecordingsShelf,
        take: Callable[[StrokeRef, StrokeRef, Recording], None],
        seen: Callable[[Path], str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Compare this stroke with …")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(720, 430)
        self._own, self._here_s, self._shelf, self._take = own, here_s, shelf, take
        self._seen = seen
        self._recording: Recording | None = None
        self._left = _stroke_spin(own, here_s)
        self._sources = QListWidget()
        self._sources.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._sources.setAccessibleName("Where the other stroke is from")
        self._strokes = QListWidget()
        self._strokes.setAccessibleName("Which stroke")
        self._words = QLabel("")
        self._words.setProperty("role", "quiet")
        self._words.setWordWrap(True)
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self._compare = QPushButton("Compare")
        self._compare.setDefault(True)
        self._buttons.addButton(self._compare, QDialogButtonBox.ButtonRole.AcceptRole)
        self._lay_out()
        for offer in offered:
            self._add_source(offer)
        self._sources.currentItemChanged.connect(lambda item, _before: self._open(item))
        self._strokes.itemActivated.connect(lambda _item: self.accept())
        self._strokes.currentRowChanged.connect(lambda row: self._compare.setEnabled(row >= 0))
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        self._sources.setCurrentRow(0)
        self._strokes.setFocus()

    def accept(self) -> None:
        """Compare the two chosen strokes."""
        item, recording = self._strokes.currentItem(), self._recording
        if item is None or recording is None:
            return
        right: StrokeRef = item.data(ROLE)
        self._take(self._left_ref(), right, recording)
        super().accept()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.addWidget(QLabel("Left:"))
        top.addWidget(self._left)
        top.addStretch(1)
        other = QPushButton("Another review …")
        other.setToolTip("Choose a review file, such as last month's.")
        other.setAutoDefault(False)
        other.clicked.connect(self._ask_review)
        grid = QGridLayout()
        grid.addWidget(_heading("Right: from"), 0, 0)
        grid.addWidget(_heading("Stroke"), 0, 1)
        grid.addWidget(self._sources, 1, 0)
        grid.addWidget(self._strokes, 1, 1)
        grid.addWidget(other, 2, 0, Qt.AlignmentFlag.AlignLeft)
        grid.addWidget(self._words, 2, 1)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        column = QVBoxLayout(self)
        column.addLayout(top)
        column.addLayout(grid, 1)
        column.addWidget(self._buttons)

    def _left_ref(self) -> StrokeRef:
        strokes = self._own.strokes()
        index = self._left.value() - 1
        found = next((s for s in strokes if s.index == index), None)
        return self._own.guess(self._here_s) if found is None else self._own.ref(found)

    def _add_source(self, offer: Offered) -> QListWidgetItem:
        item = QListWidgetItem(offer.title)
        item.setData(ROLE, offer)
        item.setToolTip(offer.ref.source or offer.title)
        self._sources.addItem(item)
        return item

    def offer_references(self, library: ReferenceList) -> None:
        """Add the strokes of the library, which were looked for meanwhile."""
        for kept in library.kept:
            r = kept.reference
            parts = (r.name, f"{r.rate_spm:.0f} / min", f"from the {r.view}", r.level)
            title = "Reference: " + "  ·  ".join(filter(None, parts))
            self._add_source(Offered(title, kept.stroke, only=True)).setToolTip(r.notes or title)
        if library.problems:
            self._words.setText(" ".join(library.problems))

    def _ask_review(self) -> None:
        name, _kind = QFileDialog.getOpenFileName(self, "Another review", "", "Reviews (*.review)")
        if name:
            self.offer_review(Path(name))

    def offer_review(self, path: Path) -> None:
        """Add another review to the list and open it."""
        item = self._add_source(Offered(path.stem, StrokeRef(self._seen(path), 0.0, 1.0, 2.0)))
        self._sources.setCurrentItem(item)

    def _open(self, item: QListWidgetItem | None) -> None:
        self._strokes.clear()
        self._recording = None
        if item is None:
            return
        offer: Offered = item.data(ROLE)
        self._words.setText(OPENING)

        def came(recording: Recording) -> None:
            if isValid(self) and self._sources.currentItem() is item:
                self._fill(recording, offer)

        def failed(why: str) -> None:
            if isValid(self) and self._sources.currentItem() is item:
                self._words.setText(why)

        self._shelf.fetch(CHOOSER, offer.ref, came, failed)

    def _fill(self, recording: Recording, offer: Offered) -> None:
        self._recording = recording
        self._words.setText(" ".join(recording.remarks))
        rows = [(offer.title, offer.ref)] if offer.only else _rows(recording)
        if not rows:
            # A frame on, lest a recording is compared with the very moment it stands at.
            rows = [(BY_HAND, recording.guess(0.0))]
            self._words.setText("Neither force nor a followed body, so no stroke is known here.")
        for words, ref in rows:
            item = QListWidgetItem(words)
            item.setData(ROLE, ref)
            self._strokes.addItem(item)
        self._strokes.setCurrentRow(0)


def _rows(recording: Recording) -> list[tuple[str, StrokeRef]]:
    """The strokes to choose from: the typical one, the odd ones, then all by number."""
    sent, typical, odd = recording.submission, recording.typical(), recording.odd()
    if sent.rowed is None:
        return []

    def words(stroke, kind: str) -> str:  # type: ignore[no-untyped-def]
        rate = sent.measures_of(stroke).rate_spm
        at = clock_text(recording.video_s(stroke.catch_s), 1)
        parts = [f"Stroke {stroke.index + 1}", kind, at]
        return "  ·  ".join(filter(None, (*parts, f"{rate:.1f} / min" if rate else "")))

    strokes = recording.strokes()
    first = [s for s in strokes if s.index == typical]
    then = [s for s in strokes if s.index in odd]
    rest = [s for s in strokes if s not in first and s not in then]
    return [
        *((words(s, "most typical"), recording.ref(s)) for s in first),
        *((words(s, "unlike the rest"), recording.ref(s)) for s in then),
        *((words(s, ""), recording.ref(s)) for s in rest),
    ]


def _stroke_spin(own: Recording, here_s: float) -> QSpinBox:
    """The stroke on the left by number; the one under the playhead to begin with."""
    spin = QSpinBox()
    spin.setAccessibleName("Stroke on the left")
    strokes = own.strokes()
    if not strokes:
        spin.setRange(0, 0)
        spin.setSpecialValueText("from this moment")
        spin.setEnabled(False)
        return spin
    spin.setRange(strokes[0].index + 1, strokes[-1].index + 1)
    spin.setPrefix("stroke ")
    under = [s for s in strokes if own.video_s(s.catch_s) <= here_s + NEAR_S]
    spin.setValue((under[-1] if under else strokes[0]).index + 1)
    return spin


def _heading(text: str) -> QLabel:
    label = QLabel(text)
    label.setProperty("role", "heading")
    return label
