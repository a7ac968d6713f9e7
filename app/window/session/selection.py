"""What the coach has chosen: where features that speak of the same things meet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

if TYPE_CHECKING:
    from analysis.findings.finding import Finding


class Selection(QObject):
    """The chosen note, the chosen finding and the chosen mark.

    Attributes
    ----------
    mark_id : id of the chosen mark on the picture, "" for none
    """

    note_chosen = Signal(str)  # its id, "" for none
    note_wanted = Signal(str)  # its id: it is to be seen, with its moment
    writing_wanted = Signal(str)  # its id: the coach wants to type
    writing_done = Signal(str)  # its id: typed, and on to what comes next
    finding_chosen = Signal(object)  # Finding or None

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.mark_id = ""
        self._note_id = ""
        self._finding: Finding | None = None

    @property
    def note_id(self) -> str:
        """Id of the chosen note, "" for none."""
        return self._note_id

    @property
    def finding(self) -> Finding | None:
        """The chosen finding."""
        return self._finding

    def choose_note(self, note_id: str) -> None:
        """Choose a note; "" chooses none."""
        self._note_id = note_id
        self.note_chosen.emit(note_id)

    def choose_finding(self, finding: Finding | None) -> None:
        """Choose a finding, or none."""
        self._finding = finding
        self.finding_chosen.emit(finding)
