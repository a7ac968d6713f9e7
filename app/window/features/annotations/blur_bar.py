"""The row under the picture while faces are marked: everything the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtGui import QAction

from app.window.features.annotations.blurring import Blurring
from app.window.features.annotations.pen_bar import PenBar, overflow_tool_bar
from app.window.widgets.elided_label import ElidedLabel

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


class BlurBar(PenBar):
    """What can be done with the selected face."""

    def __init__(self, blurring: Blurring, actions: Mapping[str, QAction]) -> None:
        super().__init__(blurring, actions)
        self._blurring = blurring
        self._hint = ElidedLabel()
        self._hint.setProperty("role", "quiet")
        self._hint.setMinimumWidth(self._hint.fontMetrics().averageCharWidth() * _HINT_CHARACTERS)
        row = overflow_tool_bar(self)
        self._add_deeds(row.put, _DEEDS)
        row.gap()
        row.put(self._hint, stretch=1)

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
