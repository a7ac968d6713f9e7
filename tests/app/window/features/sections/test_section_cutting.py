"""Cutting a piece into sections, naming and joining them, at the playhead."""

from __future__ import annotations

from PySide6.QtWidgets import QInputDialog
from pytestqt.qtbot import QtBot

from analysis.sections.section import Section
from app.window.features.findings.findings import Findings
from app.window.features.sections.section_cutting import SectionCutting
from app.window.main_window import MainWindow


def sections(bench: MainWindow) -> tuple[Section, ...]:
    return bench.session.submission.sections


def stand_in(bench: MainWindow, qtbot: QtBot, stroke: int) -> None:
    """Go into the middle of a stroke's drive."""
    sent = bench.session.submission
    assert sent.piece is not None
    found = sent.piece.strokes[stroke]
    bench.playhead.seek(sent.clock.review_time(0.5 * (found.catch_s + found.finish_s)))
    qtbot.waitUntil(lambda: bench.playhead.time_s == bench.playhead.wanted_s, timeout=10_000)


def test_a_section_begins_with_the_stroke_at_the_playhead(loaded: MainWindow, qtbot: QtBot) -> None:
    assert [s.first for s in sections(loaded)] == [0]
    stand_in(loaded, qtbot, 2)
    loaded.menus.actions["begin_section"].trigger()
    assert [(s.first, s.last) for s in sections(loaded)] == [(0, 1), (2, 3)]
    loaded.menus.actions["begin_section"].trigger()  # there already
    assert loaded.message_line.text == "A section begins with this stroke already."
    assert len(sections(loaded)) == 2


def test_one_undo_gives_the_sections_as_they_were(loaded: MainWindow, qtbot: QtBot) -> None:
    stand_in(loaded, qtbot, 2)
    loaded[SectionCutting].begin_here()
    loaded.session.undo()
    assert loaded.session.state.sections == () and len(sections(loaded)) == 1


def typed(bench: MainWindow, text: str) -> None:
    bench.menus.actions["name_section"].trigger()
    dialog = bench[SectionCutting].dialog
    assert isinstance(dialog, QInputDialog)
    dialog.setTextValue(text)
    dialog.accept()


def test_a_section_is_named_and_the_name_can_be_taken_back(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    stand_in(loaded, qtbot, 2)
    loaded[SectionCutting].begin_here()
    typed(loaded, "  race pace ")
    assert [s.name for s in sections(loaded)][1] == "race pace"
    stand_in(loaded, qtbot, 0)
    typed(loaded, "easy")
    assert [s.name for s in sections(loaded)] == ["easy", "race pace"]
    typed(loaded, "")
    assert "strokes" in sections(loaded)[0].name
    assert loaded[SectionCutting].dialog is None


def test_a_section_joins_the_one_before(loaded: MainWindow, qtbot: QtBot) -> None:
    for stroke in (1, 2):
        stand_in(loaded, qtbot, stroke)
        loaded[SectionCutting].begin_here()
    assert [s.first for s in sections(loaded)] == [0, 1, 2]
    loaded.menus.actions["join_section"].trigger()
    assert [s.first for s in sections(loaded)] == [0, 1]
    stand_in(loaded, qtbot, 0)
    loaded.menus.actions["join_section"].trigger()
    assert "first section" in loaded.message_line.text
    assert [s.first for s in sections(loaded)] == [0, 1]


def test_what_was_found_counts_again(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["sections_as_found"].trigger()
    assert "not changed" in loaded.message_line.text
    stand_in(loaded, qtbot, 2)
    loaded[SectionCutting].begin_here()
    loaded.menus.actions["sections_as_found"].trigger()
    assert loaded.session.state.sections == () and len(sections(loaded)) == 1


def test_findings_are_raised_anew_within_other_sections(loaded: MainWindow, qtbot: QtBot) -> None:
    stand_in(loaded, qtbot, 2)
    with qtbot.waitSignal(loaded[Findings].changed):
        loaded[SectionCutting].begin_here()


def test_behind_the_last_stroke_there_is_no_section(loaded: MainWindow, qtbot: QtBot) -> None:
    end_s = sections(loaded)[-1].end_s
    loaded.playhead.seek(loaded.session.submission.clock.review_time(end_s + 0.3))
    qtbot.waitUntil(lambda: loaded.playhead.time_s == loaded.playhead.wanted_s, timeout=10_000)
    loaded[SectionCutting].begin_here()
    assert loaded.session.state.sections == ()
    assert loaded.message_line.text.startswith("There is no stroke at the playhead")


def test_the_mean_that_is_drawn_is_of_the_section_of_the_stroke(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    stand_in(loaded, qtbot, 3)
    loaded[SectionCutting].begin_here()
    shown = loaded.view.shown_piece
    assert shown is not None and [s.index for s in shown.strokes] == [3]
    stand_in(loaded, qtbot, 0)
    shown = loaded.view.shown_piece
    assert shown is not None and [s.index for s in shown.strokes] == [0, 1, 2]
    assert loaded.view.curves is shown.by_time, "targets are of the longest section"
