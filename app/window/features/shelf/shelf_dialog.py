"""The shelf as a list: what each explanation says, its name and finding, and a file to hand on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.review.values.text import plain, readable
from app.shelf.errors import ShelfError
from app.shelf.exchange import ENDING, export_shelf, import_shelf
from app.shelf.explanation import Explanation
from app.shelf.record import LONGEST_LINE
from app.shelf.store import Entry, Shelf
from app.shelf.words import put_together
from app.window.widgets.scroll_frame import fit_dialog, scrolled

ID_ROLE = Qt.ItemDataRole.UserRole
EMPTY = (
    "Nothing is kept yet. Choose a note you are happy with, then Keep this explanation in the Note"
    " menu; it is offered when another athlete shows the same finding."
)
NOBODY = "For no finding"
KINDS = f"Kept explanations (*{ENDING} *.zip)"
ABOUT_EXPORT = (
    "Handed on with their voices; reference strokes stay here, for they show a person who rows."
)
T = TypeVar("T")


class ShelfDialog(QDialog):
    """Shows the shelf and changes it; what is removed can be brought back until this is closed.

    Parameters
    ----------
    changed : called after each change of the shelf
    """

    def __init__(
        self, shelf: Shelf, changed: Callable[[], None], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Kept explanations")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._shelf, self._changed = shelf, changed
        self._kept: tuple[Explanation, ...] = ()
        self._removed: list[Entry] = []
        self.list = QListWidget()
        self.list.setAccessibleName("Kept explanations")
        self.list.setWordWrap(True)
        self.name = QLineEdit()
        self.name.setMaxLength(LONGEST_LINE)
        self.finding = QComboBox()
        self.finding.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.words = QPlainTextEdit()
        self.words.setReadOnly(True)
        self.words.setAccessibleName("What it says")
        self.holds, self.said = _quiet(), _quiet()
        self.remove = _button("Remove", "Take it off the shelf; Undo brings it back")
        self.undo = _button("Undo", "Bring back what was removed")
        self.export = _button("Export …", ABOUT_EXPORT)
        self.take_in = _button("Import …", "Take in explanations from a file; yours stay")
        self._lay_out()
        self._connect()
        fit_dialog(self, 860, 500)
        self.show_shelf()

    @property
    def chosen(self) -> Explanation | None:
        """The selected explanation."""
        item = self.list.currentItem()
        wanted = "" if item is None else item.data(ID_ROLE)
        return next((kept for kept in self._kept if kept.id == wanted), None)

    def show_shelf(self, chosen_id: str = "") -> None:
        """List what is on the shelf now; `chosen_id` is selected then, else what was."""
        here = self.chosen
        wanted = chosen_id or ("" if here is None else here.id)
        listed = self._tried(self._shelf.listed)
        self._kept = () if listed is None else listed.kept
        if listed is not None and listed.problems:
            self.said.setText(" ".join(listed.problems))
        with QSignalBlocker(self.list):
            self.list.clear()
            for kept in self._kept:
                item = QListWidgetItem(f"{plain(kept.title, 120)}\n{kept.holds}")
                item.setData(ID_ROLE, kept.id)
                item.setToolTip(item.text())
                self.list.addItem(item)
            ids = [kept.id for kept in self._kept]
            self.list.setCurrentRow(ids.index(wanted) if wanted in ids else 0 if ids else -1)
        self._show_chosen()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep a name that was typed and not left yet."""
        self._rename()
        event.accept()

    def reject(self) -> None:
        """Escape closes as the button does."""
        self.close()

    def export_to(self, path: Path) -> None:
        """Write all of it into one file."""
        count = self._tried(lambda: export_shelf(self._shelf, path))
        if count is not None:
            self.said.setText(f"{_counted(count)} in {plain(path.name)}. {ABOUT_EXPORT}")

    def import_from(self, path: Path) -> None:
        """Take in what somebody else kept."""
        came = self._tried(lambda: import_shelf(self._shelf, path))
        if came is None:
            return
        known = f"; {came.known} you have already" if came.known else ""
        self.said.setText(f"{_counted(came.new)} came{known}. Nothing of yours was changed.")
        self._follow()

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow("Name", self.name)
        form.addRow("Offered for", self.finding)
        right = QVBoxLayout()
        right.addLayout(form)
        right.addWidget(self.words, 1)
        right.addWidget(self.holds)
        self._right = QWidget()
        self._right.setLayout(right)
        right.setContentsMargins(0, 0, 0, 0)
        self._empty = QLabel(EMPTY)
        self._empty.setWordWrap(True)
        self._empty.setProperty("role", "quiet")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        sides = QHBoxLayout()
        sides.setSpacing(14)
        sides.addWidget(self.list, 2)
        sides.addWidget(self._right, 3)
        sides.addWidget(self._empty, 3)
        close = _button("Close", "Everything is kept (Esc)")
        close.clicked.connect(self.close)
        row = QHBoxLayout()
        for button in (self.remove, self.undo, self.take_in, self.export):
            row.addWidget(button)
        row.addStretch(1)
        row.addWidget(close)
        column = QVBoxLayout(self)
        column.addWidget(scrolled(sides), 1)
        column.addWidget(self.said)
        column.addLayout(row)

    def _connect(self) -> None:
        self.list.currentItemChanged.connect(lambda *_rows: self._show_chosen())
        self.name.editingFinished.connect(self._rename)
        self.finding.activated.connect(self._say_finding)
        self.remove.clicked.connect(self._remove)
        self.undo.clicked.connect(self._bring_back)
        self.export.clicked.connect(self._ask_where)
        self.take_in.clicked.connect(self._ask_which)

    def _show_chosen(self) -> None:
        kept = self.chosen
        for part, shown in ((self._right, kept is not None), (self._empty, not self._kept)):
            part.setVisible(shown)
        self.list.setVisible(bool(self._kept))
        self.remove.setEnabled(kept is not None)
        self.undo.setEnabled(bool(self._removed))
        self.export.setEnabled(bool(self._kept))
        if kept is None:
            return
        self.name.setText(kept.title)
        self.words.setPlainText(_read_out(kept))
        day = f" · kept {kept.kept_on}" if kept.kept_on else ""
        self.holds.setText(f"{kept.holds[:1].upper()}{kept.holds[1:]}{day}")
        self._show_findings(kept)

    def _show_findings(self, kept: Explanation) -> None:
        titles = _titles()
        with QSignalBlocker(self.finding):
            self.finding.clear()
            self.finding.addItem(NOBODY, ())
            if len(kept.codes) > 1:
                named = ", ".join(titles.get(code, code) for code in kept.codes)
                self.finding.addItem(named, kept.codes)
            for code, title in titles.items():
                self.finding.addItem(title, (code,))
            if len(kept.codes) == 1 and kept.codes[0] not in titles:
                self.finding.addItem(kept.codes[0], kept.codes)  # of another version
            rows = [self.finding.itemData(i) for i in range(self.finding.count())]
            self.finding.setCurrentIndex(rows.index(kept.codes))

    def _rename(self) -> None:
        kept, name = self.chosen, " ".join(readable(self.name.text()).split())
        if kept is not None and name and name != kept.title:
            self._change(replace(kept, title=name), "It has another name now.")

    def _say_finding(self, row: int) -> None:
        kept, codes = self.chosen, self.finding.itemData(row)
        if kept is not None and tuple(codes) != kept.codes:
            self._change(replace(kept, codes=tuple(codes)), "It is offered there from now on.")

    def _change(self, kept: Explanation, said: str) -> None:
        self._tried(lambda: self._shelf.change(kept), said)
        self._follow(kept.id)

    def _remove(self) -> None:
        kept = self.chosen
        if kept is None:
            return
        said = f"“{plain(kept.title)}” is off your shelf; reviews that use it keep it."
        entry = self._tried(lambda: self._shelf.remove(kept.id), said)
        if entry is not None:
            self._removed.append(entry)
        self._follow()

    def _bring_back(self) -> None:
        if not self._removed:
            return
        entry = self._removed[-1]
        said = f"“{plain(entry.explanation.title)}” is on your shelf again."
        if self._tried(lambda: self._shelf.add((entry,)), said) is not None:
            self._removed.pop()
        self._follow(entry.explanation.id)

    def _ask_where(self) -> None:
        usual = Path.home() / f"mine{ENDING}"
        name, _kind = QFileDialog.getSaveFileName(self, "Export explanations", str(usual), KINDS)
        if name:
            self.export_to(Path(name))

    def _ask_which(self) -> None:
        name, _kind = QFileDialog.getOpenFileName(
            self, "Import explanations", str(Path.home()), KINDS
        )
        if name:
            self.import_from(Path(name))

    def _follow(self, chosen_id: str = "") -> None:
        self.show_shelf(chosen_id)
        self._changed()

    def _tried(self, run: Callable[[], T], said: str = "") -> T | None:
        """Do something with the shelf and say how it went; None where it failed."""
        try:
            made = run()
        except ShelfError as error:
            self.said.setText(str(error))
            return None
        if said:
            self.said.setText(said)
        return made


def _read_out(kept: Explanation) -> str:
    """Its words, then those that are spoken."""
    parts = [put_together(kept, None, "")]
    if kept.voice is not None and kept.voice.words:
        parts.append("♪ " + " ".join(word.text for word in kept.voice.words))
    return "\n\n".join(part for part in parts if part) or "(no words)"


def _titles() -> dict[str, str]:
    from analysis.findings.catalogue import read_catalogue

    return {code: entry.title for code, entry in read_catalogue().entries.items()}


def _counted(count: int) -> str:
    return f"{count} {'explanation' if count == 1 else 'explanations'}"


def _quiet() -> QLabel:
    label = QLabel("")
    label.setProperty("role", "quiet")
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label


def _button(text: str, tip: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(tip)
    button.setAutoDefault(False)
    return button
