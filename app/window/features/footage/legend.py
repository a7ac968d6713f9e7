"""What stands in the corner of the picture on request: time, frame number, time since a moment."""

from __future__ import annotations

from PySide6.QtCore import QObject

from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.views.picture import PictureView
from app.window.widgets.clock_text import clock_text


class Legend(QObject):
    """Writes the corner anew whenever the playhead moves."""

    def __init__(
        self, playhead: Playhead, picture: PictureView, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._picture = picture
        self._footage: Footage | None = None
        self._numbers = False
        self._zero_s: float | None = None
        playhead.moved.connect(self._write)

    def set_footage(self, footage: Footage | None) -> None:
        """Count the frames of this footage; no time is measured any more."""
        self._footage = footage
        self._zero_s = None
        self._write()

    @property
    def has_numbers(self) -> bool:
        """Whether time and frame number are shown."""
        return self._numbers

    @property
    def measures_time(self) -> bool:
        """Whether time is measured from a moment."""
        return self._zero_s is not None

    def toggle_numbers(self) -> None:
        """Show time and frame number, or not."""
        self._numbers = not self._numbers
        self._write()

    def toggle_time_from_here(self) -> None:
        """Measure time from this moment; again, measure none."""
        self._zero_s = self._playhead.moment_s if self._zero_s is None else None
        self._write()

    def _write(self, *_moved: float) -> None:
        time_s = self._playhead.time_s
        parts = []
        footage = self._footage
        if self._numbers:
            parts.append(clock_text(time_s, decimals=3))
            if footage is not None and footage.index.holds(time_s):
                parts.append(f"frame {footage.index.at(time_s) + 1}")
        if self._zero_s is not None:
            parts.append(f"from the mark {time_s - self._zero_s:+.3f} s")
        self._picture.set_legend("   ".join(parts))
