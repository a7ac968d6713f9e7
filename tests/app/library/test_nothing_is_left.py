"""After a deletion nothing on the disk of this user names the athlete: looked for in every byte."""

from __future__ import annotations

import contextlib
import json
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.drafts.batch import run_batch
from app.drafts.job import DraftJob, DraftRow, Prepared
from app.drafts.pairing import Proposal
from app.files.user_folders import cache_folder, config_folder, data_folder
from app.library.deleting import Places, delete_athlete, look
from app.library.errors import LibraryError
from app.library.library import Library
from app.library.overview import athletes
from app.library.past import past_of
from app.library.people import Told, add_athlete, find_athlete
from app.library.rebuild import rebuild
from app.library.retention import older_than
from app.review.file.store import create_file, read_review
from app.review.parts.about import SetAthlete
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess
from app.review.rescue import Rescue
from app.review.review import Review
from app.submission.load import Said, begin
from app.window.session.settings import Settings

NAME = "Quirkenstein"
DATA = Path(__file__).parents[2] / "data"


def traces(*folders: Path | None) -> list[str]:
    """Files that name the athlete, in their name or in any of their bytes."""
    wanted = [NAME.encode(code) for code in ("utf-8", "utf-16-le", "utf-16-be")]
    return sorted(
        path.relative_to(folder).as_posix()
        for folder in folders
        if folder is not None
        for path in folder.rglob("*")
        if NAME in path.name or (path.is_file() and any(one in path.read_bytes() for one in wanted))
    )


@pytest.fixture
def places() -> Places:
    for folder in (data_folder(), cache_folder(), config_folder()):
        folder.mkdir(parents=True, exist_ok=True)
    return Places(data_folder(), cache_folder(), config_folder())


@pytest.fixture
def work(tmp_path: Path) -> Path:
    folder = tmp_path / "work"
    folder.mkdir()
    return folder


@pytest.fixture
def library() -> Iterator[Library]:
    with Library.open() as opened:
        yield opened


def make(path: Path, athlete: str, samples: int) -> Path:
    """A review of a small force file of its own."""
    force = path.with_suffix(".csv")
    force.write_text(
        "time_s,force_N\n"
        + "".join(f"{n / 50},{(n % 100) * samples % 700}\n" for n in range(500 + samples))
    )
    Review.create(path, begin([force], path, Said("Piece", athlete)).state).close()
    return path


_WINDOW = """
import sys
from pathlib import Path
from app.files.user_folders import data_folder
from app.review.parts.about import SetAthlete
from app.review.review import Review

review = Review.open(Path(sys.argv[1]))
review.protect(data_folder())
print("open", flush=True)
if sys.stdin.readline():
    review.do(SetAthlete(review.state.athlete, "Typed meanwhile"))
review.close()
"""


