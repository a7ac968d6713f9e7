"""The page's contents lead to every part there is, in the order of the page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import html5lib
import pytest

from app.bundle.options import WriteOptions
from app.bundle.wording.languages import words_in
from app.bundle.write import BundleResult, write_bundle
from app.media.video import VideoFile
from app.review.parts.comparisons import new_comparison
from app.review.parts.self_test import new_self_test
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved, Shown
from app.review.parts.walkthroughs import new_walkthrough
from app.review.values.stroke_ref import StrokeRef

ONE, TWO = StrokeRef("", 3.1, 3.9, 5.1, "now"), StrokeRef("", 1.1, 1.9, 3.1, "before")
PARTS = {"walkthrough": "walk", "compare": "compare", "self-test": "self_test"}


def full(review: ReviewState) -> ReviewState:
    """A review with every part a page can have."""
    pair = new_comparison(ONE, TWO, title="Then and now")
    events = [Moved(0.0, 3.3), Shown(0.5, "comparison", pair.id), Shown(0.8, "comparison", "gone")]
    return replace(
        review,
        comparisons=(pair,),
        self_test=new_self_test([(ONE, False, "Rounded."), (TWO, True, "Level.")], 2),
        walkthroughs=(new_walkthrough(events, 1.0, title="Both strokes"),),
    )


@pytest.fixture(scope="module", params=["en", "de"])
def made(
    request: pytest.FixtureRequest,
    review: ReviewState,
    review_path: Path,
    tmp_path_factory: pytest.TempPathFactory,
    made_once: WriteOptions,
) -> tuple[BundleResult, str]:
    out = tmp_path_factory.mktemp("contents") / "out"
    return write_bundle(
        full(review), review_path, out, language=request.param, options=made_once
    ), request.param


def test_contents_lead_to_every_part_once(made: tuple[BundleResult, str]) -> None:
    result, language = made
    page = (result.path / "index.html").read_text("utf-8")
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    ids = [e.get("id") for e in tree.iter() if e.get("id")]
    assert len(ids) == len(set(ids)), "every part is there once"
    (nav,) = tree.iter("nav")
    links = {(a.get("href") or "")[1:]: "".join(a.itertext()) for a in nav.iter("a")}
    assert set(links) <= set(ids), "no link leads nowhere"
    words = words_in(language)
    assert {name: links[name] for name in PARTS} == {n: words[w] for n, w in PARTS.items()}
    parts = [name for name in links if name in (*PARTS, "curve", "numbers", "next")]
    assert parts == sorted(parts, key=ids.index), "in the order of the page"


def test_the_walkthrough_shows_both_and_says_what_is_lost(made: tuple[BundleResult, str]) -> None:
    result, language = made
    said = words_in(language)["walk_pair_failed"].format(number=1)
    assert result.remarks.count(said) == 1
    with VideoFile.open(result.path / "clips/walkthrough-1.mp4") as film:
        alone, both, lost = (film.frame_rgb(film.index.at(s)).astype(int) for s in (0.2, 0.6, 0.9))
    assert both[:20, 158:162].max() < 60, "dark between and over two pictures side by side"
    assert abs(alone[:180] - lost[:180]).mean() < 4.0 < abs(alone[:180] - both[:180]).mean()


def test_without_them_the_contents_are_silent(
    review: ReviewState,
    review_path: Path,
    tmp_path: Path,
    made_once: WriteOptions,
) -> None:
    page = write_bundle(
        replace(review, notes=()), review_path, tmp_path / "out", options=made_once
    ).path
    text = (page / "index.html").read_text("utf-8")
    assert not [name for name in PARTS if f'"#{name}"' in text or f'id="{name}"' in text]
