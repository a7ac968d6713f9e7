"""Modes in which the mouse does something else: which is on, and what Escape ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal, SignalInstance


@dataclass(frozen=True)
class Mode:
    """One such mode.

    Attributes
    ----------
    surface : what the mouse is on: of the modes of one surface only one is on at a time
    is_on : whether it is on
    stop : ends it; what was made stays
    words : what is on, as the bottom line names it while it is; one beginning of a sentence
    rank : the higher, the sooner Escape asks it; what only stands there comes last
    give_up : drops what is half done and says whether there was anything; the mode may stay on
    """

    surface: str
    is_on: Callable[[], bool]
    stop: Callable[[], object]
    words: str
    give_up: Callable[[], bool] = lambda: False
    rank: int = 0


class Modes(QObject):
    """All modes; entering one ends the others of its surface."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._modes: list[Mode] = []

    def add(self, mode: Mode, changed: SignalInstance) -> None:
        """Add a mode; Escape asks the one added last first."""
        self._modes.append(mode)
        self._modes.sort(key=lambda m: m.rank)  # of like rank, in the order they came
        changed.connect(lambda *_on: self._take(mode))

    @property
    def any_on(self) -> bool:
        """Whether there is something to end."""
        return any(mode.is_on() for mode in self._modes)

    @property
    def words(self) -> str:
        """What Escape would leave; "" while nothing is on."""
        return next((mode.words for mode in reversed(self._modes) if mode.is_on()), "")

    def tell(self, *_changed: object) -> None:
        """Something that is on or off without taking the mouse has changed."""
        self.changed.emit()

    def is_taken(self, surface: str, mine: Mode) -> bool:
        """Whether another mode has the mouse there."""
        return any(m.is_on() for m in self._modes if m.surface == surface and m is not mine)

    def give_up_or_stop(self) -> None:
        """Drop what is half done; where nothing is, end the mode that is on."""
        on = [mode for mode in reversed(self._modes) if mode.is_on()]
        if not any(mode.give_up() for mode in on):
            for mode in on[:1]:
                mode.stop()

    def _take(self, mode: Mode) -> None:
        if mode.is_on():
            for other in self._modes:
                if other is not mode and other.surface == mode.surface and other.is_on():
                    other.stop()
        self.changed.emit()
