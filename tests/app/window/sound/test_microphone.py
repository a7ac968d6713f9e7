"""An open microphone, without a sound system: its samples come out of a buffer."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QBuffer, QIODevice, QObject
from pytestqt.qtbot import QtBot

from app.window.sound import microphone as module
from app.window.sound.microphone import Microphone
from tests.helpers.voices import tone

PATIENCE_MS = 60


@pytest.fixture
def lost(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setattr(module, "PATIENCE_MS", PATIENCE_MS)
    return []


def opened(owner: QObject, pcm: bytes, lost: list[str]) -> Microphone:
    device = QBuffer(owner)
    device.setData(pcm)
    device.open(QIODevice.OpenModeFlag.ReadOnly)
    found = Microphone("Headset", device, lambda: None, owner)
    found.lost.connect(lost.append)
    return found


def test_samples_still_there_at_the_end_do_not_start_the_waiting_again(
    qtbot: QtBot, lost: list[str]
) -> None:
    owner = QObject()
    heard: list[bytes] = []
    said = tone(0.05)
    found = opened(owner, said, lost)
    found.heard.connect(heard.append)
    found.close()
    assert b"".join(heard) == said
    qtbot.wait(4 * PATIENCE_MS)
    assert lost == []


def test_a_microphone_let_go_of_complains_no_more(qtbot: QtBot, lost: list[str]) -> None:
    owner = QObject()
    found = opened(owner, b"", lost)
    found.close()
    found.lose("The microphone Headset is gone.")
    assert lost == []


def test_one_that_gives_nothing_says_so_once(qtbot: QtBot, lost: list[str]) -> None:
    owner = QObject()
    found = opened(owner, b"", lost)
    qtbot.waitUntil(lambda: bool(lost), timeout=5000)
    assert lost == [module.DUMB.format(name="Headset")]
    found.close()
