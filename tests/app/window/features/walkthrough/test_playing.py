"""A walkthrough played on the bench: it moves what it moved, and leaves all as it was."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.review.parts.marks import new_mark
from app.review.parts.walk_events import (
    MarkDrawn,
    Moved,
    Shown,
    Turned,
    Zoomed,
)
from app.window.features.annotations.drawing import Drawing
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.walkthrough.walkthroughs import Walkthroughs
from app.window.main_window import MainWindow
from app.window.views.zoom import FIT
from tests.app.window.features.comparing.test_comparing import compare
from tests.helpers.voices import FakeSpeaker
from tests.helpers.walked import recorded_walk

Key = Qt.Key


def test_playing_moves_the_bench_and_leaves_it_as_it_was(loaded: MainWindow, qtbot: QtBot) -> None:
    mark = new_mark("line", [(10.0, 10.0), (60.0, 40.0)], 2.0)
    walk = recorded_walk(
        loaded, Moved(0.0, 1.0), Moved(1.0, 2.0), MarkDrawn(1.0, mark), Turned(2.0, 0, True, 0.0),
        Zoomed(2.0, 2.0, 0.5, 0.5), Moved(2.0, 3.0),
    )  # fmt: skip
    walk = loaded.session.state.walkthroughs[0]
    speaker = FakeSpeaker()
    player = loaded[Walkthroughs].player
    player.open_speaker = speaker.open
    loaded.playhead.seek(0.5)
    qtbot.keyClick(loaded, Key.Key_F8)
    assert player.is_on and not speaker.is_open  # it has no voice
    player._sounding = speaker
    for heard_s, video_s in ((0.5, 1.0), (1.5, 2.0), (2.5, 3.0)):
        speaker.at_s = heard_s
        player._tick()
        qtbot.waitUntil(lambda at=video_s: loaded.playhead.time_s == at)
        assert loaded[Walkthroughs].walks.at_s == pytest.approx(heard_s)
        assert (mark in loaded[Drawing].shown) == (heard_s == 1.5)
    assert loaded.picture._turn.mirrored and loaded.picture.zoom.factor == 2.0
    qtbot.keyClick(loaded, Key.Key_F8)
    assert not player.is_on
    assert loaded.picture._turn == loaded.session.state.turn
    assert loaded.picture.zoom == FIT
    assert loaded.session.state.walkthroughs == (walk,) and loaded.session.state.marks == ()


def test_escape_stops_a_walkthrough_that_plays(loaded: MainWindow, qtbot: QtBot) -> None:
    recorded_walk(loaded, Moved(0.0, 1.0), Moved(1.0, 2.0))
    qtbot.keyClick(loaded, Key.Key_F8)
    assert loaded[Walkthroughs].player.is_on
    qtbot.keyClick(loaded, Key.Key_Escape)
    assert not loaded[Walkthroughs].player.is_on


def test_playing_leaves_out_what_was_cut_and_ends_by_itself(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    recorded_walk(loaded, Moved(0.0, 1.0), Moved(3.0, 2.0), length_s=4.0)
    walks, player = loaded[Walkthroughs].walks, loaded[Walkthroughs].player
    walks.select(1.0, 3.0)
    walks.cut_out()
    qtbot.keyClick(loaded, Key.Key_F8)
    speaker = FakeSpeaker()
    player._sounding = speaker
    speaker.at_s = 1.2
    player._tick()
    assert walks.at_s == pytest.approx(3.2)
    speaker.at_s = 2.01
    player._tick()
    assert not player.is_on


def test_playing_shows_and_puts_away_a_comparison(loaded: MainWindow, qtbot: QtBot) -> None:
    comparing, player = loaded[Comparisons].comparing, loaded[Walkthroughs].player
    pair, before = compare(loaded, qtbot), compare(loaded, qtbot, 1, 2)
    at_s = pair.left.catch_s + 0.2
    recorded_walk(
        loaded, Moved(0.0, 0.5), Shown(1.0, "comparison", pair.id), Moved(1.0, at_s),
        Shown(2.0, "picture"), Shown(3.0, "comparison", "gone"),
    )  # fmt: skip
    speaker = FakeSpeaker()
    player.open_speaker = speaker.open
    qtbot.keyClick(loaded, Key.Key_F8)
    panel = loaded.tabs.currentWidget()
    assert panel is loaded[Walkthroughs].panel
    player._sounding = speaker
    footage = loaded.session.footage
    assert footage is not None
    for heard_s, wanted in ((0.5, ""), (1.5, pair.id), (2.5, ""), (3.5, "")):
        speaker.at_s = heard_s
        player._tick()
        assert (comparing.selected.id if comparing.selected else "") == wanted
        assert loaded.tabs.currentWidget() is panel, "its own tab stays in front"
    assert "picture stands alone" in loaded.message_line.text
    assert footage.index.at(loaded.playhead.wanted_s) == footage.index.at(at_s)
    loop = loaded.playhead.loop
    qtbot.keyClick(loaded, Key.Key_F8)
    assert not player.is_on and loop is None
    assert comparing.selected is not None and comparing.selected.id == before.id
    assert loaded.playhead.loop is not None
    assert loaded.playhead.loop.start_s == before.left.catch_s
