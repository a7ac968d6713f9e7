from __future__ import annotations

import csv
import io

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.measures.registry import KEYS
from app.bundle.notes.note_cards import NoteCard
from app.bundle.tables import NOTE_COLUMNS, STROKE_COLUMNS, notes_csv
from app.bundle.wording.table_text import number
from app.bundle.wording.text import cell, clean
from app.bundle.write import BundleResult
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.app.bundle.conftest import CATCHES_S, OFFSET_S


def test_both_tables_are_read_back(review: ReviewState, written: BundleResult) -> None:
    notes = pd.read_csv(written.path / "notes.csv", keep_default_na=False)
    assert tuple(notes.columns) == NOTE_COLUMNS
    assert notes["time_s"].tolist() == [n.video_s for n in review.notes]
    assert notes["text"].tolist() == [n.text for n in review.notes]
    assert notes["stroke"].tolist() == ["1", "2", "2", "2", ""]
    strokes = pd.read_csv(written.path / "strokes.csv")
    assert tuple(strokes.columns) == STROKE_COLUMNS
    assert list(KEYS) == list(STROKE_COLUMNS[5:-6])
    assert np.allclose(strokes["catch_s"], CATCHES_S, atol=0.03)
    assert np.allclose(strokes["catch_film_s"] - strokes["catch_s"], OFFSET_S)
    assert strokes["next_catch_s"].isna().tolist() == [False, False, False, True]
    assert strokes["outlying"].tolist() == ["no"] * 4
    assert strokes["source"].tolist() == ["force"] * 4
    assert strokes[["hands_turn_s", "finish_turn_s", "next_turn_s"]].isna().all().all()


def test_lines_end_as_the_standard_says(written: BundleResult) -> None:
    """RFC 4180: lines end in CR LF, every record has the same number of fields."""
    for name in ("notes.csv", "strokes.csv"):
        data = (written.path / name).read_bytes()
        assert data.endswith(b"\r\n")
        assert data.count(b"\n") == data.count(b"\r\n")
        rows = list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))
        assert len({len(row) for row in rows}) == 1


@pytest.mark.parametrize(
    "text",
    ["=cmd()", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "  =1+1", "＝1", "\r=1", "\x00=1", "\ufeff=1"],
)
def test_no_cell_starts_a_formula(text: str) -> None:
    assert cell(text).startswith("'")
    assert cell(cell(text)) == cell(text)


def test_ordinary_cells_stay_as_they_are() -> None:
    assert cell("Push, then swing = better") == "Push, then swing = better"


@given(st.text(max_size=200))
def test_any_text_comes_back_from_the_table(text: str) -> None:
    card = NoteCard(1, Note("a", 1.25, text))
    table = notes_csv([card])
    table.encode("utf-8")
    rows = list(csv.reader(io.StringIO(table, newline="")))
    assert len(rows) == 2
    back = rows[1][NOTE_COLUMNS.index("text")]
    assert back.removeprefix("'") == clean(text).removeprefix("'")
    assert not back.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@given(st.floats(-1e6, 1e6))
def test_numbers_come_back_to_six_places(value: float) -> None:
    assert float(number(value)) == pytest.approx(value, abs=5.1e-7)
    assert "e" not in number(value)


def test_numbers_as_they_are_written() -> None:
    assert [number(v) for v in (None, 0.0, -0.0, 2.5, 100.0)] == ["", "0", "0", "2.5", "100"]
