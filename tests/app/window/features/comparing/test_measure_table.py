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
    HINT_WORDS,
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
    assert basis_words((SURE,)).endswith(TABLE_WORDS) and "Day form" in TABLE_WORDS


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
