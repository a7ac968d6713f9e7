"""Voices without a microphone: samples a test hands over, and a loudspeaker that only counts."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QBuffer, QIODevice, QObject

from app.window.sound.microphone import NONE, Microphone, Microphones, NoMicrophone

RATE_HZ = 48_000


def tone(seconds: float, level_dbfs: float = -12.0, hz: float = 997.0) -> bytes:
    """A sine of 16-bit samples; the level is that of its peaks."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return (
        np.round(10 ** (level_dbfs / 20) * 32767 * np.sin(2 * np.pi * hz * t))
        .astype("<i2")
        .tobytes()
    )


class FakeMicrophones(Microphones):
    """Microphones whose samples a test speaks."""

    def __init__(self, *names: str) -> None:
        self._names = list(names)
        self.device: QBuffer | None = None
        self.opened: list[str] = []
        self.closed = 0

    def names(self) -> list[str]:
        return self._names

    def open(self, wanted: str, parent: QObject) -> Microphone:
        if not self._names:
            raise NoMicrophone(NONE)
        name = wanted if wanted in self._names else self._names[0]
        self.opened.append(name)
        self.device = QBuffer(parent)
        self.device.open(QIODevice.OpenModeFlag.ReadWrite)
        self.microphone = Microphone(name, self.device, self._end, parent)
        return self.microphone

    def speak(self, pcm: bytes, piece: int = 4096) -> None:
        """Let the microphone hear these samples, piece by piece."""
        assert self.device is not None
        for at in range(0, len(pcm), piece):
            start = self.device.pos()
            self.device.write(pcm[at : at + piece])
            self.device.seek(start)
            self.device.readyRead.emit()

    def _end(self) -> None:
        self.closed += 1


class FakeSpeaker:
    """Takes samples and is as far as it is told."""

    def __init__(self) -> None:
        self.pcm = b""
        self.at_s = 0.0
        self.is_open = False

    def open(self, pcm: bytes, sample_hz: int, parent: QObject) -> FakeSpeaker:
        self.pcm, self.at_s, self.is_open = pcm, 0.0, True
        return self

    def heard_s(self) -> float:
        return self.at_s

    def close(self) -> None:
        self.is_open = False
