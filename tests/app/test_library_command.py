"""The command `library`, over files as a coach has them."""

import json
import os
import sqlite3
from pathlib import Path

import pytest

from app.library.address import own_library
from app.library.library import Library
from app.library.record import record_bundle, store
from app.library.summaries import SentBundle
from app.review.review import Review
from app.submission.load import Said, begin
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import PieceOptions, simulate_piece
from tests.helpers.command_line import answer, refused, run
from tests.helpers.library_rows import told_review


@pytest.fixture(scope="module")
def force(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("force") / "force.csv"
    options = RecorderOptions()
    piece = simulate_piece(PieceOptions(duration_s=20.0, rate_spm=28.0))
    path.write_text(write_text(record(piece, options, 1), options), "utf-8")
    return path


@pytest.fixture
def reviews(tmp_path: Path, force: Path) -> Path:
    """A folder with one review of Ada's."""
    folder = tmp_path / "reviews"
    folder.mkdir()
    (folder / "force.csv").write_bytes(force.read_bytes())
    path = folder / "ada.review"
    sent = begin([folder / "force.csv"], path, Said("First", "Ada"))
    Review.create(path, sent.state).close()
    return folder


def test_an_empty_library_says_how_to_begin() -> None:
    assert answer("library", "list") == {"athletes": []}
    assert "strokeside library rebuild FOLDER" in run("library", "list")[1]


def test_an_athlete_is_added_and_found() -> None:
    added = answer(
        *("library", "add", "Ada Öster", "--birth-year", "2009", "--under-age", "--tag", "squad"),
        *("--consent", "yes", "--consent-on", "2026-02-01", "--consent-words", "Mother agreed."),
    )["athlete"]
    assert added["under_age"] is True and added["consent"] is True and added["tags"] == ["squad"]
    (found,) = answer("library", "find", "öster")["athletes"]
    assert found["id"] == added["id"] and found["waits_since"] is None
    assert answer("library", "find", "--tag", "squad")["athletes"] == [found]
    status, out, _ = run("library", "history", added["id"])
    assert status == 0 and "under age; consent given on 2026-02-01" in out


def test_another_name_keeps_the_old_one() -> None:
    answer("library", "add", "A. Berg")
    assert answer("library", "add", "A. Berg", "--now-called", "Anna Berg")["athlete"]["name"]
    assert len(answer("library", "find", "anna")["athletes"]) == 1
    assert answer("library", "history", "A. Berg")["athlete"]["name"] == "Anna Berg"


def test_reviews_are_read_in_and_shown(reviews: Path) -> None:
    made = answer("library", "rebuild", reviews)
    assert (made["added"], made["unread"], made["unmeasured"]) == (1, [], [])
    assert answer("library", "rebuild", reviews)["unchanged"] == 1
    past = answer("library", "history", "ada")
    (review,) = past["reviews"]
    assert past["follow_up"] is None
    assert review["sections"][0]["measures"]["peak_n"]["mean"] > 100
    assert "First" in run("library", "history", "ada")[1]
    assert "Ada" in run("library", "list", "--order", "waiting")[1]


def test_the_newest_is_held_against_the_one_before() -> None:
    with Library.open() as library:
        told = [told_review("Ada", n) for n in range(3)]
        store(library, told)
        record_bundle(library, told[1].review_id, SentBundle("b" * 32, "2026-02-10"))
    follow = answer("library", "history", "Ada")["follow_up"]
    assert (follow["before"], follow["after"]) == (told[1].review_id, told[2].review_id)
    (share,) = (row for row in follow["rows"] if row["prescribed"])
    assert share["finding"] == "give" and share["sentence"].split(":")[0] in (
        "Changed", "Not yet", "Cannot tell",
    )  # fmt: skip
    text = run("library", "history", "Ada")[1]
    assert share["sentence"] in text and follow["method"] in text
    chosen = answer(
        "library", "history", "Ada", "--review", told[1].review_id, "--against", told[0].review_id
    )["follow_up"]
    assert (chosen["before"], chosen["after"]) == (told[0].review_id, told[1].review_id)
    assert "no review of that identity" in refused("library", "history", "Ada", "--review", "x")


def test_what_commands_make_and_send_is_kept_where_there_is_a_library(
    force: Path, tmp_path: Path
) -> None:
    new = ("new", force, "--athlete", "Ada", "-o")
    answer(*new, tmp_path / "before.review")
    assert not own_library().exists()
    assert answer("library", "list") == {"athletes": []}
    answer(*new, tmp_path / "ada.review")
    made = answer("bundle", tmp_path / "ada.review", "-o", tmp_path / "out", "--trust-paths")
    (ada,) = answer("library", "list")["athletes"]
    assert (ada["name"], ada["reviews"], ada["waits_since"]) == ("Ada", 1, None)
    (review,) = answer("library", "history", "Ada")["reviews"]
    (bundle,) = review["bundles"]
    assert bundle["path"] == made["bundle"] and len(bundle["mark"]) == 16
    page = tmp_path / "answers.json"
    told = {"strokeside_answers": 1, "bundle": bundle["mark"], "ticks": [], "comment": "Better"}
    page.write_text(json.dumps(told), "utf-8")
    assert answer("answers", tmp_path / "ada.review", page)["belongs"] is True
    (review,) = answer("library", "history", "Ada")["reviews"]
    assert [back["comment"] for back in review["answers"]] == ["Better"]
    assert answer("library", "list")["athletes"][0]["waits_since"]


def test_a_library_that_cannot_be_used_stops_no_other_command(
    force: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "not.db").write_text("no library " * 100)
    monkeypatch.setenv("STROKESIDE_LIBRARY", str(tmp_path / "not.db"))
    made = answer("new", force, "--athlete", "Ada", "-o", tmp_path / "ada.review")
    assert any("The library does not know of it" in said for said in made["remarks"])
    assert (tmp_path / "ada.review").exists()


def test_nothing_is_deleted_without_a_yes(reviews: Path) -> None:
    answer("library", "rebuild", reviews)
    would = answer("library", "delete", "Ada")
    assert would["deleted"] is False and len(would["reviews"]) == len(would["media"]) == 1
    assert (reviews / "ada.review").exists()
    done = answer("library", "delete", "Ada", "--yes")
    assert done["deleted"] is True and done["failed"] == []
    assert not (reviews / "ada.review").exists() and (reviews / "force.csv").exists()
    assert "There is no athlete Ada" in refused("library", "delete", "Ada", "--yes")
    with sqlite3.connect(own_library()) as connection:
        assert connection.execute("SELECT count(*) FROM review").fetchone() == (0,)
    connection.close()


def test_the_recordings_go_where_the_coach_says_so(reviews: Path) -> None:
    answer("library", "rebuild", reviews)
    assert run("library", "delete", "Ada", "--yes", "--media")[0] == 0
    assert list(reviews.iterdir()) == []


def test_an_archive_is_written(reviews: Path, tmp_path: Path) -> None:
    answer("library", "rebuild", reviews)
    made = answer("library", "export", "Ada", "-o", tmp_path / "ada.zip")
    assert sorted(made["entries"]) == [
        "athlete.json", "recordings/001 force.csv", "reviews/001 ada.review",
    ]  # fmt: skip
    assert "exists already" in refused("library", "export", "Ada", "-o", tmp_path / "ada.zip")


def test_another_library_is_named_by_its_file(tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    answer("library", "add", "Ada", "--library", other)
    assert len(answer("library", "list", "--library", other)["athletes"]) == 1
    assert answer("library", "list")["athletes"] == []


def test_what_only_a_club_can_do_is_refused_in_a_file() -> None:
    answer("library", "add", "Ada")
    assert "a club's library alone" in refused("library", "share", "Ada", "--with", "ben")


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (("find",), "Say what to look for"),
        (("history", "Nobody"), "no athlete Nobody"),
        (("rebuild", "nowhere"), "no folder nowhere"),
        (("add", "  "), "has a name"),
        (("add", "Ada", "--birth-year", "1066"), "was born in 1066"),
        (("list", "--library", "postgresql://a:b@h/d"), "Leave the password out"),
        (("list", "--library", "postgresql://a@127.0.0.1:1/d"), "cannot be reached"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(call: tuple[str, ...], said: str) -> None:
    assert said in refused("library", *call)


@pytest.mark.parametrize("call", [(), ("sing",), ("add",), ("list", "--order", "x")])
def test_a_wrong_call_is_told_apart(call: tuple[str, ...]) -> None:
    assert run("library", *call)[0] == 2


def test_the_answer_is_json_wherever_that_is_asked_for() -> None:
    assert json.loads(run("library", "--json", "list")[1]) == {"athletes": []}


def test_what_is_older_than_the_limit_is_listed_and_goes_on_a_yes(reviews: Path) -> None:
    assert answer("library", "rebuild", reviews)["added"] == 1
    nothing = answer("library", "retention")
    assert nothing["months"] == 0 and nothing["athletes"] == []
    assert "no limit" in refused("library", "retention", "--yes")
    os.utime(reviews / "force.csv", (1_500_000_000,) * 2)  # rowed in July 2017
    assert answer("library", "rebuild", reviews)["changed"] == 1
    assert answer("library", "retention", "--months", "600")["athletes"] == []
    found = answer("library", "retention", "--keep-months", "24")
    (ada,) = found["athletes"]
    assert (found["months"], found["deleted"], ada["athlete"]) == (24, False, "Ada")
    assert ada["reviews"][0]["last"] == "2017-07-14" and ada["whole"] is True
    assert ada["media"] == [str(reviews / "force.csv")]
    status, out, _ = run("library", "retention")  # the limit was kept
    assert status == 0 and "Older than 24 months" in out and "2017-07-14  First" in out
    assert (reviews / "ada.review").exists()
    gone = answer("library", "retention", "--yes", "--media")
    assert gone["deleted"] is True and gone["failed"] == []
    assert list(reviews.iterdir()) == []
    assert answer("library", "list") == {"athletes": []}
