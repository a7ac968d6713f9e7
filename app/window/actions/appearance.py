"""Light or dark: as the system says, or as the coach chose."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QGuiApplication, QStyleHints
from PySide6.QtWidgets import QApplication

from app.window.session.settings import Settings
from app.window.widgets import theme

SYSTEM, DARK, LIGHT = CHOICES = ("system", "dark", "light")
_SCHEMES = {
    SYSTEM: Qt.ColorScheme.Unknown,
    DARK: Qt.ColorScheme.Dark,
    LIGHT: Qt.ColorScheme.Light,
}


class Appearance(QObject):
    """Wears what is chosen, and follows the system while that is what is chosen."""

    def __init__(
        self, settings: Settings, parent: QObject | None, hints: QStyleHints | None = None
    ) -> None:
        super().__init__(parent)
        self._settings = settings
        self._hints = hints or QGuiApplication.styleHints()
        self._hints.colorSchemeChanged.connect(self._wear)
        self._is_following = True
        self._apply()

    def close(self) -> None:
        """Follow the system no more: its settings outlive every window."""
        if self._is_following:
            self._hints.colorSchemeChanged.disconnect(self._wear)
        self._is_following = False

    @property
    def choice(self) -> str:
        """One of CHOICES."""
        return self._settings.appearance

    def choose(self, choice: str) -> None:
        """Look so from now on, and at the next start."""
        self._settings.appearance = choice
        self._apply()

    def _apply(self) -> None:
        # The system's own dialogs and the frame of the window go along.
        self._hints.setColorScheme(_SCHEMES[self.choice])
        self._wear()

    def _wear(self, *_scheme: object) -> None:
        asked = _SCHEMES[self.choice]
        scheme = self._hints.colorScheme() if self.choice == SYSTEM else asked
        # A system that does not say gets the dark bench: the picture reads best on it.
        wanted = theme.LIGHT if scheme == Qt.ColorScheme.Light else theme.DARK
        app = QApplication.instance()
        if wanted is not theme.worn() and isinstance(app, QApplication):
            theme.wear(app, wanted)
