"""The table of actions: complete, without clashes, and each row does its work."""

from __future__ import annotations

from collections import Counter

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QLabel, QWidgetAction

from app.window.actions.action_row import ActionRow
from app.window.actions.conditions import Conditions
from app.window.actions.key_card import ActionSearch, KeyCard
from app.window.actions.menu_order import MENUS
from app.window.actions.window_actions import WINDOW_ACTIONS
from app.window.feature_list import ACTIONS, FEATURES
from app.window.main_window import MainWindow

# These ask with a dialog of the system's own, or end the window.
NOT_RUN = {"open", "find", "quit", "sample", "save_as", "slow_motion", "answers"}


def test_names_and_keys_are_each_used_once() -> None:
    assert max(Counter(row.name for row in ACTIONS).values()) == 1
    keys = Counter(QKeySequence(key).toString() for row in ACTIONS for key in row.keys)
    assert [key for key, count in keys.items() if count > 1] == []
    assert "" not in keys


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
    shown = {label.text() for label in card.findChildren(QLabel)}
    assert {row.title for row in ACTIONS} <= shown


@pytest.mark.parametrize("name", [row.name for row in ACTIONS if row.name not in NOT_RUN])
def test_every_action_runs(loaded: MainWindow, name: str, qtbot) -> None:  # type: ignore[no-untyped-def]
    loaded.menus.actions[name].setEnabled(True)
    loaded.menus.actions[name].trigger()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    for dialog in loaded.findChildren(KeyCard) + loaded.findChildren(ActionSearch):
        dialog.close()


def test_search_carries_out_what_was_typed(loaded: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    search = ActionSearch(ACTIONS, loaded.menus.actions, loaded[Conditions].lacks, loaded)
    search.show()
    qtbot.keyClicks(search._field, "mirror")
    search._field.returnPressed.emit()
    assert loaded.session.state.turn.mirrored


def test_search_says_why_something_cannot_be_done(loaded: MainWindow, qtbot) -> None:  # type: ignore[no-untyped-def]
    search = ActionSearch(ACTIONS, loaded.menus.actions, loaded[Conditions].lacks, loaded)
    qtbot.addWidget(search)
    qtbot.keyClicks(search._field, "lay together")
    found = [search._found.topLevelItem(i) for i in range(search._found.topLevelItemCount())]
    row = next(item for item in found if item.text(0) == "Lay the pictures together")
    assert row.text(1) == "needs two strokes on screen" and row.text(2) == "H"
