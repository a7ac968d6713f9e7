"""The library of reference strokes: a list to choose from, and the words of the chosen one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QColor,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QShortcut,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.prepared.reference_strokes import is_simulated
from app.review.reference_library import LibraryStep, ReferenceLibrary
from app.review.references import KeptReference
from app.review.values.errors import ReviewError
from app.window.features.comparing.reference_fields import ReferenceFields
from app.window.features.comparing.reference_looks import Look, Looks
from app.window.features.comparing.reference_rows import (
    ROW,
    Row,
    RowPainter,
    paint_picture,
    put_row,
    row_item,
)
from app.window.widgets import theme
from app.window.widgets.scroll_frame import fit_dialog, scrolled

EMPTY = (
    "No reference stroke is in your library. Go to a stroke on the bench and choose Keep this"
    " stroke in the Compare menu to keep it here with its view, rate, level and notes."
)
EMPTY_BUT = EMPTY + " One that was removed can be restored: choose it here and press Restore."
LOOKING = "Looking through the library …"
SIMULATED = (
    "Simulated: nobody rowed this stroke. It comes with the program and its words stay as they are;"
    " keep strokes of your own with Keep this stroke."
)
PICTURE_HIGH_PX = 190
IS_REMOVED = "Taken out of the library; its clip, force and words are kept. Restore brings it back."


class _List(QListWidget):
    """A list that says what to do where it has nothing to show, and takes Delete and Return."""

    remove_wanted = Signal()
    edit_wanted = Signal()
    words = ""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete takes the chosen stroke out; Return goes to its words."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.remove_wanted.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.edit_wanted.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Write the words into the empty room."""
        super().paintEvent(event)
        if self.words:
            painter = QPainter(self.viewport())
            painter.setPen(QColor(theme.QUIET))
            room = self.viewport().rect().adjusted(24, 16, -24, -16)
            if self.count():
                room.setTop(self.visualItemRect(self.item(self.count() - 1)).bottom() + 16)
                painter.drawText(room, Qt.TextFlag.TextWordWrap, self.words)
                return
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(room, flags, self.words)


