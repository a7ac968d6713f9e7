"""Samples on their way to a loudspeaker."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QObject

from app.review.voice import BYTES


class Sounding(Protocol):
    """Samples on their way to a loudspeaker."""

    def heard_s(self) -> float:
        """Seconds played so far."""

    def close(self) -> None:
        """Fall silent."""


class _Speaker(QObject):
    """A loudspeaker playing samples."""

    def __init__(self, pcm: bytes, sample_hz: int, parent: QObject) -> None:
        super().__init__(parent)
        from PySide6.QtMultimedia import QAudioFormat, QAudioSink, QMediaDevices

        form = QAudioFormat()
        form.setSampleRate(sample_hz)
        form.setChannelCount(1)
        form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
        self._length_s = len(pcm) / BYTES / sample_hz
        self._bytes = QByteArray(pcm)
        self._buffer = QBuffer(self._bytes, self)
        self._buffer.open(QIODevice.OpenModeFlag.ReadOnly)
        self._sink = QAudioSink(QMediaDevices.defaultAudioOutput(), form, self)
        self._sink.start(self._buffer)

    def heard_s(self) -> float:
        """Seconds played so far."""
        return min(self._sink.processedUSecs() * 1e-6, self._length_s)

    def close(self) -> None:
        """Fall silent."""
        self._sink.reset()
        self.deleteLater()


def open_speaker(pcm: bytes, sample_hz: int, parent: QObject) -> Sounding | None:
    """Play 16-bit samples of one channel; None where there is no loudspeaker."""
    try:
        from PySide6.QtMultimedia import QMediaDevices
    except ImportError:
        return None
    if QMediaDevices.defaultAudioOutput().isNull():
        return None
    return _Speaker(pcm, sample_hz, parent)
