"""The table of actions: complete, without clashes, and each row does its work."""

from __future__ import annotations

from collections import Counter

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QToolButton, QWidgetAction
from pytestqt.qtbot import QtBot

from app.review.parts.body import SetBody
from app.review.parts.body_readings import readings_of
from app.window.actions.action_row import ActionRow
from app.window.actions.action_search import ActionSearch, heap
from app.window.actions.appearance import DARK, LIGHT, Appearance
from app.window.actions.conditions import Conditions
from app.window.actions.key_card import KeyCard
from app.window.actions.menu_order import MENUS
from app.window.actions.window_actions import WINDOW_ACTIONS
from app.window.feature_list import ACTIONS, FEATURES
from app.window.features.annotations.drawing import Drawing
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.help.tour import Tour
from app.window.main_window import MainWindow
from app.window.session.modes import Modes
from app.window.session.other_recordings import own_recording
from app.window.session.selection import Selection
from app.window.session.settings import Settings
from samples.camera import Camera
from tests.helpers.followed import followed_as, track_of
from tests.helpers.rowed import rowed

# These ask with a dialog of the system's own, or end the window.
NOT_RUN = {
    "archive",
    "curve_from_picture",
    "inbox",
    "take_in_reviews",
    "open",
    "close",
    "find",
    "quit",
    "sample",
    "save_as",
    "slow_motion",
    "answers",
}


def test_names_and_keys_are_each_used_once() -> None:
    assert max(Counter(row.name for row in ACTIONS).values()) == 1
    keys = Counter(QKeySequence(key).toString() for row in ACTIONS for key in row.keys)
    assert [key for key, count in keys.items() if count > 1] == []
    assert "" not in keys


def test_keys_are_what_a_hand_remembers() -> None:
    """The rest is in menus and search; no key asks for three fingers."""
    with_keys = [row for row in ACTIONS if row.keys]
    assert 50 <= len(with_keys) <= 68
    for row in with_keys:
        for key in row.keys:
            pressed = QKeySequence(key)[0].keyboardModifiers()
            assert bin(pressed.value).count("1") <= 1, row.name


def test_what_is_on_has_a_tick(loaded: MainWindow) -> None:
    for name in ("mirror", "numbers", "time_from_here", "lens", "loop", "draw", "by_itself"):
        action = loaded.menus.actions[name]
        assert action.isCheckable(), name
        before = action.isChecked()
        action.trigger()
        assert action.isChecked() != before, name
        action.trigger()
        assert action.isChecked() == before, name


def test_six_tasks_stand_first(loaded: MainWindow) -> None:
    shown = [b.text() for b in loaded.tasks.findChildren(QToolButton) if b.isVisible()]
    assert shown == ["Draw", "Speak", "Compare", "Target", "Walkthrough", "Send"]
    loaded.resize(560, 530)
    QApplication.processEvents()
    waits = loaded.tasks.row.given_way
    assert "Target" in waits and not {"Send …", "Speak a note"} & set(waits)


@pytest.mark.parametrize("row", ACTIONS, ids=lambda row: row.name)
def test_every_row_has_a_help_sentence(row: ActionRow) -> None:
    assert row.help[0].isupper()
    assert row.help.endswith(".")
    assert row.title


def test_menus_hold_every_action(bench: MainWindow) -> None:
    hung = [a for menu in bench.menuBar().actions() for a in menu.menu().actions()]
    chosen = [a for a in hung if not isinstance(a, QWidgetAction)]
    assert len(chosen) == len(set(chosen))
    assert set(bench.menus.actions.values()) == set(chosen)


def test_menus_are_few_and_fit_a_small_screen(bench: MainWindow) -> None:
    menus = [action.menu() for action in bench.menuBar().actions()]
    assert [menu.title() for menu in menus] == [name for name, _sections in MENUS]
    assert len(menus) <= 9
    assert max(menu.sizeHint().height() for menu in menus) <= 760


def test_every_section_hangs_in_one_menu() -> None:
    sections = [section for _menu, of in MENUS for section in of]
    assert len(sections) == len(set(sections))
    assert set(sections) == {row.section for row in ACTIONS}
    assert len(ACTIONS) == sum(len(f.actions) for f in FEATURES) + len(WINDOW_ACTIONS)


