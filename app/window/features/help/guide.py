"""The coach's guide, to be read beside the bench."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QTextBrowser, QVBoxLayout, QWidget

from app.about import VERSION
from app.window.widgets.scroll_frame import fit_dialog
from app.window.widgets.search_field import SearchField

MISSING = "The guide is missing from this installation; it is docs/guide.md of the project."
# Pictures and pages of the project beside the guide are not in every installation.
_PICTURE = re.compile(r"!\[([^\]]*)\]\([^)]*\)")
_LINK = re.compile(r"(?<!!)\[([^\]]+)\]\((?!#)[^)]*\)")


def guide_text() -> str:
    """Give the guide as Markdown, without pictures and links to other files."""
    beside = Path(__file__).parents[4] / "docs" / "guide.md"
    try:
        text = beside.read_text("utf-8") if beside.is_file() else _packaged()
    except OSError:
        return MISSING
    return _LINK.sub(r"\1", _PICTURE.sub("", text))


def _packaged() -> str:
    return (files("app.window.features.help") / "guide.md").read_text("utf-8")


def about_text() -> str:
    """Give the version, and what it runs on."""
    import platform

    from PySide6.QtCore import qVersion

    system = f"{platform.system()} {platform.machine()}"
    return f"Strokeside {VERSION} · Python {platform.python_version()} · Qt {qVersion()} · {system}"


class GuideDialog(QDialog):
    """The guide with a search of its own; it may stay open beside the work.

    Attributes
    ----------
    text, wanted : what is read, and what is looked for in it
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Guide")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.text = QTextBrowser()
        self.text.setAccessibleName("Guide")
        self.text.setMarkdown(guide_text())
        self.wanted = SearchField("Find in the guide", "Find in the guide")
        self.wanted.textEdited.connect(lambda _text: self._find(anew=True))
        self.wanted.returnPressed.connect(self._find)
        column = QVBoxLayout(self)
        column.addWidget(self.wanted)
        column.addWidget(self.text)
        fit_dialog(self, 760, 680)
        self.wanted.setFocus()

    def _find(self, anew: bool = False) -> None:
        """Go to the next place, and after the last to the first."""
        cursor = self.text.textCursor()
        if anew:
            cursor.setPosition(cursor.selectionStart())
            self.text.setTextCursor(cursor)
        if not self.text.find(self.wanted.text()):
            cursor.movePosition(cursor.MoveOperation.Start)
            self.text.setTextCursor(cursor)
            self.text.find(self.wanted.text())
