"""An open and a closed microphone, with samples a test hands over."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QBuffer, QIODevice, QObject
from pytestqt.qtbot import QtBot

from app.window import microphone
from app.window.microphone import Microphone
from tests.helpers.voices import tone


def filled(pcm: bytes, parent: QObject) -> QBuffer:
    device = QBuffer(parent)
    device.open(QIODevice.OpenModeFlag.ReadWrite)
    device.write(pcm)
    device.seek(0)
    return device


def test_a_closed_microphone_gives_its_rest_and_complains_no_more(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(microphone, "PATIENCE_MS", 30)
    owner = QObject()
    pcm = tone(0.1)
    closed = Microphone("Headset", filled(pcm, owner), lambda: None, owner)
    heard: list[bytes] = []
    complaints: list[str] = []
    closed.heard.connect(heard.append)
    closed.lost.connect(complaints.append)
    closed.close()
    assert b"".join(heard) == pcm
    # An open one beside it, begun later, shows when the closed one's patience would have ended.
    silent = Microphone("Other", filled(b"", owner), lambda: None, owner)
    with qtbot.waitSignal(silent.lost):
        pass
    silent.close()
    assert complaints == []
