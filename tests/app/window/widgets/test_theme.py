"""Both sets of colours are read by everybody, and the bench wears what the system says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest
import shiboken6
from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QPalette, QStyleHints
from PySide6.QtWidgets import QApplication

from app.window.actions.appearance import Appearance
from app.window.main_window import MainWindow
from app.window.session.settings import Settings
from app.window.views.scene_paint import bench_palette
from app.window.widgets import theme
from app.window.widgets.theme import DARK, LIGHT, Colours
from tests.helpers.contrast import contrast

SETS = pytest.mark.parametrize("colours", [DARK, LIGHT], ids=["dark", "light"])
GROUNDS = ("floor", "panel", "raised")
# What is written in; what stands on a shade is drawn, not read.
WORDS = (
    *((role, ground) for role in ("text", "quiet") for ground in GROUNDS),
    *((role, "floor") for role in ("force", "mean", "target_bright", "playhead", "pick", "second")),
    *((role, "panel") for role in ("force", "mean", "target_bright", "playhead", "warning")),
    ("pick", "raised"),
    ("chosen_text", "chosen"),
)
LINES = (
    "line", "rim", "force", "mean", "target", "target_bright", "playhead", "note", "warning",
    "orange", "pick", "second",
)  # fmt: skip


@SETS
@pytest.mark.parametrize(("role", "ground"), WORDS)
def test_words_are_read(colours: Colours, role: str, ground: str) -> None:
    assert contrast(getattr(colours, role), getattr(colours, ground)) >= 4.5


@SETS
@pytest.mark.parametrize("role", LINES)
@pytest.mark.parametrize("ground", GROUNDS)
def test_what_is_drawn_is_seen(colours: Colours, role: str, ground: str) -> None:
    assert contrast(getattr(colours, role), getattr(colours, ground)) >= 3.0


@SETS
def test_figures_of_the_scene_are_seen_on_the_bench(colours: Colours, qapp: QApplication) -> None:
    theme.wear(qapp, colours)
    palette = bench_palette()
    for ink in ("own", "mean", "target", "left", "right", "cursor", "signal 0", "signal 1"):
        assert contrast(palette[ink], palette["ground"]) >= 3.0, ink
    for ink in ("ink", "quiet", "drawn words"):
        assert contrast(palette[ink], palette["ground"]) >= 4.5, ink
    theme.wear(qapp, DARK)


def test_every_colour_asked_for_is_there() -> None:
    for file in Path("app/window").rglob("*.py"):
        for name in re.findall(r"\btheme\.([A-Z][A-Z_]+)\b", file.read_text("utf-8")):
            assert name in ("DARK", "LIGHT") or name.lower() in Colours.__dataclass_fields__, (
                file,
                name,
            )
    with pytest.raises(AttributeError):
        theme.__getattr__("NO_SUCH_ROLE")


class FakeHints(QObject):
    """A system that can be switched."""

    colorSchemeChanged = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.of_system = Qt.ColorScheme.Light
        self.asked = Qt.ColorScheme.Unknown

    def setColorScheme(self, scheme: Qt.ColorScheme) -> None:
        self.asked = scheme

    def colorScheme(self) -> Qt.ColorScheme:
        return self.of_system if self.asked == Qt.ColorScheme.Unknown else self.asked

    def switch(self, scheme: Qt.ColorScheme) -> None:
        self.of_system = scheme
        self.colorSchemeChanged.emit(scheme)


@pytest.fixture
def hints(qapp: QApplication) -> Iterator[FakeHints]:
    yield FakeHints()
    theme.wear(qapp, DARK)


def test_the_bench_follows_the_system_while_it_runs(hints: FakeHints, tmp_path: Path) -> None:
    appearance = Appearance(Settings(tmp_path / "s.json"), None, cast(QStyleHints, hints))
    assert theme.worn() is LIGHT
    hints.switch(Qt.ColorScheme.Dark)
    assert theme.worn() is DARK and DARK.floor == theme.FLOOR
    hints.switch(Qt.ColorScheme.Unknown)
    assert theme.worn() is DARK
    appearance.choose("light")
    assert theme.worn() is LIGHT and hints.asked == Qt.ColorScheme.Light
    hints.switch(Qt.ColorScheme.Dark)
    assert theme.worn() is LIGHT  # the coach's choice stands
    assert Settings(tmp_path / "s.json").appearance == "light"
    appearance.choose("system")
    appearance.close()
    appearance.close()
    hints.switch(Qt.ColorScheme.Light)
    assert theme.worn() is DARK  # a closed window dresses nobody


def test_what_is_open_changes_its_colours(loaded: MainWindow, qapp: QApplication) -> None:
    actions = loaded.menus.actions
    assert actions["appearance_system"].isChecked()
    actions["appearance_light"].trigger()
    for plot in (loaded.trace, loaded.curve):
        assert plot.backgroundBrush().color() == QColor(LIGHT.floor)
        axis = plot.getPlotItem().getAxis("left")
        assert axis.pen().color() == QColor(LIGHT.line)
        assert axis.textPen().color() == QColor(LIGHT.quiet)
    assert LIGHT.force in loaded.stroke_panel._legend.text()
    assert qapp.palette().color(QPalette.ColorRole.Window) == QColor(LIGHT.panel)
    ticked = [name for name, action in actions.items() if action.isChecked()]
    assert "appearance_light" in ticked and "appearance_dark" not in ticked
    surround = loaded.picture.grab().toImage().pixelColor(2, 2)
    assert surround == QColor(DARK.floor)
    actions["appearance_system"].trigger()
    assert loaded.curve.backgroundBrush().color() == QColor(DARK.floor)


def test_what_is_gone_is_not_dressed(qapp: QApplication) -> None:
    class Follower(QObject):
        dressed = 0

        def dress(self) -> None:
            Follower.dressed += 1

    kept, dropped, deleted = Follower(), Follower(), Follower()
    for follower in (kept, dropped, deleted):
        theme.follow(follower.dress)
    assert Follower.dressed == 3
    del follower, dropped
    shiboken6.delete(deleted)
    theme.wear(qapp, LIGHT)
    assert Follower.dressed == 4
    theme.wear(qapp, DARK)
