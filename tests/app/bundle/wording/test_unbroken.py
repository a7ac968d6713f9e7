"""Numbers are held to their units, and nothing else is held."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bundle.wording.languages import LANGUAGES
from app.bundle.wording.unbroken import NO_BREAK, held


@pytest.mark.parametrize(
    "text",
    [
        "51 %",
        "{percent} % of",
        "2,5 s.",
        "679 N (target 528 N)",
        "± 12",
        "3 × 10",
        "at {at} {unit}:",
    ],
)
def test_a_number_and_its_unit_do_not_part(text: str) -> None:
    assert not re.search(r"[\d}±×] [%sN{\d×(]", held(text).replace(" (target", ""))
    assert held(text).replace(NO_BREAK, " ") == text


@pytest.mark.parametrize(
    "text", ["20 strokes", "row 3 more", "2 Schläge", "5 N’oublie", "a 4 m-long"]
)
def test_words_may_go_to_the_next_line(text: str) -> None:
    assert held(text) == text


def test_french_signs_keep_their_space() -> None:
    assert held("« 51 % » : bien !") == "«\u00a051\u00a0%\u00a0»\u00a0: bien\u00a0!"


@given(st.text())
def test_only_spaces_change_and_a_second_time_changes_nothing(text: str) -> None:
    assert held(text).replace(NO_BREAK, " ") == text.replace(NO_BREAK, " ")
    assert held(held(text)) == held(text)


@pytest.mark.parametrize("code", LANGUAGES)
def test_the_wording_of_every_language_is_held(code: str) -> None:
    parted = [t for t in LANGUAGES[code].values() if re.search(r"[\d}] (?:%|N|s|ms)(?!\w)", t)]
    assert parted == []
