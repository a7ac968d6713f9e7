"""The row under the picture while faces are marked: everything the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QToolButton

from app.window.drawing.blurring import Blurring
from app.window.elided_label import ElidedLabel
from app.window.giving_row import GivingRow

# The last number: who makes room first where the window is narrow.
_DEEDS = (
    ("blur_smaller", "Smaller", 3),
    ("blur_larger", "Larger", 2),
    ("blur_from", "From here", 5),
    ("blur_to", "To here", 6),
    ("blur_whole", "Whole film", 7),
    ("blur_lost", "Where lost", 0),
    ("blur_follow", "Follow", 4),
    ("blur_remove", "Remove", 1),
    ("blur", "Done", 0),
)

_HINT_CHARACTERS = 22


class BlurBar(GivingRow):
    """What can be done with the face in hand; hidden while nobody marks faces."""

    def __init__(self, blurring: Blurring, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self._blurring = blurring
        self._hint = ElidedLabel()
        self._hint.setProperty("role", "quiet")
        self.buttons: dict[str, QToolButton] = {}
        for name, text, gives in _DEEDS:
            button = QToolButton()
            button.setText(text)
            action = actions[name]
            key = action.shortcut().toString()
            button.setAccessibleName(action.text())
            button.setToolTip(action.statusTip() + (f"\nKey: {key}" if key else ""))
            # The keys do all of this; a focused button would swallow the space bar.
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.clicked.connect(action.trigger)
            self.buttons[name] = button
            self.put(button, gives, action.text())
        self.gap()
        self._hint.setMinimumWidth(self._hint.fontMetrics().averageCharWidth() * _HINT_CHARACTERS)
        self.put(self._hint, stretch=1)
        blurring.changed.connect(self._show)
        blurring.mode_changed.connect(self.setVisible)
        self.setVisible(False)

    def _show(self) -> None:
        regions = self._blurring.regions
        lost = sum(len(r.unsure) for r in regions)
        for name, button in self.buttons.items():
            button.setEnabled(
                name == "blur" or (bool(regions) and (name != "blur_lost" or lost > 0))
            )
        faces = "1 face" if len(regions) == 1 else f"{len(regions)} faces"
        said = f"{faces}, lost {lost} times" if lost else f"{faces}. Drag to put right."
        self._hint.setText(said if regions else "Drag around a face")
