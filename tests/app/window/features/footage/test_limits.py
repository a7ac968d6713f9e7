"""How much memory and disk the picture may take: asked for, kept, obeyed."""

from __future__ import annotations

import json
from pathlib import Path

from pytestqt.qtbot import QtBot

from app.window.features.footage.limits import LimitsDialog
from app.window.main_window import MainWindow
from app.window.session.settings import CACHE_MB, QUICK_COPY_MB, Settings


def test_a_changed_limit_is_kept_and_obeyed_at_once(
    loaded: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    loaded.playhead.step(5)
    qtbot.waitUntil(lambda: loaded.picture.frame.index == 5, timeout=20000)
    before = loaded.supply._server
    loaded.menus.actions["limits"].trigger()
    dialog = loaded.findChild(LimitsDialog)
    assert dialog is not None
    dialog.cache.setValue(128)
    dialog.copy.setValue(0)
    qtbot.waitUntil(lambda: loaded.supply._server is not before, timeout=20000)
    server = loaded.supply._server
    assert server is not None and before is not None
    qtbot.waitUntil(lambda: not before.running, timeout=20000)
    assert server._cache._limit == 128 * 2**20
    assert server._proxy_bytes == 0
    loaded.playhead.step(1)
    qtbot.waitUntil(lambda: loaded.picture.frame.index == 6, timeout=20000)
    dialog.accept()
    assert loaded.supply._server is server  # nothing changed: the picture goes on
    again = Settings(tmp_path / "settings.json")
    assert (again.cache_mb, again.quick_copy_mb) == (128, 0)


def test_the_limits_kept_hold_from_the_start(tmp_path: Path, qtbot: QtBot) -> None:
    settings = Settings(tmp_path / "own.json")
    settings.cache_mb = 512
    bench = MainWindow(settings)
    qtbot.addWidget(bench)
    assert bench.supply._cache_mb == 512
    bench.close()


def test_what_cannot_be_a_limit_is_put_right(tmp_path: Path) -> None:
    path = tmp_path / "broken.json"
    for stored, expected in ((-5, CACHE_MB[1]), (10**9, CACHE_MB[2]), ("x", CACHE_MB[0])):
        path.write_text(json.dumps({"cache_mb": stored, "quick_copy_mb": True}))
        settings = Settings(path)
        assert settings.cache_mb == expected
        assert settings.quick_copy_mb == QUICK_COPY_MB[0]
