"""Qt's waiting in tests, for as long as it takes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pytestqt.qtbot import QtBot

from tests.helpers.patience import HANGS_MS


class PatientBot(QtBot):
    """Waits for what comes as long as it takes, whatever shorter time a test has named."""

    def waitUntil(self, callback: Callable[[], bool | None], *, timeout: int = HANGS_MS) -> None:
        super().waitUntil(callback, timeout=max(timeout, HANGS_MS))

    def waitSignal(self, signal: Any, *, timeout: int = HANGS_MS, **named: Any) -> Any:
        return super().waitSignal(signal, timeout=max(timeout, HANGS_MS), **named)

    def waitSignals(self, signals: Any, *, timeout: int = HANGS_MS, **named: Any) -> Any:
        return super().waitSignals(signals, timeout=max(timeout, HANGS_MS), **named)

    def waitExposed(self, widget: Any, *, timeout: int = HANGS_MS) -> Any:
        return super().waitExposed(widget, timeout=max(timeout, HANGS_MS))
