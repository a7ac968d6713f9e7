"""The row under the picture while faces are marked: everything the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QLabel

from app.window.drawing.blurring import Blurring
from app.window.drawing.pen_bar import PenBar

_DEEDS = (
    ("blur_smaller", "Smaller"),
    ("blur_larger", "Larger"),
    ("blur_from", "From here"),
    ("blur_to", "To here"),
    ("blur_whole", "Whole film"),
    ("blur_lost", "Where lost"),
    ("blur_follow", "Follow"),
    ("blur_remove", "Remove"),
    ("blur", "Done"),
)


class BlurBar(PenBar):
    """What can be done with the face in hand."""

    def __init__(self, blurring: Blurring, actions: Mapping[str, QAction]) -> None:
        super().__init__(blurring, actions)
        self._blurring = blurring
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 2)
        row.setSpacing(2)
        self._hint = QLabel("")
        self._hint.setProperty("role", "quiet")
        self._add_deeds(row, _DEEDS)
        row.addSpacing(8)
        row.addWidget(self._hint, 1)

    def _show(self) -> None:
        regions = self._blurring.regions
        lost = sum(len(r.unsure) for r in regions)
        for name, button in self._deeds.items():
            button.setEnabled(
                name == "blur" or (bool(regions) and (name != "blur_lost" or lost > 0))
            )
        faces = "1 face" if len(regions) == 1 else f"{len(regions)} faces"
        said = f"{faces}, lost {lost} times" if lost else f"{faces}. Drag to put right."
        self._hint.setText(said if regions else "Drag around a face")
