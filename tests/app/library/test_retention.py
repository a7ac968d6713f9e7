"""What is older than the limit, by the last thing that happened to it."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.library.library import Library
from app.library.people import add_athlete
from app.library.record import record_bundle, store
from app.library.retention import limit_of, older_than
from app.library.summaries import SentBundle
from tests.helpers.library_rows import answer, told_review


def test_reviews_before_the_limit_are_listed(library: Library) -> None:
    old, new = told_review("Ada", 1), told_review("Ada", 8)  # of February and September
    alone = told_review("Ben", 2)
    store(library, [old, new, alone])
    ada, ben = older_than(library, date(2026, 6, 1))
    assert (ada.name, ada.whole, [r.review_id for r in ada.reviews]) == (
        "Ada",
        False,
        [old.review_id],
    )
    assert ada.reviews[0].last == "2026-02-05"
    assert (ben.name, ben.whole) == ("Ben", True)
    assert older_than(library, date(2026, 2, 5)) == (), "of that very day is not older"


def test_what_was_sent_or_came_back_keeps_a_review_young(library: Library) -> None:
    sent, answered = told_review("Ada", 1), told_review("Ben", 1, answers=(answer(),))
    store(library, [sent, answered])
    record_bundle(library, sent.review_id, SentBundle("b" * 32, "2026-07-01", ""))
    assert [one.name for one in older_than(library, date(2026, 6, 1))] == ["Ben"]
    assert [one.name for one in older_than(library, date(2026, 3, 1))] == []


def test_an_athlete_without_reviews_counts_from_the_day_they_were_added(library: Library) -> None:
    add_athlete(library, "Cleo")
    (cleo,) = older_than(library, date(9000, 1, 1))
    assert cleo.whole and cleo.reviews == ()
    assert older_than(library, date(2020, 1, 1)) == ()


@pytest.mark.parametrize(
    ("months", "today", "limit"),
    [
        (1, date(2026, 3, 31), date(2026, 2, 28)),
        (12, date(2024, 2, 29), date(2023, 2, 28)),
        (24, date(2026, 11, 29), date(2024, 11, 29)),
        (11, date(2026, 11, 29), date(2025, 12, 29)),
        (12, date(2026, 12, 1), date(2025, 12, 1)),
    ],
)
def test_months_are_those_of_the_calendar(months: int, today: date, limit: date) -> None:
    assert limit_of(months, today) == limit


@given(st.integers(1, 600), st.dates(date(1990, 1, 1), date(2100, 12, 31)))
def test_a_limit_lies_so_many_months_back(months: int, today: date) -> None:
    limit = limit_of(months, today)
    apart = (today.year - limit.year) * 12 + today.month - limit.month
    assert apart == months
    assert limit.day <= today.day
