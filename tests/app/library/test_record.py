"""What saving leaves in a library, on a file and on PostgreSQL alike."""

from dataclasses import replace

import pytest
from sqlalchemy import func, select

from app.library.errors import LibraryError, NoSuchAthlete
from app.library.library import Library
from app.library.overview import athletes
from app.library.past import past_of
from app.library.people import Told, add_athlete, find_athlete, rename
from app.library.record import Recorded, record_bundle, store
from app.library.summaries import SentBundle
from app.library.tables import METADATA, REVIEW, SUBMISSION
from tests.helpers.library_rows import answer, told_review


def counts(library: Library) -> dict[str, int]:
    with library.reading() as connection:
        return {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar() or 0
            for table in METADATA.sorted_tables
        }


def test_a_review_comes_back_as_it_was_told(library: Library) -> None:
    told = told_review("Ada Öster", answers=(answer(),))
    assert store(library, [told]).added == (told.review_id,)
    past = past_of(library, find_athlete(library, "ada  ÖSTER").id)
    (review,) = past.reviews
    assert review.piece == told.piece
    assert review.prescriptions == told.prescriptions
    assert review.answers == told.answers
    assert review.kept == {"give": True}
    assert (review.title, review.path, review.draft) == (told.title, told.path, False)


def test_doing_it_twice_changes_nothing(library: Library) -> None:
    told = [told_review("Ada", n) for n in range(3)]
    store(library, told)
    before = counts(library)
    again = store(library, told)
    assert again == Recorded(unchanged=tuple(t.review_id for t in told))
    assert counts(library) == before
    assert before["review"] == 3 and before["athlete"] == 1


def test_what_changed_is_replaced_as_a_whole(library: Library) -> None:
    told = told_review("Ada", answers=(answer(),))
    store(library, [told])
    less = replace(told, prescriptions=(), answers=(), title="Another")
    assert store(library, [less]).changed == (told.review_id,)
    (review,) = past_of(library, find_athlete(library, "Ada").id).reviews
    assert (review.title, review.prescriptions, review.answers) == ("Another", (), ())
    assert review.piece == told.piece


def test_a_file_that_moved_is_the_same_review(library: Library) -> None:
    told = told_review("Ada")
    store(library, [told])
    moved = replace(told, path="/elsewhere/a.review")
    assert store(library, [moved]).unchanged == (told.review_id,)
    assert past_of(library, find_athlete(library, "Ada").id).reviews[0].path == moved.path


def test_without_its_recordings_a_review_keeps_what_was_measured(library: Library) -> None:
    told = told_review("Ada")
    store(library, [told])
    bare = told_review("Ada", measured=False, title="Renamed")
    assert store(library, [bare]).changed == (told.review_id,)
    (review,) = past_of(library, find_athlete(library, "Ada").id).reviews
    assert (review.title, review.piece) == ("Renamed", told.piece)
    other = replace(bare, submission_id="f" * 16)  # of other recordings nothing is known
    store(library, [other])
    assert past_of(library, find_athlete(library, "Ada").id).reviews[0].piece.source == ""


def test_a_review_without_a_name_is_left_out_and_said(library: Library) -> None:
    told = told_review("  ")
    assert store(library, [told]) == Recorded(unnamed=(told.review_id,))
    assert counts(library)["athlete"] == 0


def test_a_review_that_names_another_goes_over_to_them(library: Library) -> None:
    told = told_review("Ada")
    store(library, [told, told_review("Ada", 2)])
    store(library, [replace(told, athlete="Bea")])
    assert len(past_of(library, find_athlete(library, "Ada").id).reviews) == 1
    assert len(past_of(library, find_athlete(library, "Bea").id).reviews) == 1
    with library.reading() as connection:
        assert connection.execute(select(func.count()).select_from(SUBMISSION)).scalar() == 2


def test_who_was_renamed_is_found_by_the_reviews_that_say_the_old_name(library: Library) -> None:
    store(library, [told_review("A. Berg")])
    known = find_athlete(library, "A. Berg")
    rename(library, known.id, "Anna Berg")
    store(library, [told_review("A. Berg", 2), told_review("Anna Berg", 3)])
    (only,) = athletes(library)
    assert (only.athlete.name, only.reviews) == ("Anna Berg", 3)
    add_athlete(library, "Bea")
    with pytest.raises(LibraryError, match="Another athlete is called bea"):
        rename(library, known.id, "bea")


def test_consent_is_taken_from_the_review_once(library: Library) -> None:
    store(library, [told_review("Ada", consent=True, minor=True)])
    known = find_athlete(library, "Ada")
    assert (known.consent, known.under_age) == (True, True)
    assert known.consent_on and known.consent_words
    add_athlete(library, "Ada", Told(consent=False, consent_on="2026-05-01", consent_words="No."))
    store(library, [told_review("Ada", 2, consent=True)])
    known = find_athlete(library, "Ada")
    assert (known.consent, known.consent_on, known.consent_words) == (False, "2026-05-01", "No.")


def test_a_bundle_is_kept_with_its_review(library: Library) -> None:
    told = told_review("Ada")
    bundle = SentBundle("b" * 32, "2026-02-01T10:00:00+00:00", "/out", "c" * 16, "en", False, 12)
    assert record_bundle(library, told.review_id, bundle) is False
    store(library, [told])
    assert record_bundle(library, told.review_id, bundle) is True
    store(library, [replace(told, title="Changed since")])
    (review,) = past_of(library, find_athlete(library, "Ada").id).reviews
    assert review.bundles == (bundle,)


def test_nobody_is_found_by_half_a_name_and_those_near_are_named(library: Library) -> None:
    add_athlete(library, "Anna Berg")
    with pytest.raises(NoSuchAthlete, match="Near it: Anna Berg"):
        find_athlete(library, "Anna")


@pytest.mark.parametrize("year", [1800, 3000])
def test_a_year_nobody_was_born_in_is_refused(own: Library, year: int) -> None:
    with pytest.raises(LibraryError, match="was born in"):
        add_athlete(own, "Ada", Told(birth_year=year))
    assert counts(own)["athlete"] == 0


def test_half_of_it_written_is_none_of_it(own: Library) -> None:
    """An error in the middle of a saving leaves the library as it was."""
    good, bad = told_review("Ada"), told_review("Bea", 2)
    broken = replace(bad, answers=(replace(answer(), comment=None),))  # type: ignore[arg-type]
    with pytest.raises(LibraryError):
        store(own, [good, broken])
    assert counts(own)["review"] == 0
    with own.reading() as connection:
        assert connection.execute(select(REVIEW)).all() == []