def test_the_key_card_fits_a_small_screen(bench: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    card = KeyCard(ACTIONS, bench)
    qtbot.addWidget(card)
    room = card.screen().availableSize()
    assert card.width() <= room.width() and card.height() <= room.height()
    assert card._page.sizeHint().width() <= card.width(), "scrolled up and down, never sideways"
    shown = {label.text() for label in card.findChildren(QLabel)}
    assert {row.title for row in ACTIONS} <= shown


class Bench:
    """A bench on which every kind of action finds something to act on."""

    def __init__(self, window: MainWindow, qtbot: QtBot) -> None:
        self.window, self.qtbot = window, qtbot
        self.said: list[str] = []
        window.messages.said.connect(lambda text, _problem, _offers: self.said.append(text))

    def ready_for(self, row: ActionRow) -> None:
        """Bring about what the action needs: a stroke in the middle, a pen out, a comparison."""
        window = self.window
        clock, force = window.transport.clock, window.session.submission.force
        assert clock is not None and force is not None
        window[Modes].give_up_or_stop()
        window.playhead.pause()
        if row.needs == "comparison" and not window[Comparisons].comparing.is_shown:
            self.compare()
        elif row.needs != "comparison":
            window[Comparisons].comparing.show("")
        window.playhead.seek(clock.span_of(force.piece.strokes[1]).start_s + 0.4)
        if row.name in ("farther", "whole_picture"):
            window.picture.zoom_by(2.0)
        if row.section == "Appearance":
            window[Appearance].choose(DARK if row.name.endswith(LIGHT) else LIGHT)
        if row.needs == "drawing":
            window.menus.actions["draw"].trigger()
        body = window.session.submission.body
        if row.needs == "body" and (body is None or not body.strokes):
            track = track_of(rowed(strokes=3), camera=Camera(320, 180))  # the clip's size
            window.session.do(SetBody(readings_of(followed_as(track).observed)))
        self.settle()

    def compare(self) -> None:
        own = own_recording(self.window.session)
        one, other = (own.ref(stroke) for stroke in own.strokes()[:2])
        self.window[Comparisons].comparing.add(one, other, own)
        self.settle()

    def run(self, row: ActionRow) -> None:
        self.window.menus.actions[row.name].trigger()
        self.settle()

    def settle(self) -> None:
        self.qtbot.waitUntil(lambda: not self.window.jobs.running, timeout=60000)

    def seen(self) -> tuple[object, ...]:
        """What a coach could notice."""
        w = self.window
        return (
            w.session.state, w.playhead.wanted_s, w.playhead.is_playing, w.playhead.speed,
            w.playhead.loop, w.picture.zoom, w.picture.grab().toImage(), w.stage.currentIndex(),
            w.curve.size(),
            w.tabs.currentIndex(), w.modes.any_on, w.trace.viewRange(), w.view.axis,
            w[Selection].finding, w[Selection].note_id, w[Selection].mark_id, w.sound.is_sounding,
            len(self.said), len([d for d in w.findChildren(QDialog) if d.isVisible()]),
            QApplication.activePopupWidget(), w.focusWidget(), w[Settings].lines_up_by_itself,
            w[Comparisons].curves.axis, w[Drawing].colour, w.playhead.is_backwards,
            w[Appearance].choice, any(tour.isVisible() for tour in w.findChildren(Tour)),
        )  # fmt: skip

    def tidy(self) -> None:
        for dialog in self.window.findChildren(QDialog):
            dialog.close()
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()


@pytest.mark.parametrize(("menu", "sections"), MENUS, ids=[menu for menu, _sections in MENUS])
def test_every_action_does_something(
    loaded: MainWindow, menu: str, sections: tuple[str, ...], qtbot: QtBot
) -> None:
    bench = Bench(loaded, qtbot)
    for row in (r for r in ACTIONS if r.section in sections and r.name not in NOT_RUN):
        bench.ready_for(row)
        if row.name in ("undo", "redo"):  # they have tests of their own, with something to undo
            continue
        assert loaded.menus.actions[row.name].isEnabled(), row.name
        before = bench.seen()
        bench.run(row)
        assert bench.seen() != before, f"{row.name} did nothing, and said nothing"
        bench.tidy()


def test_search_carries_out_what_was_typed(loaded: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    search = ActionSearch(ACTIONS, loaded.menus.actions, loaded[Conditions].lacks, loaded)
    search.show()
    qtbot.keyClicks(search._field, "mirror")
    search._field.returnPressed.emit()
    assert loaded.session.state.turn.mirrored


def test_search_says_why_something_cannot_be_done(loaded: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    search = ActionSearch(ACTIONS, loaded.menus.actions, loaded[Conditions].lacks, loaded)
    qtbot.addWidget(search)
    qtbot.keyClicks(search._field, "match the two")
    found = [search._found.topLevelItem(i) for i in range(search._found.topLevelItemCount())]
    row = next(item for item in found if item.text(0) == "Match the two pictures")
    assert row.text(1) == "needs two strokes on screen" and row.text(2) == ""


# What a coach types who has never seen the menus: everyday words of desktop programs, from memory.
EVERYDAY = [
    "export",
    "import",
    "share",
    "mail",
    "email",
    "save",
    "print",
    "pdf",
    "html",
    "trim",
    "cut",
    "crop",
    "sync",
    "synchronise",
    "align",
    "offset",
    "recent",
    "ruler",
    "measure",
    "angle",
    "degrees",
    "overlay",
    "transparency",
    "side",
    "split",
    "template",
    "model",
    "ideal",
    "guide",
    "manual",
    "help",
    "shortcuts",
    "settings",
    "preferences",
    "options",
    "zoom",
    "magnify",
    "rotate",
    "flip",
    "brightness",
    "exposure",
    "fps",
    "timer",
    "stopwatch",
    "screenshot",
    "image",
    "record",
    "voice",
    "audio",
    "microphone",
    "mute",
    "subtitle",
    "caption",
    "quiz",
    "undo",
    "redo",
    "delete",
    "erase",
    "select",
    "color",
    "arrow",
    "circle",
    "text",
    "pen",
    "blur",
    "face",
    "anonymise",
    "restore",
    "backup",
    "reply",
    "feedback",
    "load",
    "folder",
    "loop",
    "speed",
    "frame",
    "stroke",
    "fault",
    "quit",
    "exit",
]


# A second list, written down before it was looked how many of them find anything: 41 did not.
_MORE = """
    mirror slow fast repeat distance line comment compare side-by-side zip autosave history
    version theme dark fullscreen shortcut keyboard tutorial tour about update privacy
    anonymize hide remove copy paste rename athlete client name open close force curve
    graph chart target goal average mean rate rhythm peak power watts drag calibrate
    synchronize clip snapshot still picture photo contrast volume sound report table csv
    excel spreadsheet statistics progress trend library search find filter sort skeleton
    body joints pose grid draw colour highlight thickness answer message whatsapp phone
    send note bookmark marker tag label finding error mistake threshold sensitivity drill
    session plan exercise homework language german french logo font size bigger smaller
    camera second view inset picture-in-picture next previous jump goto start end play
    pause upload download cloud sample demo example flywheel units convert merge join
    combine duplicate ghost superimpose opacity transparent lock unlock reset default
    cancel escape new scrub timeline rewind forward back step bundle package
"""
MORE_EVERYDAY = tuple(_MORE.split())


@pytest.mark.parametrize("word", [*EVERYDAY, *MORE_EVERYDAY])
def test_search_understands_everyday_words(word: str) -> None:
    found = [row for row in ACTIONS if word in heap(row)]
    assert found, f"nothing is found by {word}"


def test_search_helps_when_nothing_is_found(loaded: MainWindow, qtbot: QtBot) -> None:
    search = ActionSearch(ACTIONS, loaded.menus.actions, loaded[Conditions].lacks, loaded)
    qtbot.addWidget(search)
    search.show()
    qtbot.keyClicks(search._field, "exprot")  # a slip of the finger
    assert search._found.topLevelItemCount() > 0 and "“export”" in search._nothing.text()
    search._field.setText("qqqqzzzz")
    assert search._found.topLevelItemCount() == 0
    assert search._nothing.isVisible() and "F1" in search._nothing.text()
    search._field.setText("mirror")
    assert not search._nothing.isVisible()


@pytest.mark.parametrize(
    ("typed", "first"),
    [("export", "Send …"), ("share", "Send …"), ("mail", "Send …"), ("export walk", "Write the")],
)
def test_what_a_word_asks_for_most_comes_first(
    loaded: MainWindow, qtbot: QtBot, typed: str, first: str
) -> None:
    search = ActionSearch(ACTIONS, loaded.menus.actions, loaded[Conditions].lacks, loaded)
    qtbot.addWidget(search)
    search._field.setText(typed)
    assert search._found.topLevelItem(0).text(0).startswith(first)


def test_escape_leaves_the_tour_and_then_says_nothing(loaded: MainWindow, qtbot: QtBot) -> None:
    tour = loaded.findChild(Tour)
    assert tour is not None
    loaded.menus.actions["tour"].trigger()
    assert tour.isVisible() and loaded.modes.words == "Tour"
    qtbot.keyClick(loaded, Qt.Key.Key_Escape)
    assert tour.isHidden() and not loaded.modes.any_on
    said = loaded.message_line.text
    qtbot.keyClick(loaded, Qt.Key.Key_Escape)
    assert loaded.message_line.text == said
