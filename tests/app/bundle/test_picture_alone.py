"""The bundle of a film without force: strokes, measures and order of movement from the picture."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from app.bundle.options import WriteOptions
from app.bundle.write import BundleResult, write_bundle
from app.media.encode import ClipWriter
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.submission.body import LoadedBody, loaded_body
from app.submission.draft import draft_state
from app.submission.loaded_film import FilmFacts, LoadedFilm
from app.submission.submission import LoadedSubmission
from tests.helpers.clips import numbered
from tests.helpers.followed import track_of
from tests.helpers.rowed import rowed

FPS = 10


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the review lies, with the film it is about."""
    folder = tmp_path_factory.mktemp("film-alone")
    seconds = int(rowed("early-arms", strokes=5).time_s[-1])
    with ClipWriter(folder / "film.mp4", 320, 180) as film:
        for i in range(seconds * FPS):
            film.add(numbered(i), i / FPS)
        film.finish(float(seconds))
    return folder / "film.review"


@pytest.fixture(scope="module")
def body(place: Path) -> LoadedBody:
    film = refer(place.with_name("film.mp4"), "video", place)
    return loaded_body(film, track_of(rowed("early-arms", strokes=5), 0.002), 1.84)


@pytest.fixture(scope="module")
def state(place: Path, body: LoadedBody) -> ReviewState:
    path = place.with_name("film.mp4")
    film = LoadedFilm(body.ref, path, known=FilmFacts(12.0, float(FPS), 320, 180, False))
    return draft_state(LoadedSubmission(ReviewState(video=body.ref), place, (film,), body=body))


@pytest.fixture(scope="module")
def sent(place: Path, body: LoadedBody, state: ReviewState) -> BundleResult:
    return write_bundle(state, place, place.with_name("sent"), options=WriteOptions(body=body))


