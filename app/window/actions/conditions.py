"""When an action can do something."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal, SignalInstance


class Conditions(QObject):
    """Named questions that the rows of the table of actions refer to; features add their own."""

    changed = Signal()  # an answer may be another one now

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked: dict[str, Callable[[], bool]] = {"": lambda: True}
        self._lacks: dict[str, str] = {}

    def add(self, name: str, ask: Callable[[], bool], lacks: str, *when: SignalInstance) -> None:
        """Name a condition.

        Parameters
        ----------
        lacks : what is said while it does not hold
        when : the signals after which it may have changed
        """
        self._asked[name], self._lacks[name] = ask, lacks
        for signal in when:
            signal.connect(self._tell)

    def lacks(self, name: str) -> str:
        """What is missing while a condition does not hold."""
        return self._lacks.get(name, "nothing to do")

    def answers(self) -> dict[str, bool]:
        """Every condition by name, each asked once."""
        return {name: ask() for name, ask in self._asked.items()}

    def _tell(self, *_changed: object) -> None:
        self.changed.emit()
