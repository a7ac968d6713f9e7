"""The coach's own words carry their language, and run their way."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import html5lib
import pytest

from analysis.findings.catalogue import read_catalogue
from app.bundle.options import WriteOptions
from app.bundle.page.own_words import OwnWords, own_words
from app.bundle.wording.languages import WRITTEN_IN, words_in
from app.bundle.write import write_bundle
from app.review.finding_notes import CUE, DRILL
from app.review.parts.comparisons import new_comparison
from app.review.parts.notes import Note
from app.review.parts.sending import SendingPlan
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import Caption, new_walkthrough
from tests.app.bundle.page.test_page_contents import ONE, TWO

OF_THE_CATALOGUE = next(e.cue for e in read_catalogue().entries.values() if e.cue)


@pytest.mark.parametrize(
    ("own", "page", "said"),
    [
        ("", "en", ' dir="auto"'),
        ("en", "en", ' dir="ltr"'),
        ("de", "en", ' lang="de" dir="ltr"'),
        ("ar", "de", ' lang="ar" dir="rtl"'),
        ("he-IL", "en", ' lang="he-IL" dir="rtl"'),
    ],
)
def test_what_an_element_says(own: str, page: str, said: str) -> None:
    assert own_words(SendingPlan(own_language=own), words_in(page))("Sit tall.") == said


def test_sentences_of_the_catalogue_are_in_the_language_of_the_page() -> None:
    own = OwnWords("de", "en")
    assert own(OF_THE_CATALOGUE) == ' dir="auto"'
    assert own("", own=False) == ' dir="auto"'


def test_every_language_that_is_offered_can_be_kept() -> None:
    for code in WRITTEN_IN:
        assert "lang=" in OwnWords(code, "xx")("a")


def test_cue_drill_note_and_session_carry_it(
    review: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    text = f"אל תמהר\n{CUE} שב זקוף\n{DRILL} {OF_THE_CATALOGUE}"
    plan = replace(review.sending, opening="שלום", next_session="שוב", own_language="he")
    state = replace(review, video=None, notes=(Note("n", 1.0, text),), sending=plan)
    out = tmp_path / "out"
    write_bundle(state, review_path, out)
    page = (out / "index.html").read_text("utf-8")
    for words in ("אל תמהר", "שב זקוף", "שלום", "שוב"):
        (element, *_) = re.findall(f"<[^>]*>{words}", page)
        assert 'lang="he" dir="rtl"' in element
    for element in re.findall(f"<[^>]*>{re.escape(OF_THE_CATALOGUE)}", page):
        assert "lang=" not in element
    assert '"own_language": "he"' in (out / "review.json").read_text("utf-8")


def test_no_label_changes_its_language_on_the_way(
    review: ReviewState, review_path: Path, made_once: WriteOptions, tmp_path: Path
) -> None:
    """What is read out in one language holds no word of another: those stand in the page."""
    pair = new_comparison(replace(ONE, label="jetzt hier"), TWO, title="Damals und heute")
    walk = new_walkthrough([Moved(0.0, 3.3)], 1.0, title="Schau hier")
    walk = replace(walk, captions=(Caption("a", 0.1, 0.8, "Getippt."),))
    state = replace(
        review,
        title="Mein Titel",
        notes=(Note("n", 1.4, f"Nicht hetzen\n{CUE} lange Arme"),),
        comparisons=(pair,),
        walkthroughs=(walk,),
        sending=replace(review.sending, own_language="de"),
    )
    folder = write_bundle(state, review_path, tmp_path / "out", options=made_once).path
    page = (folder / "index.html").read_text("utf-8")
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    own = ("hetzen", "ange Arme", "jetzt hier", "Damals", "Schau hier", "Getippt", "Mein Titel")
    for element in tree.iter():
        for name in ("aria-label", "alt", "title"):
            label = element.get(name) or ""
            assert not [w for w in own if w in label], label
    for words in own:
        shown = [e for e in tree.find("body").iter() if words in (e.text or "")]
        assert shown and all(e.get("lang") == "de" or inherits(tree, e) for e in shown), words
    assert "Got it: note 1" in page and "Lange Arme" in page
    (track,) = tree.iter("track")
    assert track.get("srclang") == "de"
    assert "<lang de>" in (folder / "notes.vtt").read_text("utf-8")


def inherits(tree: Any, element: Any) -> bool:
    """Whether an element stands in one that is in German."""
    return any(element in list(e.iter()) for e in tree.iter() if e.get("lang") == "de")