class _Picture(QWidget):
    """The selected stroke, larger."""

    def __init__(self) -> None:
        super().__init__()
        self.setFixedHeight(PICTURE_HIGH_PX)
        self._look: Look | None = None

    def show_look(self, look: Look | None) -> None:
        """Show a stroke."""
        self._look = look
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it into the middle."""
        paint_picture(QPainter(self), self.rect(), self._look)


class ReferencesDialog(QDialog):
    """Shows the library, turns what is typed into steps of it, and takes them back."""

    compare_wanted = Signal(object)  # KeptReference
    changed = Signal(str)  # id of a stroke whose words or place changed

    def __init__(
        self,
        library: ReferenceLibrary,
        looks: Looks,
        used: Callable[[str], int],
        can_compare: bool,
        parent: QWidget | None = None,
    ) -> None:
        """Show a library.

        Parameters
        ----------
        used : how many comparisons and questions of the open review show a stroke
        can_compare : whether there is a stroke on the bench to put one beside
        """
        super().__init__(parent)
        self.setWindowTitle("Reference strokes")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._library, self._looks, self._used = library, looks, used
        self._can_compare = can_compare
        self._ready = False
        self.list = _List()
        self.list.setAccessibleName("Reference strokes")
        self.list.setItemDelegate(RowPainter(self.list))
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.fields = ReferenceFields()
        self._right = QWidget()
        self._picture = _Picture()
        self._standing = _quiet_label()
        self.said = _quiet_label()
        self.said.setTextFormat(Qt.TextFormat.PlainText)
        self.compare = _button("Put beside this stroke", "Compare it with the stroke on the bench.")
        self.remove = _button("Remove", "Take it out of the library; nothing is erased (Delete).")
        self.restore = _button("Restore", "Bring it back into the library.")
        self.undo, self.redo = _button("Undo", ""), _button("Redo", "")
        self._lay_out()
        self._connect()
        fit_dialog(self, 1040, 600)
        self.list.words = LOOKING
        self._show_chosen()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        for button in (self.compare, self.remove, self.restore):
            row.addWidget(button)
        row.addStretch(1)
        form = QVBoxLayout(self._right)
        form.setContentsMargins(0, 0, 0, 0)
        form.setSpacing(8)
        form.addWidget(self._picture)
        form.addWidget(self.fields, 1)
        form.addWidget(self._standing)
        form.addLayout(row)
        top = QHBoxLayout()
        top.setSpacing(14)
        top.addWidget(self.list, 3)
        top.addWidget(self._right, 2)
        end = QHBoxLayout()
        end.addWidget(self.said, 1)
        close = _button("Close", "Everything is kept (Esc).")
        close.clicked.connect(self.close)
        for button in (self.undo, self.redo, close):
            end.addWidget(button)
        column = QVBoxLayout(self)
        column.addWidget(scrolled(top), 1)
        column.addLayout(end)

    def _connect(self) -> None:
        self.list.currentItemChanged.connect(self._go)
        self.list.remove_wanted.connect(self._remove)
        self.list.edit_wanted.connect(self._begin_words)
        self.fields.edited.connect(self._edit)
        self.compare.clicked.connect(self._compare)
        self.remove.clicked.connect(self._remove)
        self.restore.clicked.connect(self._restore)
        self.undo.clicked.connect(lambda: self._step(self._library.undo, "Taken back"))
        self.redo.clicked.connect(lambda: self._step(self._library.redo, "Done again"))
        for keys, button in (("Ctrl+Z", self.undo), ("Ctrl+Shift+Z", self.redo)):
            QShortcut(QKeySequence(keys), self, button.click)
        self._looks.came.connect(self._take_look)

    @property
    def chosen(self) -> Row | None:
        """The selected stroke."""
        item = self.list.currentItem()
        return None if item is None else item.data(ROW)

    def show_library(self, chosen_id: str = "") -> None:
        """List what the library holds now; `chosen_id` is selected then, else what was."""
        here = self.chosen
        wanted = chosen_id or (here.kept.id if here is not None else "")
        kept, removed = self._library.kept(), self._library.removed()
        self._ready = True
        with QSignalBlocker(self.list):
            self.list.clear()
            for each in kept.kept:
                self.list.addItem(row_item(self._row(each, removed=False)))
            if removed.kept:
                self.list.addItem(_heading("Removed"))
            for each in removed.kept:
                self.list.addItem(row_item(self._row(each, removed=True)))
            self._choose(wanted)
        self.list.words = "" if kept.kept else EMPTY_BUT if removed.kept else EMPTY
        self.list.viewport().update()
        problems = (*kept.problems, *removed.problems)
        if problems:
            self.said.setText(" ".join(problems))
        self._looks.find((*kept.kept, *removed.kept))
        self._show_chosen()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep what stands in a field that was not left yet."""
        self._edit()
        self._looks.stop()
        event.accept()

    def reject(self) -> None:
        """Escape closes as the button does."""
        self.close()

    def _row(self, kept: KeptReference, removed: bool) -> Row:
        signs = ("simulated" if is_simulated(kept.id) else "", "removed" if removed else "")
        sign = ", ".join(filter(None, signs))
        return Row(kept, sign, removed, self._looks.of(kept.id))

    def _choose(self, wanted: str) -> None:
        """Select a stroke; the first one where it is not there."""
        rows = [i for i in range(self.list.count()) if self.list.item(i).data(ROW) is not None]
        named = [i for i in rows if self.list.item(i).data(ROW).kept.id == wanted]
        self.list.setCurrentRow(next(iter((*named, *rows)), -1))

    def _go(self, _now: QListWidgetItem | None, before: QListWidgetItem | None) -> None:
        if before is not None and self.fields.is_changed():
            self._keep(before.data(ROW))
        self._show_chosen()

    def _show_chosen(self) -> None:
        row = self.chosen
        self._right.setVisible(row is not None)
        self._picture.show_look(row.look if row is not None else None)
        removed = row is not None and row.dim
        simulated = row is not None and is_simulated(row.kept.id)
        if row is not None:
            self.fields.show_reference(row.kept.reference)
        self.fields.set_read_only(removed or simulated)
        self._standing.setText(IS_REMOVED if removed else SIMULATED if simulated else "")
        self.compare.setVisible(not removed)
        self.compare.setEnabled(self._can_compare)
        self.remove.setVisible(not removed)
        self.restore.setVisible(removed)
        self._show_steps()

    def _show_steps(self) -> None:
        for button, key, label in (
            (self.undo, "Ctrl+Z", self._library.undo_label),
            (self.redo, "Ctrl+Shift+Z", self._library.redo_label),
        ):
            button.setEnabled(label is not None)
            button.setToolTip(f"{button.text()}: {label}\nKey: {key}" if label else "")

    def _edit(self) -> None:
        row = self.chosen
        if row is not None and self.fields.is_changed():
            self._keep(row)

    def _keep(self, row: Row | None) -> None:
        """Keep what the fields say of a stroke."""
        words = self.fields.words()
        if row is None or words is None or row.dim or is_simulated(row.kept.id):
            return
        try:
            kept = self._library.edit(row.kept.id, words)
        except (ReviewError, OSError) as error:
            self.said.setText(f"{error} The words are as before.")
            self.fields.show_reference(row.kept.reference)
            return
        self.said.setText(f"“{kept.reference.name}” is changed.")
        for i in range(self.list.count()):
            item = self.list.item(i)
            shown: Row | None = item.data(ROW)
            if shown is not None and shown.kept.id == kept.id:
                put_row(item, replace(shown, kept=kept))
        if self.chosen is not None and self.chosen.kept.id == kept.id:
            self.fields.show_reference(kept.reference)
        self.changed.emit(kept.id)
        self._show_steps()

    def _remove(self) -> None:
        row = self.chosen
        if row is None or row.dim:
            return
        self._edit()
        name, uses = row.kept.reference.name, self._used(row.kept.id)
        said = f"“{name}” was removed; its clip, force and words are kept. Undo brings it back."
        if uses:
            often = "once" if uses == 1 else f"{uses} times"
            said += f" This review shows it {often}; the place is empty until then."
        self._do(lambda: self._library.remove(row.kept.id), row.kept.id, said)

    def _restore(self) -> None:
        row = self.chosen
        if row is not None and row.dim:
            said = f"“{row.kept.reference.name}” is in the library again."
            self._do(lambda: self._library.restore(row.kept.id), row.kept.id, said)

    def _do(self, run: Callable[[], object], reference_id: str, said: str) -> None:
        try:
            run()
        except (ReviewError, OSError) as error:
            said = str(error)
        self.said.setText(said)
        self.changed.emit(reference_id)
        self.show_library(reference_id)

    def _step(self, run: Callable[[], LibraryStep | None], how: str) -> None:
        self._edit()
        try:
            step = run()
        except (ReviewError, OSError) as error:
            self.said.setText(str(error))
            self.show_library()
            return
        if step is None:
            return
        after = step.deed if how == "Done again" else step.back.deed
        self.said.setText(f"{how}: {step.label}. {_STANDS[after]}")
        self.changed.emit(step.reference_id)
        self.show_library(step.reference_id)

    def _compare(self) -> None:
        row = self.chosen
        if row is not None:
            self._edit()
            self.compare_wanted.emit(row.kept)

    def _begin_words(self) -> None:
        if self.chosen is not None:
            self.fields.name.setFocus(Qt.FocusReason.ShortcutFocusReason)
            self.fields.name.selectAll()

    def _take_look(self, reference_id: str) -> None:
        for i in range(self.list.count()):
            row: Row | None = self.list.item(i).data(ROW)
            if row is not None and row.kept.id == reference_id:
                put_row(self.list.item(i), replace(row, look=self._looks.of(reference_id)))
        chosen = self.chosen
        if chosen is not None and chosen.kept.id == reference_id:
            self._picture.show_look(chosen.look)


_STANDS = {
    "edit": "",
    "remove": "It is among the removed ones.",
    "restore": "It is in the library.",
}


def _heading(words: str) -> QListWidgetItem:
    item = QListWidgetItem(words)
    item.setFlags(Qt.ItemFlag.NoItemFlags)
    return item


def _quiet_label() -> QLabel:
    label = QLabel("")
    label.setProperty("role", "quiet")
    label.setWordWrap(True)
    return label


def _button(text: str, tip: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(tip)
    button.setAutoDefault(False)
    return button
