"""What the table of measures says where few strokes lie behind a range."""

from __future__ import annotations

from dataclasses import replace

from pytestqt.qtbot import QtBot

from analysis.comparing.variation import Interval, MeasureRow
from app.bundle.comparing.comparison_files import ComparisonCard, comparison_csv
from app.bundle.comparing.comparison_page import comparison_views
from app.bundle.wording.words import ENGLISH
from app.bundle.wording.words_german import GERMAN
from app.review.parts.comparisons import new_comparison
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.measure_table import (
    BOTH_SEEN,
    HINT_WORDS,
    ONE_SEEN,
    TABLE_WORDS,
    MeasureTable,
    basis_words,
    sentence,
)

SURE = MeasureRow(
    "peak_n", 600.0, 640.0, 9.0, 8.0, 24, 22, "means", Interval(40.0, 30.0, 50.0), "more"
)
FEW = replace(SURE, left_count=9, hint=True, doubt="few")


def test_the_window_says_that_few_strokes_give_a_hint(qtbot: QtBot) -> None:
    table = MeasureTable()
    qtbot.addWidget(table)
    table.show_rows((SURE, FEW, replace(FEW, verdict="within")))
    last = [table.item(i, 5) for i in range(3)]
    assert [item.text() for item in last if item] == ["▲ more", "▲ perhaps", "within"]
    assert sentence(FEW).count("Take it as a hint: so few strokes") == 1
    assert "hint" not in sentence(SURE)
    assert HINT_WORDS in basis_words((SURE, FEW)) and HINT_WORDS not in basis_words((SURE,))
    assert basis_words((SURE,)).endswith(TABLE_WORDS) and "Day form and more" in TABLE_WORDS


def test_the_page_and_the_file_say_so_too() -> None:
    stroke = StrokeRef("", 1.0, 2.0, 3.0)
    card = ComparisonCard(1, new_comparison(stroke, stroke), ("a", "b"), rows=(SURE, FEW))
    for words, perhaps, few in (
        (ENGLISH, "perhaps more", "Perhaps: few strokes"),
        (GERMAN, "vielleicht mehr", "Vielleicht: wenige Schläge"),
    ):
        view = comparison_views((card,), words)[0]
        assert view.hint.startswith(few) and "20" in view.hint
        assert perhaps not in view.rows[0].verdict and perhaps in view.rows[1].verdict
        assert comparison_views((replace(card, rows=(SURE,)),), words)[0].hint == ""
    lines = comparison_csv((SURE, FEW)).splitlines()
    assert [line.rsplit(",", 1)[1] for line in lines] == ["hint", "", "few strokes"]


def test_the_range_that_is_told_holds_slow_wander() -> None:
    row = replace(SURE, with_wander=Interval(40.0, 12.0, 68.0))
    assert "95 % between +12 and +68 N" in sentence(row)
    assert "Between +30 and +50, if nothing wanders slowly." in sentence(row)
    stroke = StrokeRef("", 1.0, 2.0, 3.0)
    card = ComparisonCard(1, new_comparison(stroke, stroke), ("a", "b"), rows=(row,))
    assert comparison_views((card,), ENGLISH)[0].rows[0].interval == "+12 to +68"
    assert ",40,12,68," in comparison_csv((row,))


def test_a_range_that_may_be_too_narrow_says_so_whatever_the_verdict() -> None:
    row = replace(SURE, verdict="within", hint=True, doubt="slow")
    assert "The range may be too narrow: the strokes change slowly" in sentence(row)
    stroke = StrokeRef("", 1.0, 2.0, 3.0)
    card = ComparisonCard(1, new_comparison(stroke, stroke), ("a", "b"), rows=(row,))
    for words, unsure in ((ENGLISH, "unsure"), (GERMAN, "unsicher")):
        view = comparison_views((card,), words)[0]
        assert view.rows[0].verdict.endswith(unsure) and unsure in view.hint


def test_strokes_of_the_picture_are_said_to_be_so() -> None:
    assert basis_words((SURE,), (True, True)).endswith(BOTH_SEEN)
    assert basis_words((SURE,), (False, True)).endswith(ONE_SEEN)
    assert basis_words((), (False, True)) == ""
    stroke = StrokeRef("", 1.0, 2.0, 3.0)
    card = ComparisonCard(1, new_comparison(stroke, stroke), ("a", "b"), rows=(SURE,))
    for words, both, one in (
        (ENGLISH, "turn to turn", "left out"),
        (GERMAN, "Umkehr zu Umkehr", "fehlen"),
    ):
        said = [
            comparison_views((replace(card, from_picture=seen),), words)[0].basis
            for seen in ((False, False), (True, True), (True, False))
        ]
        assert both in said[1] and one in said[2] and not {both, one} & set(said[0].split())
        assert len(said[0]) < len(said[1])
