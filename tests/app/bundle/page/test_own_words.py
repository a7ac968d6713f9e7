"""The coach's own words carry their language, and run their way."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.findings.catalogue import read_catalogue
from app.bundle.page.own_words import OwnWords, own_words
from app.bundle.wording.languages import WRITTEN_IN, words_in
from app.bundle.write import write_bundle
from app.review.finding_notes import CUE, DRILL
from app.review.parts.notes import Note
from app.review.parts.sending import SendingPlan
from app.review.parts.state import ReviewState

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
