"""The bundle of film and force together: what the body does, beside the force curve and on it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.clocks.alignment import Alignment
from app.bundle.options import WriteOptions
from app.bundle.write import BundleResult, write_bundle
from app.media.encode import ClipWriter
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.submission.body import LoadedBody, loaded_body
from app.submission.draft import draft_state
from app.submission.load import load
from tests.helpers.clips import numbered
from tests.helpers.followed import track_of
from tests.helpers.rowed import force_of, rowed

LINED_UP = Alignment(method="by hand", uncertainty_s=0.01)
SECONDS = 12


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("both")
    with ClipWriter(folder / "film.mp4", 320, 180) as film:
        for i in range(10 * SECONDS):
            film.add(numbered(i), i / 10)
        film.finish(float(SECONDS))
    trace = force_of(rowed("early-arms", strokes=6)).trace
    rows = (f"{t:.3f},{n:.2f}\n" for t, n in zip(trace.time_s, trace.force_n, strict=True))
    (folder / "force.csv").write_text("time_s,force_N\n" + "".join(rows), "utf-8")
    return folder / "both.review"


@pytest.fixture(scope="module")
def state(place: Path) -> ReviewState:
    film, force = place.with_name("film.mp4"), place.with_name("force.csv")
    return ReviewState(
        video=refer(film, "video", place), trace=refer(force, "trace", place), alignment=LINED_UP
    )


@pytest.fixture(scope="module")
def body(state: ReviewState) -> LoadedBody:
    assert state.video is not None
    return loaded_body(state.video, track_of(rowed("early-arms", strokes=6), 0.002), 1.84)


def drafted(state: ReviewState, place: Path, body: LoadedBody, name: str) -> BundleResult:
    sent = replace(load(state, place), body=body)
    out = place.with_name(name)
    return write_bundle(draft_state(sent), place, out, options=WriteOptions(body=body))


def test_the_order_stands_beside_the_curve_and_notes_of_the_body_on_it(
    state: ReviewState, place: Path, body: LoadedBody
) -> None:
    sent = drafted(state, place, body, "sent")
    page = (sent.path / "index.html").read_text("utf-8")
    curve = page[page.index('id="curve"') : page.index('id="numbers"')]
    assert curve.index("curves/by-time.svg") < curve.index("movement/order-narrow.svg")
    assert 'id="movement"' not in page and "In your drive first come the legs" in curve
    arms = re.search(r'id="note-(\d)"(?:(?!id="note-).)*Arms bend too early', page, re.DOTALL)
    assert arms is not None
    told = re.search(rf"Note {arms[1]}, about the body, stands at (\d+)\s%", curve)
    assert told is not None and 20 <= int(told[1]) <= 90
    drawn = (sent.path / "curves" / "by-time.svg").read_text("utf-8")
    assert f"<!-- {arms[1]} -->" in drawn, "its number is on the curve"


def test_the_low_back_is_shown_as_a_trend_with_its_cautions(
    state: ReviewState, place: Path, body: LoadedBody
) -> None:
    sent = drafted(state, place, body, "back")
    page = (sent.path / "index.html").read_text("utf-8")
    part = page[page.index('<section id="back"') : page.index('<section class="caution"')]
    assert "movement/back.svg" in part and "95\u00a0% interval" in part and "estimate" in part
    assert "Pain is a reason to stop" in page and "no diagnosis" in page
    assert 'href="#back"' in page
    drawn = (sent.path / "movement" / "back.svg").read_text("utf-8")
    assert drawn.count("<circle") >= 5, "a dot a stroke"
    record = json.loads((sent.path / "review.json").read_text("utf-8"))["low_back_trend"]
    assert record["low"] <= record["change"] <= record["high"]
    assert len(record["relative"]) == len(record["strokes"])


def test_where_the_trend_cannot_be_told_one_line_says_why(state: ReviewState, place: Path) -> None:
    assert state.video is not None
    untold = loaded_body(state.video, track_of(rowed("early-arms", strokes=6), 0.002))
    sent = drafted(state, place, untold, "untold")
    page = (sent.path / "index.html").read_text("utf-8")
    assert "cannot be told: nobody said how tall you are" in page
    assert "movement/back.svg" not in page and "low_back_trend" not in page


def test_a_film_alone_says_nothing_of_the_load(
    state: ReviewState, place: Path, body: LoadedBody
) -> None:
    sent = drafted(replace(state, trace=None), place, body, "alone")
    page = (sent.path / "index.html").read_text("utf-8")
    assert 'id="back"' not in page and "low_back_trend" not in page
    assert not (sent.path / "movement" / "back.svg").exists()


def test_without_a_line_up_nothing_of_the_body_stands_by_the_force(
    state: ReviewState, place: Path, body: LoadedBody
) -> None:
    sent = drafted(replace(state, alignment=Alignment()), place, body, "apart")
    page = (sent.path / "index.html").read_text("utf-8")
    assert "movement/" not in page and "about the body" not in page
    assert not (sent.path / "movement").exists()
