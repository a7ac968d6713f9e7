"""Who may see and change what in a club, held by a real PostgreSQL; two coaches at once."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier

import pytest
from sqlalchemy import delete, func, insert, select, text, update

from app.library.errors import LibraryError, NoSuchAthlete
from app.library.library import Library
from app.library.overview import Wanted, athletes
from app.library.past import past_of
from app.library.people import Told, add_athlete, find_athlete, share, unshare
from app.library.record import record_bundle, store
from app.library.summaries import SentBundle
from app.library.tables import ATHLETE, ATHLETE_SHARE, METADATA, REVIEW
from tests.helpers.club_server import ClubServer
from tests.helpers.library_rows import answer, told_review

OpenAs = Callable[[str], Library]


def seen(library: Library) -> dict[str, int]:
    """Rows of each table this role may see."""
    with library.reading() as connection:
        return {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar() or 0
            for table in METADATA.sorted_tables
        }


def names(library: Library) -> list[str]:
    return [standing.athlete.name for standing in athletes(library, "name")]


def fill(library: Library, name: str) -> str:
    """Something in every table that follows an athlete."""
    told = told_review(name, answers=(answer(),))
    store(library, [told])
    record_bundle(library, told.review_id, SentBundle("b" * 32, "2026-02-01"))
    add_athlete(library, name, Told(tags=["squad"]))
    return find_athlete(library, name).id


def test_a_coach_sees_no_row_of_anothers_athlete(club: OpenAs) -> None:
    anna, ben = club("anna"), club("ben")
    id_ = fill(anna, "Ada")
    assert all(count > 0 for table, count in seen(anna).items() if table != "athlete_share")
    assert set(seen(ben).values()) == {0}
    assert names(ben) == [] and athletes(ben, wanted=Wanted("Ada")) == ()
    with pytest.raises(NoSuchAthlete):
        find_athlete(ben, id_)
    with pytest.raises(NoSuchAthlete):
        past_of(ben, id_)


def test_what_a_coach_may_not_see_cannot_be_changed_either(club: OpenAs) -> None:
    anna, ben = club("anna"), club("ben")
    id_ = fill(anna, "Ada")
    before = seen(anna)
    with ben.writing() as connection:
        for table in METADATA.sorted_tables:
            assert connection.execute(delete(table)).rowcount == 0
        assert connection.execute(update(ATHLETE).values(notes="mine")).rowcount == 0
    row = {"owner": "ben", "athlete_id": id_, "coach": "ben", "may_write": True}
    with pytest.raises(LibraryError), ben.writing() as connection:
        connection.execute(insert(ATHLETE_SHARE).values(**row))
    with pytest.raises(LibraryError, match="does not allow"), ben.writing() as connection:
        connection.execute(insert(ATHLETE_SHARE).values(**{**row, "owner": "anna"}))
    assert seen(anna) == before


def test_a_shared_athlete_is_seen_and_not_changed(club: OpenAs) -> None:
    anna, ben, cleo = club("anna"), club("ben"), club("cleo")
    id_ = fill(anna, "Ada")
    share(anna, id_, "ben", may_write=False)
    assert names(ben) == ["Ada"] and names(cleo) == []
    assert past_of(ben, id_).reviews == past_of(anna, id_).reviews
    with ben.writing() as connection:
        assert connection.execute(update(ATHLETE).values(notes="mine")).rowcount == 0
        assert connection.execute(delete(REVIEW)).rowcount == 0
        assert connection.execute(delete(ATHLETE)).rowcount == 0
    unshare(anna, id_, "ben")
    assert names(ben) == []


def test_one_shared_to_write_is_written_to_and_never_taken_over(club: OpenAs) -> None:
    anna, ben, cleo = club("anna"), club("ben"), club("cleo")
    id_ = fill(anna, "Ada")
    share(anna, id_, "ben", may_write=True)
    # A review of that name goes to the shared athlete, not to a second one.
    store(ben, [told_review("Ada", 2)])
    assert len(past_of(anna, id_).reviews) == 2 and names(ben) == ["Ada"]
    for change in (
        update(ATHLETE).values(owner="ben"),
        update(ATHLETE).values(id="f" * 32),
        update(ATHLETE_SHARE).values(coach="cleo"),
    ):
        with pytest.raises(LibraryError, match="does not allow"), ben.writing() as connection:
            connection.execute(change)
    with pytest.raises(LibraryError):
        share(ben, id_, "cleo", may_write=False)
    with ben.writing() as connection:
        assert connection.execute(delete(ATHLETE)).rowcount == 0
    assert names(cleo) == []


def test_the_same_file_saved_by_two_coaches_stays_with_each(club: OpenAs) -> None:
    anna, ben = club("anna"), club("ben")
    told = told_review("Ada")
    store(anna, [told])
    store(ben, [replace(told, title="Ben's copy")])
    assert past_of(anna, find_athlete(anna, "Ada").id).reviews[0].title == told.title
    assert past_of(ben, find_athlete(ben, "Ada").id).reviews[0].title == "Ben's copy"


def test_two_coaches_write_at_once(club: OpenAs) -> None:
    """Each their own athletes, and both one they share, over and over: nothing lost or mixed."""
    anna, ben = club("anna"), club("ben")
    shared = add_athlete(anna, "Shared").id
    share(anna, shared, "ben", may_write=True)
    barrier = Barrier(2)

    def work(library: Library, name: str) -> None:
        barrier.wait()
        for number in range(12):
            mine = told_review(name, number)
            both = told_review("Shared", number % 4, title=f"{name} {number}")
            store(library, [mine])
            store(library, [both])

    with ThreadPoolExecutor(2) as pool:
        jobs = [pool.submit(work, anna, "Ada"), pool.submit(work, ben, "Bea")]
        for job in jobs:
            job.result()
    assert names(anna) == ["Ada", "Shared"] and names(ben) == ["Bea", "Shared"]
    assert len(past_of(anna, find_athlete(anna, "Ada").id).reviews) == 12
    assert len(past_of(ben, find_athlete(ben, "Bea").id).reviews) == 12
    reviews = past_of(anna, shared).reviews
    assert len(reviews) == 4
    for review in reviews:  # whole, whoever came last
        assert review.piece.sections[0].measures and len(review.prescriptions) == 1


def test_two_that_add_one_athlete_at_once_get_the_same(club: OpenAs) -> None:
    library = club("anna")
    barrier = Barrier(4)

    def add(number: int) -> str:
        barrier.wait()
        store(library, [told_review("Ada", number)])
        return add_athlete(library, "Ada").id

    with ThreadPoolExecutor(4) as pool:
        ids = set(pool.map(add, range(4)))
    assert len(ids) == 1 and names(library) == ["Ada"]
    assert len(past_of(library, ids.pop()).reviews) == 4


def test_one_who_is_no_coach_sees_nothing_and_is_told_so(
    club: OpenAs, club_server: ClubServer
) -> None:
    club("anna")
    with pytest.raises(LibraryError):
        club("stranger")


def test_a_coach_cannot_make_the_tables(club_server: ClubServer) -> None:
    club_server.database("bare")
    with pytest.raises(LibraryError, match="its owner has to open it once"):
        Library.open(club_server.url("anna", "bare"))


def test_sharing_needs_a_coach_that_is_there(club: OpenAs) -> None:
    anna = club("anna")
    id_ = add_athlete(anna, "Ada").id
    with pytest.raises(LibraryError, match="no coach nobody"):
        share(anna, id_, "nobody", may_write=False)


def test_every_table_of_an_athlete_has_its_rule(club: OpenAs) -> None:
    """A table that is added later and forgotten there would be open to every coach."""
    with club("anna").reading() as connection:
        guarded = set(
            connection.execute(
                text("SELECT relname FROM pg_class WHERE relrowsecurity AND relkind = 'r'")
            ).scalars()
        )
    assert guarded == set(METADATA.tables)
