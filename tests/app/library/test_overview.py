"""Who stands where, and who is found."""

from dataclasses import replace

import pytest
from sqlalchemy import update

from app.library.library import Library
from app.library.overview import Wanted, athletes
from app.library.people import Told, add_athlete, find_athlete
from app.library.record import record_bundle, store
from app.library.summaries import SentBundle
from app.library.tables import SUBMISSION
from tests.helpers.library_rows import answer, told_review


def came(library: Library, name: str, number: int, at: str, back: str = "") -> str:
    """A submission that came in at a time, and perhaps an answer to it."""
    told = told_review(name, number)
    if back:
        told = replace(told, answers=(answer(f"{number:032d}", back),))
    store(library, [told])
    with library.writing() as connection:
        connection.execute(
            update(SUBMISSION).where(SUBMISSION.c.id == told.submission_id).values(received_at=at)
        )
    return told.review_id


def sent(library: Library, review_id: str, at: str) -> None:
    record_bundle(library, review_id, SentBundle(at.ljust(32, "0"), at))


@pytest.fixture
def club_of_five(library: Library) -> Library:
    came(library, "Ada waits long", 1, "2026-03-01")
    came(library, "Ada waits long", 2, "2026-03-20")
    bea = came(library, "Bea is silent", 3, "2026-03-02")
    sent(library, bea, "2026-03-04")
    cleo = came(library, "Cleo answered", 4, "2026-03-03", back="2026-03-30")
    sent(library, cleo, "2026-03-05")
    came(library, "Dora waits short", 5, "2026-03-25")
    add_athlete(library, "Eve never sent", Told(tags=["Squad A", "masters"]))
    return library


def names(library: Library, order: str = "newest", **wanted: str) -> list[str]:
    found = athletes(library, order, Wanted(**wanted))  # type: ignore[arg-type]
    return [one.athlete.name.split()[0] for one in found]


def test_the_newest_come_first(club_of_five: Library) -> None:
    assert names(club_of_five) == ["Cleo", "Dora", "Ada", "Bea", "Eve"]


def test_what_waits_longest_comes_first(club_of_five: Library) -> None:
    assert names(club_of_five, "waiting") == ["Ada", "Dora", "Cleo", "Bea", "Eve"]
    waits = {one.athlete.name.split()[0]: one.waits_since for one in athletes(club_of_five)}
    assert waits == {
        "Ada": "2026-03-01",  # since the first that was not answered, not since the last
        "Bea": "",
        "Cleo": "2026-03-30",
        "Dora": "2026-03-25",
        "Eve": "",
    }


def test_who_was_told_and_has_not_sent_again_is_silent(club_of_five: Library) -> None:
    assert [one.athlete.name for one in athletes(club_of_five) if one.is_silent] == [
        "Bea is silent"
    ]


LOOKED_FOR: list[tuple[dict[str, str], list[str]]] = [
    ({"words": "ada"}, ["Ada"]),
    ({"words": "waits SHORT"}, ["Dora"]),
    ({"words": "waits nobody"}, []),
    ({"words": "squad"}, ["Eve"]),
    ({"words": "piece"}, ["Cleo", "Dora", "Ada", "Bea"]),
    ({"words": "%"}, []),
    ({"words": "_"}, []),
    ({"words": "Give"}, ["Cleo", "Dora", "Ada", "Bea"]),
    ({"tag": "squad a"}, ["Eve"]),
    ({"tag": "squad"}, []),
    ({"finding": "give"}, ["Cleo", "Dora", "Ada", "Bea"]),
    ({"finding": "fading"}, []),
    ({"since": "2026-03-19", "until": "2026-03-20"}, ["Ada"]),
    ({"since": "2026-03-26", "until": "2026-03-31"}, []),
    ({"words": "ada", "since": "2026-03-26", "until": "2026-03-31"}, []),
    ({"quiet_since": "2026-03-10"}, []),
]


def test_what_is_looked_for(club_of_five: Library) -> None:
    for wanted, found in LOOKED_FOR:
        assert names(club_of_five, **wanted) == found, wanted


def test_who_is_kept_too_long_is_listed(library: Library) -> None:
    came(library, "Ada", 1, "2026-03-01")
    assert names(library, quiet_since="9999-01-01") == ["Ada"]
    assert names(library, quiet_since="2026-03-02") == []  # was only added today


def test_a_long_list_comes_in_parts(library: Library) -> None:
    for number in range(5):
        add_athlete(library, f"Athlete {number}", Told(tags=[f"tag {number}"]))
    parts = [athletes(library, "name", most=2, skip=skip) for skip in (0, 2, 4)]
    assert [one.athlete.tags for part in parts for one in part] == [
        (f"tag {number}",) for number in range(5)
    ]


def test_an_athlete_is_found_by_id(library: Library) -> None:
    known = add_athlete(library, "Ada", Told(birth_year=2001, level="club", under_age=False))
    assert find_athlete(library, known.id) == known
    assert (known.birth_year, known.level, known.under_age) == (2001, "club", False)