@contextlib.contextmanager
def another_window(path: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that has a review open, until the end of the block."""
    with subprocess.Popen(
        [sys.executable, "-c", _WINDOW, str(path)],
        cwd=Path(__file__).parents[3],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as window:
        assert window.stdout is not None and window.stdout.readline() == "open\n"
        yield window


def scatter(path: Path, work: Path, places: Places) -> None:
    """Leave traces of a review wherever the program leaves them."""
    review = Review.open(path)
    review.protect(places.data)
    review.do(SetAthlete(NAME, "Changed"))  # lays an earlier version aside
    review.close()
    state = read_review(path)
    settings = Settings()
    settings.add_recent(path)
    settings.tell_of(path, NAME, "Changed")
    (places.data / "places.json").write_text(json.dumps({"places": {state.review_id: {"at_s": 1}}}))
    rescue = Rescue(places.data)
    assert rescue.keep(work / "gone" / "lost.review", state, {})
    for name in ("voice", "walkthrough"):
        path.with_suffix(f".{name}").mkdir()
        (path.with_suffix(f".{name}") / "left.wav").write_text(NAME)
    places.cache.joinpath("frames").mkdir()
    (places.cache / "frames" / "one.jpg").write_text(NAME)
    copy = work / "a copy of it.review"
    create_file(copy, ReviewState(athlete=NAME))


def batch_of(work: Path) -> None:
    """A folder of drafts that names the athlete in its list."""
    force = work / "inbox" / f"{NAME}.csv"
    force.parent.mkdir()
    force.write_text("time_s,force_N\n0,1\n")

    def source(jobs: object) -> Iterator[tuple[DraftJob, Prepared]]:
        for job in jobs:  # type: ignore[attr-defined]
            make(Path(job.review), NAME, 7)
            force.unlink()  # as the coach files it elsewhere
            Path(job.review).with_suffix(".csv").rename(Path(job.review).parent / "sent.csv")
            yield job, Prepared(DraftRow(job.films, job.force, "ready", job.review, 1.0, ""))

    run_batch(
        [Proposal((), force, NAME, "names", "")], work / "drafts", source, lambda _row, _count: None
    )


def test_nothing_is_left_of_an_athlete(work: Path, places: Places, library: Library) -> None:
    path = make(work / "one.review", NAME, 3)
    make(work / "other.review", "Ben", 5)
    batch_of(work)
    old = work / "old.review"
    shutil.copyfile(DATA / "schema_2.review", old)
    with contextlib.closing(sqlite3.connect(old)) as connection, connection:
        connection.execute("UPDATE meta SET value = ? WHERE key = 'athlete'", (NAME,))
    review = Review.open(old)
    assert review.state.athlete == NAME
    review.do(SetAthlete(NAME, "Old"))  # which keeps the older file beside
    review.close()
    assert list(work.glob("old.schema-2.review"))
    scatter(path, work, places)
    rebuild(library, work, RecordingAccess(places.data))
    add_athlete(library, NAME, Told(notes=f"{NAME} has a bad knee", tags=[f"{NAME}'s group"]))
    before = traces(work, places.data, places.cache, places.config)
    for name in ("settings.json", "library.db", ".batch.json", "one.review", "a copy of it.review"):
        assert any(name in found for found in before), name
    assert any("backups/" in found for found in before)
    assert any("rescued" in found for found in before)

    id_ = find_athlete(library, NAME).id
    deletion = look(library, id_, places)
    done = delete_athlete(library, deletion, places, deletion.media)

    assert done.failed == ()
    assert traces(work, places.data, places.cache, places.config) == []
    assert not list(work.glob("old*"))
    assert [one.athlete.name for one in athletes(library)] == ["Ben"]
    assert read_review(work / "other.review").athlete == "Ben"
    assert json.loads((places.data / "places.json").read_text())["places"] == {}


def test_what_is_open_in_another_window_is_closed_first(
    work: Path, places: Places, library: Library
) -> None:
    path = make(work / "one.review", NAME, 3)
    rebuild(library, work, RecordingAccess(places.data))
    with another_window(path) as window:
        found = look(library, find_athlete(library, NAME).id, places)
        with pytest.raises(LibraryError, match="is open in a window; close it"):
            delete_athlete(library, found, places, found.media)
        assert path.exists() and find_athlete(library, NAME)
        assert window.stdin is not None
        window.stdin.write("change\n")  # what is typed there is saved as ever
    assert read_review(path).title == "Typed meanwhile"
    found = look(library, find_athlete(library, NAME).id, places)
    done = delete_athlete(library, found, places, found.media)
    assert done.failed == ()
    assert traces(work, places.data, places.cache, places.config) == []


def test_a_window_that_was_killed_hinders_nobody(
    work: Path, places: Places, library: Library
) -> None:
    path = make(work / "one.review", NAME, 3)
    rebuild(library, work, RecordingAccess(places.data))
    with another_window(path) as window:
        window.kill()
    found = look(library, find_athlete(library, NAME).id, places)
    assert delete_athlete(library, found, places, found.media).failed == ()
    assert not path.exists() and list((places.data / "open").iterdir()) == []


def test_only_the_old_reviews_go(work: Path, places: Places, library: Library) -> None:
    old, new = make(work / "old.review", NAME, 3), make(work / "new.review", NAME, 5)
    shared = work / "both.review"
    shutil.copyfile(new, shared)
    Review.open(shared).close()
    shared.unlink()
    rebuild(library, work, RecordingAccess(places.data))
    id_ = find_athlete(library, NAME).id
    first, second = past_of(library, id_).reviews
    ids = {Path(r.path).name: r.review_id for r in (first, second)}
    deletion = look(library, id_, places, only=[ids["old.review"]])
    assert list(deletion.files.reviews.values()) == [old]
    assert deletion.media == (old.with_suffix(".csv"),)
    delete_athlete(library, deletion, places, deletion.media)
    assert not old.exists() and not old.with_suffix(".csv").exists()
    assert new.exists() and new.with_suffix(".csv").exists()
    (left,) = past_of(library, id_).reviews
    assert left.review_id == ids["new.review"]
    assert left.piece.source == second.piece.source
    assert [one.reviews for one in athletes(library)] == [1]
    (whole,) = older_than(library, date(9000, 1, 1))
    assert whole.whole and len(whole.reviews) == 1


def test_a_recording_that_a_newer_review_is_about_stays(
    work: Path, places: Places, library: Library
) -> None:
    old = make(work / "old.review", NAME, 3)
    force = old.with_suffix(".csv")
    new = work / "new.review"
    Review.create(new, begin([force], new, Said("Again", NAME)).state).close()
    rebuild(library, work, RecordingAccess(places.data))
    id_ = find_athlete(library, NAME).id
    review_id = read_review(old).review_id
    deletion = look(library, id_, places, only=[review_id])
    assert deletion.shared_media == (force,) and deletion.media == ()
    done = delete_athlete(library, deletion, places, [force])
    assert force.exists() and new.exists() and not old.exists()
    assert any("stays" in said for said in done.remains)


def test_a_recording_of_a_review_the_library_does_not_know_stays(
    library: Library, places: Places, work: Path
) -> None:
    mine = make(work / "mine.review", NAME, 3)
    rebuild(library, work, RecordingAccess(places.data))
    other = work / "other.review"
    Review.create(other, begin([mine.with_suffix(".csv")], other, Said("P", "Ben")).state).close()
    found = look(library, find_athlete(library, NAME).id, places)
    assert found.shared_media == (mine.with_suffix(".csv"),) and found.media == ()
    delete_athlete(library, found, places, found.shared_media)
    assert not mine.exists() and mine.with_suffix(".csv").exists() and other.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="links are otherwise there")
def test_links_are_not_emptied_and_what_they_lead_to_is_not_forgotten(
    library: Library, places: Places, work: Path, tmp_path: Path
) -> None:
    mine = make(work / "mine.review", NAME, 3)
    rebuild(library, work, RecordingAccess(places.data))
    real = tmp_path / "real.review"
    mine.rename(real)
    mine.symlink_to(real)
    precious = tmp_path / "precious"
    precious.mkdir()
    (precious / "letter.txt").write_text("keep")
    shutil.rmtree(places.cache)
    places.cache.symlink_to(precious)
    real.with_suffix(".voice").symlink_to(precious)
    found = look(library, find_athlete(library, NAME).id, places)
    done = delete_athlete(library, found, places, found.media)
    assert not real.exists() and not mine.is_symlink()
    assert (precious / "letter.txt").read_text() == "keep"
    assert any("not emptied" in said for said in done.remains)
