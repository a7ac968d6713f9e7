"""What was drawn on the curve of a stroke stands on the curve of each note of that stroke."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from app.bundle.options import WriteOptions
from app.bundle.write import write_bundle
from app.review.parts.curve_marks import new_curve_mark
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.app.bundle.conftest import CATCHES_S, OFFSET_S

WORDS = {"line": "keep it up", "span": "hold this", "all": "for all"}


@pytest.mark.parametrize("with_film", [True, False])
def test_a_note_of_a_stroke_shows_what_was_drawn_on_it(
    review: ReviewState, review_path: Path, tmp_path: Path, made_once: WriteOptions, with_film: bool
) -> None:
    """With a film the curve runs under the clip; without one it stands for the note."""
    pinned = [Note(f"n{i}", CATCHES_S[i] + OFFSET_S + 0.3, f"Note {i}.", stroke=i) for i in (0, 1)]
    marks = (
        new_curve_mark("line", "time", [(10, 100), (60, 500)], "red", 0, WORDS["line"]),
        new_curve_mark("span", "time", [(70, 0), (90, 0)], "blue", 1, WORDS["span"]),
        new_curve_mark("span", "time", [(20, 0), (30, 0)], "yellow", None, WORDS["all"]),
    )
    state = replace(review, notes=tuple(pinned), curve_marks=marks)
    if not with_film:
        state = replace(state, video=None)
    out = write_bundle(state, review_path, tmp_path / "out", options=made_once).path
    page = (out / "index.html").read_text("utf-8")
    curves = re.findall(r'<svg class="sketch".*?</svg>', page, re.S)
    assert len(curves) == 2
    for curve, own, other in zip(curves, ("line", "span"), ("span", "line"), strict=True):
        label = re.search(r'aria-label="([^"]*)"', curve)
        assert label is not None
        for said in (label[1], curve[label.end() :]):
            assert WORDS[own] in said and WORDS["all"] in said
            assert WORDS[other] not in said
    first, second = curves
    assert 'class="drawn red"' in first and "stretch light-blue" not in first
    assert "stretch light-blue" in second and "drawn red" not in second
    assert all("stretch yellow" in curve for curve in curves)
