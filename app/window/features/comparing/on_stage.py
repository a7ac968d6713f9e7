"""Two strokes on the stage: what is shown of them there, and showing them."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.review.parts.comparisons import PairLook, look_of
from app.review.parts.walk_events import COMPARISON
from app.window.features.comparing.comparing import Comparing
from app.window.views.stage import Shown


class ComparisonOnStage(QObject):
    """Speaks of the comparison on screen as of something that stands in the picture's place."""

    on_stage = Signal()
    what = COMPARISON

    def __init__(self, comparing: Comparing) -> None:
        super().__init__(comparing)
        self._comparing = comparing
        comparing.shown.connect(lambda _id: self.on_stage.emit())
        comparing.changed.connect(self.on_stage)

    def shown(self) -> Shown | None:
        """The comparison on screen, as it is laid."""
        comparison = self._comparing.selected
        if comparison is None:
            return None
        return Shown(COMPARISON, comparison.id, look_of(comparison))

    def show(self, ref: str) -> None:
        """Show the comparison of an id; "" shows the picture alone."""
        self._comparing.show(ref)

    def lay_instead(self, look: PairLook | None) -> None:
        """Lay it so for a while; None: as the review says."""
        self._comparing.lay_instead(look)