def words_of(html: str) -> str:
    """What a page says, without its style, script and tags."""
    bare = re.sub(r"<(style|script)\b.*?</\1>", "", html, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", bare).split())


def test_the_page_shows_the_stroke_in_the_picture_and_no_curve(sent: BundleResult) -> None:
    page = (sent.path / "index.html").read_text("utf-8")
    said = words_of(page)
    assert 'id="movement"' in page and 'id="curve"' not in page
    assert page.count("curves/") == page.count("curves/signal-") > 0, "of no force"
    for path in sent.path.glob("curves/*.svg"):
        text = path.read_text("utf-8")
        assert "<!-- hands turn" in text and "<!-- catch" not in text
    assert "In your drive first come the legs" in said
    assert "No force recording came with your film. This is what the picture tells" in said
    assert "From where the hands turn to where they turn at the finish" in said
    assert "force curve" not in said and "Peak force" not in said
    assert "From the catch" not in said


def test_notes_of_the_body_have_still_clip_strip_and_stroke(
    sent: BundleResult, body: LoadedBody
) -> None:
    record = json.loads((sent.path / "review.json").read_text("utf-8"))
    note = next(n for n in record["notes"] if n["text"].startswith("Arms bend too early"))
    assert note["still"] and note["clip"] and note["strip"]
    stroke = body.strokes[note["stroke"]]
    assert note["clip_from_s"] == pytest.approx(stroke.catch_s - 0.25)
    end_s = stroke.next_catch_s or stroke.finish_s
    assert note["clip_to_s"] == pytest.approx(end_s)
    assert stroke.catch_s <= note["video_s"] <= end_s


def test_strips_name_the_turns_and_never_the_catch(sent: BundleResult) -> None:
    strips = sorted(p for p in sent.path.glob("strips/*.svg"))
    assert {p.name for p in strips} >= {"typical.svg", "typical-narrow.svg"}
    for path in strips:
        said = words_of(path.read_text("utf-8"))
        assert "hands turn" in said and "finish turn" in said
        assert "catch" not in said.lower() and " N" not in said
        assert path.read_text("utf-8").count("<image") >= 4


def test_tables_and_record_say_where_strokes_come_from(
    sent: BundleResult, body: LoadedBody
) -> None:
    table = pd.read_csv(sent.path / "strokes.csv")
    assert set(table["source"]) == {"picture"} and len(table) == len(body.strokes)
    turns = [s.catch_s for s in body.strokes]
    assert table["hands_turn_s"].tolist() == pytest.approx(turns, abs=1e-5)
    assert table[["catch_s", "finish_s", "next_catch_s", "catch_film_s"]].isna().all().all()
    record = json.loads((sent.path / "review.json").read_text("utf-8"))
    assert all(s["source"] == "picture" and "catch_s" not in s for s in record["strokes"])
    assert [s["hands_turn_s"] for s in record["strokes"]] == pytest.approx(turns)
    assert [part["name"] for part in record["order"]["parts"]] == ["legs", "trunk", "arms"]
    assert record["summary"]["drive_s"]["count"] >= 3 and record["summary"]["peak_n"] is None


def test_it_is_said_in_german(place: Path, body: LoadedBody, state: ReviewState) -> None:
    out = place.with_name("gesendet")
    write_bundle(state, place, out, language="de", options=WriteOptions(body=body))
    said = words_of((out / "index.html").read_text("utf-8"))
    assert "In deinem Durchzug kommen zuerst die Beine" in said
    assert "Von der Umkehr der Hände" in said
    assert "Beine" in (out / "movement" / "order.svg").read_text("utf-8")


def test_technical_remarks_stay_with_the_coach(sent: BundleResult, body: LoadedBody) -> None:
    said = words_of((sent.path / "index.html").read_text("utf-8"))
    assert body.remarks and not any(remark in said for remark in body.remarks)


def test_a_film_in_which_nobody_rows_says_so(place: Path, state: ReviewState) -> None:
    still = track_of(rowed(strokes=5), 0.0)
    still = replace(still, xy_px=0.0 * still.xy_px + still.xy_px[:1])
    plain = replace(state, notes=(), decisions=())
    assert plain.video is not None
    made = write_bundle(
        plain, place, place.with_name("still"),
        options=WriteOptions(body=loaded_body(plain.video, still, 1.84)),
    )  # fmt: skip
    said = words_of((made.path / "index.html").read_text("utf-8"))
    assert any("No whole stroke could be followed" in remark for remark in made.remarks)
    assert "No whole stroke could be followed in the film" in said
    assert "No whole stroke was measured" in said


def test_a_force_that_is_missing_here_is_not_said_never_to_have_come(
    place: Path, body: LoadedBody, state: ReviewState
) -> None:
    gone = replace(state, trace=MediaRef("trace", "gone.csv", 10, "0" * 64))
    made = write_bundle(gone, place, place.with_name("gone"), options=WriteOptions(body=body))
    said = words_of((made.path / "index.html").read_text("utf-8"))
    assert "The force recording was not found" in said and "This is what the picture tells" in said
    assert "No force recording came" not in said


@pytest.mark.parametrize("width", [390, 1280])
def test_a_browser_shows_every_picture_and_nothing_stands_off_the_page(
    browser: Browser, sent: BundleResult, width: int
) -> None:
    said: list[str] = []
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.on("console", lambda message: said.append(message.text))
    page.goto((sent.path / "index.html").as_uri())
    page.locator("#movement img").last.scroll_into_view_if_needed()  # it comes when it is seen
    page.locator("#movement img").last.evaluate("image => image.decode()")
    shown = page.eval_on_selector_all(
        "#movement img", "all => all.map(i => [i.currentSrc, i.complete && i.naturalWidth > 0])"
    )
    assert len(shown) == 3 and all(seen for _, seen in shown)
    assert all(("narrow" in source) == (width == 390) for source, _ in shown[:2])
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(page, context="#movement").response["violations"]
    assert not found and not said
    page.close()
