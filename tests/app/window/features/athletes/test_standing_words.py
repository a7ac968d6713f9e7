"""Where coach and athlete stand in words, and a line of search read."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.library.latest import Latest
from app.library.overview import Standing, Wanted
from app.library.people import Athlete
from app.window.features.athletes.standing_words import (
    about_words,
    day_words,
    days_words,
    state_words,
    wanted_of,
)

TODAY = date(2026, 11, 29)


def standing(
    sent: str = "", told: str = "", answer: str = "", waits: str = "", drafts: int = 0
) -> Standing:
    athlete = Athlete("a" * 32, "Ada", tags=("junior",))
    return Standing(athlete, 2, drafts, sent, told, answer, waits)


@pytest.mark.parametrize(
    ("moment", "day", "long"),
    [
        ("2026-11-29", "today", "today"),
        ("2026-11-28", "yesterday", "1 day"),
        ("2026-11-02", "2 Nov", "27 days"),
        ("2026-11-01", "1 Nov", "4 weeks"),
        ("2025-11-01", "1 Nov 2025", "13 months"),
        ("nonsense", "", "today"),
    ],
)
def test_days(moment: str, day: str, long: str) -> None:
    assert (day_words(moment, TODAY), days_words(moment, TODAY)) == (day, long)


def test_whose_turn_it_is() -> None:
    assert state_words(standing("2026-11-26", waits="2026-11-26"), TODAY) == "Waits 3 days"
    waits = standing("2026-11-29", waits="2026-11-29", drafts=1)
    assert state_words(waits, TODAY) == "Came today · draft ready"
    assert state_words(standing("2026-11-01", "2026-11-20"), TODAY) == "Silent for 9 days"
    assert state_words(standing("2026-11-01", "2026-11-20", "2026-11-21"), TODAY) == ""


def test_what_was_told_and_what_came_since() -> None:
    said = about_words(standing("2026-11-01", "2026-11-20"), Latest(told=("Give", "Rush")), TODAY)
    assert said == (
        "Ada: 2 reviews (junior), sent in 1 Nov. Told 20 Nov to work on Give; Rush: nothing came "
        "since."
    )
    assert "Nothing was sent back yet." in about_words(standing("2026-11-01"), Latest(), TODAY)


def test_a_line_of_search() -> None:
    assert wanted_of("ada #junior late peak 2026-11") == Wanted(
        "ada late peak", "junior", "", "2026-11-01", "2026-11-30"
    )
    assert wanted_of("2026-11-03 2026-12-01") == Wanted(since="2026-11-03", until="2026-12-01")
    assert wanted_of("2024-02") == Wanted(since="2024-02-01", until="2024-02-29")
    assert wanted_of("2026-13") == Wanted(words="2026-13")  # no date: it may be a title


@given(st.text(max_size=40))
def test_whatever_is_typed_is_a_search(text: str) -> None:
    wanted = wanted_of(text)
    assert (wanted.since == "") == (wanted.until == "") and wanted.since <= wanted.until
