"""Any signal that is ticked is in the bundle: as pictures, in the table, in the record."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import html5lib
import numpy as np
import pandas as pd
import pytest

from analysis.force.intake import read_trace
from analysis.force.piece import analyse
from app.bundle.write import write_bundle
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.scene import colours
from app.submission.shown_signals import choosable
from tests.helpers.further_columns import HOLE_S, KNOWN_HEADINGS, NONSENSE, write_with
from tests.helpers.submissions import submission_of


@pytest.fixture(params=[KNOWN_HEADINGS, NONSENSE], ids=["usual", "nonsense"])
def review(tmp_path: Path, request: pytest.FixtureRequest) -> ReviewState:
    """Two notes on strokes, every further column ticked."""
    path = write_with(tmp_path / "force.csv", request.param)
    piece = analyse(read_trace(path))
    names = tuple(choice.name for choice in choosable(submission_of(piece=piece))[1:])
    assert len(names) == len(request.param)
    return ReviewState(
        trace=refer(path, "trace", tmp_path / "a.review"),
        notes=(Note("a", 0.9, "One."), Note("b", 2.4, "Two."), Note("c", 2.5, "Two again.")),
        shown_signals=(*names, "gone"),
    )


def folder_of(state: ReviewState, tmp_path: Path, name: str = "out") -> Path:
    return write_bundle(state, tmp_path / "a.review", tmp_path / name).path


def test_each_stroke_of_a_note_and_the_mean_have_pictures(
    review: ReviewState, tmp_path: Path
) -> None:
    out = folder_of(review, tmp_path)
    count = len(review.shown_signals) - 1
    names = [
        f"signal-{k}{of}" for k in range(1, count + 1) for of in ("", "-stroke-01", "-stroke-02")
    ]
    made = sorted(p.name for p in (out / "curves").glob("signal-*"))
    assert made == sorted(f"{name}.{kind}" for name in names for kind in ("png", "svg"))
    page = html5lib.parse((out / "index.html").read_text("utf-8"), namespaceHTMLElements=False)
    shown = [i.get("src") for i in page.iter("img") if "signal-" in (i.get("src") or "")]
    # Two notes on one stroke show the same picture.
    assert len(shown) == 4 * count and set(shown) == {f"curves/{name}.svg" for name in names}
    assert all(i.get("alt") for i in page.iter("img"))
    piece = analyse(read_trace(tmp_path / "force.csv"))
    for number, choice in enumerate(choosable(submission_of(piece=piece))[1:], start=1):
        drawing = (out / "curves" / f"signal-{number}.svg").read_text("utf-8")
        ET.fromstring(drawing)
        assert f"<!-- {choice.signal.title}, {choice.unit} -->" in drawing
        assert choice.words in (out / "index.html").read_text("utf-8")


def test_table_and_record_hold_the_mean_over_each_drive(
    review: ReviewState, tmp_path: Path
) -> None:
    out = folder_of(review, tmp_path)
    table = pd.read_csv(out / "strokes.csv")
    record = json.loads((out / "review.json").read_text("utf-8"))
    piece = analyse(read_trace(tmp_path / "force.csv"))
    choices = choosable(submission_of(piece=piece))[1:]
    assert [s["name"] for s in record["signals"]] == [c.name for c in choices]
    assert list(table.columns[-len(choices) :]) == [f"drive mean of {c.words}" for c in choices]
    for choice in choices:
        for row, stroke in enumerate(piece.strokes):
            time_s = piece.trace.time_s
            inside = (time_s >= stroke.catch_s) & (time_s <= stroke.finish_s)
            expected = np.nanmean(choice.signal.values[inside])
            told = table[f"drive mean of {choice.words}"][row]
            if np.isnan(choice.signal.values[inside]).mean() > 0.5:
                assert np.isnan(told)
                continue
            assert told == pytest.approx(expected, rel=0.01)
            kept = record["strokes"][row]["signals"][choice.name]
            assert kept == pytest.approx(told, abs=1e-5)


def test_the_hole_stays_open_in_the_picture(review: ReviewState, tmp_path: Path) -> None:
    out = folder_of(review, tmp_path)
    piece = analyse(read_trace(tmp_path / "force.csv"))
    own = piece.curve(choosable(submission_of(piece=piece))[1].signal, piece.strokes[1])
    assert own is not None and np.isnan(own).any(), f"the hole {HOLE_S} lies in the second drive"
    pieces = {
        stroke: _pieces(out / "curves" / f"signal-1-stroke-{stroke}.svg") for stroke in ("01", "02")
    }
    assert pieces == {"01": 1, "02": 2}


def _pieces(svg: Path) -> int:
    """In how many pieces the stroke's own line is drawn, but for its sample in the key."""
    own = [
        path
        for path in ET.parse(svg).iter("{http://www.w3.org/2000/svg}path")
        if path.get("stroke") == colours.BLACK and path.get("stroke-width") == "2.6"
    ]
    return len(own) - 1


def test_without_a_tick_nothing_is_added(review: ReviewState, tmp_path: Path) -> None:
    out = folder_of(replace(review, shown_signals=("gone",)), tmp_path)
    assert not list((out / "curves").glob("signal-*"))
    record = json.loads((out / "review.json").read_text("utf-8"))
    assert "signals" not in record and "signals" not in record["strokes"][0]
    assert "signal" not in (out / "index.html").read_text("utf-8").split("<body")[1]


def test_the_same_review_gives_the_same_bytes(review: ReviewState, tmp_path: Path) -> None:
    one, two = (folder_of(review, tmp_path, name) for name in ("one", "two"))
    for path in one.rglob("*"):
        if path.is_file():
            assert path.read_bytes() == (two / path.relative_to(one)).read_bytes(), path.name
