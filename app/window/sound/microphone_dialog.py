"""Choosing the microphone and seeing that it hears."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QDialog, QLabel, QPushButton, QVBoxLayout, QWidget

from app.window.session.settings import Settings
from app.window.sound.level_meter import LevelMeter, level_of
from app.window.sound.microphone import NONE, Microphone, Microphones, NoMicrophone

TRY = "Say something: the bar should rise to about two thirds and stay green."


class MicrophoneDialog(QDialog):
    """The microphones there are, with the level of the one chosen."""

    def __init__(
        self, microphones: Microphones, settings: Settings, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Microphone")
        self._microphones, self._settings = microphones, settings
        self._microphone: Microphone | None = None
        self._box = QComboBox()
        self._box.setAccessibleName("Microphone")
        self._meter = LevelMeter()
        self._words = QLabel("")
        self._words.setWordWrap(True)
        self._words.setProperty("role", "quiet")
        done = QPushButton("Done")
        done.clicked.connect(self.accept)
        column = QVBoxLayout(self)
        for widget in (self._box, self._meter, self._words, done):
            column.addWidget(widget)
        self.setMinimumWidth(360)
        self.finished.connect(lambda _result: self._close_microphone())
        self._fill()
        self._box.activated.connect(self._choose)
        self._listen()

    def _fill(self) -> None:
        try:
            names = self._microphones.names()
        except NoMicrophone:
            names = []
        self._box.addItems(names)
        self._box.setEnabled(bool(names))
        if self._settings.microphone in names:
            self._box.setCurrentText(self._settings.microphone)

    def _choose(self) -> None:
        self._settings.microphone = self._box.currentText()
        self._listen()

    def _listen(self) -> None:
        self._close_microphone()
        self._meter.clear()
        try:
            self._microphone = self._microphones.open(self._box.currentText(), self)
        except NoMicrophone as error:
            self._words.setText(str(error) if self._box.count() else NONE)
            return
        self._words.setText(TRY)
        self._microphone.heard.connect(lambda pcm: self._meter.show_level(level_of(pcm)))
        self._microphone.lost.connect(self._words.setText)

    def _close_microphone(self) -> None:
        if self._microphone is not None:
            self._microphone.close()
            self._microphone.deleteLater()
            self._microphone = None
