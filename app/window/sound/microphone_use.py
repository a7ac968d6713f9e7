"""The one microphone, which serves one recording at a time."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject

from app.window.sound.microphone import Microphones


class MicrophoneUse(QObject):
    """The microphones there are, and who records.

    Attributes
    ----------
    microphones : where one is opened
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.microphones = Microphones()
        self._reasons: list[Callable[[], str]] = []
        self._quiet: list[Callable[[], None]] = []

    def add_reason(self, why_not: Callable[[], str]) -> None:
        """Ask this one too why nobody may speak a note now; "" where one may."""
        self._reasons.append(why_not)

    def add_voice(self, fall_silent: Callable[[], None]) -> None:
        """Let this one fall silent before something else records or plays; what is said is kept."""
        self._quiet.append(fall_silent)

    def why_not(self) -> str:
        """Why nobody may speak a note now; "" where one may."""
        return next((reason for ask in self._reasons if (reason := ask())), "")

    def hush(self) -> None:
        """End every voice that is being recorded or heard."""
        for fall_silent in self._quiet:
            fall_silent()
