"""All there is of one athlete: what goes, what goes only if the coach agrees, what remains."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QListWidgetItem, QWidget

from app.review.values.text import clean_name, plain
from app.window.features.athletes.deletion_dialog import DeletionDialog, OldRow

ABOUT: Final = (
    "This was found of {} on this machine; what the library knows of them goes with it. Save it "
    "first if you or they may want it (Save all about this athlete)."
)
CACHES: Final = "Caches of pictures and clips  ·  all are emptied; they are made anew when needed"


class AthleteDialog(DeletionDialog):
    """One row, ticked, for the athlete was chosen already; under it every file by name."""

    def __init__(self, row: OldRow, parent: QWidget | None = None) -> None:
        name = plain(row.old.name)
        super().__init__(f"Delete {name}", parent)
        self._name = name
        self._about = about = QLabel(ABOUT.format(name))
        about.setTextFormat(Qt.TextFormat.PlainText)
        about.setWordWrap(True)
        about.setProperty("role", "quiet")
        self.rows.setAccessibleName(f"What there is of {name}")
        self.lay_out(about)
        self.show_rows((row,))
        for words, tip in _lines(row):
            item = QListWidgetItem(f"      {words}")
            item.setFlags(Qt.ItemFlag.ItemIsEnabled)
            item.setToolTip(tip)
            self.rows.addItem(item)
        self.rows.item(0).setCheckState(Qt.CheckState.Checked)
        self.media.setVisible(bool(row.deletion.media))
        self.show_remains(row.deletion.remains)

    def show_done(self) -> None:
        """Say that it is done; what remains stays to be read."""
        self.show_rows(())
        for part in (self._about, self.rows, self.media):
            part.hide()
        column = self.layout()
        if column is not None:
            self.resize(self.width(), column.totalHeightForWidth(self.width()))

    def nothing(self) -> str:
        """What is said once they are gone."""
        return f"{self._name} is not in the library any more."


def _lines(row: OldRow) -> Iterator[tuple[str, str]]:
    """What is listed of an athlete, with the whole path as its tip."""
    found = row.deletion
    reviews = set(found.files.reviews.values())
    for path in (*found.files.reviews.values(), *found.versions):
        what = "Review" if path in reviews else "Earlier version or copy"
        yield f"{what}  ·  {clean_name(path.name)}", str(path)
    for path in found.media:
        yield f"Recording  ·  {clean_name(path.name)}  ·  only with the tick below", str(path)
    yield CACHES, ""
