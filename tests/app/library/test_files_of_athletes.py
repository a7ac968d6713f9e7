"""Rebuilding, deleting and exporting, with review files and recordings on a disk."""

import json
import os
import shutil
import sqlite3
import sys
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from app.files.user_folders import data_folder
from app.library.collect import summary_of
from app.library.deleting import Places, delete_athlete, look
from app.library.errors import LibraryError, NoSuchAthlete
from app.library.exporting import export_athlete
from app.library.files import locate, review_files
from app.library.library import Library
from app.library.overview import athletes
from app.library.past import past_of, progress_of
from app.library.people import Told, add_athlete, find_athlete
from app.library.rebuild import rebuild
from app.library.record import record_bundle, store
from app.library.summaries import SentBundle
from app.review.backups import BackupShelf
from app.review.file.store import read_review
from app.review.finding_notes import finding_note
from app.review.parts.about import SetAthlete
from app.review.parts.findings import KeepFinding
from app.review.recordings import RecordingAccess
from app.review.review import Review
from app.submission.load import Said, begin, load
from app.submission.my_defaults import MyDefaults
from samples.force_recording import RecorderOptions, record, write_text
from samples.piece import PieceOptions, simulate_piece

NAME = "Zsófia Quirkenstein"  # nothing else on the disk is called so


def write_force(path: Path, seed: int = 1, give: float = 0.8) -> Path:
    """A force recording of a minute."""
    faults = (("give", give),) if give else ()
    piece = simulate_piece(PieceOptions(seed=seed, duration_s=60.0, rate_spm=26.0, faults=faults))
    options = RecorderOptions()
    path.write_text(write_text(record(piece, options, seed), options), "utf-8")
    return path


def make_review(folder: Path, name: str, athlete: str, force: Path) -> Review:
    path = folder / f"{name}.review"
    sent = begin([force], path, Said(title=f"Piece {name}", athlete=athlete))
    return Review.create(path, sent.state)


def recorded(library: Library, review: Review) -> None:
    assert review.path is not None
    store(library, [summary_of(review.state, review.path, load(review.state, review.path))])


@dataclass
class Coach:
    """A coach's disk with two athletes."""

    folder: Path
    library: Library
    places: Places

    @property
    def id(self) -> str:
        return find_athlete(self.library, NAME).id


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    for n, give in ((1, 0.8), (2, 0.0)):
        (folder / f"piece{n}").mkdir()
        force = write_force(folder / f"piece{n}" / f"force{n}.csv", n, give)
        review = make_review(folder / f"piece{n}", f"review{n}", NAME, force)
        if n == 1:
            give_found = next(
                f for f in load(review.state, review.path).findings if f.code == "give"
            )
            review.do(KeepFinding("give", finding_note(give_found)))
        review.close()
        os.utime(force, (1_770_000_000 + n * 1_000_000,) * 2)
    return folder


@pytest.fixture
def coach(tmp_path: Path, made: Path) -> Iterator[Coach]:
    folder = tmp_path / "reviews"
    shutil.copytree(made, folder)
    places = Places(data_folder(), tmp_path / "cache")
    with Library.open() as library:
        rebuild(library, folder, RecordingAccess(places.data))
        yield Coach(folder, library, places)


def test_a_folder_of_reviews_makes_a_library(coach: Coach) -> None:
    (standing,) = athletes(coach.library)
    assert (standing.athlete.name, standing.reviews) == (NAME, 2)
    first, second = past_of(coach.library, coach.id).reviews
    assert (first.title, second.title) == ("Piece review1", "Piece review2")
    assert first.when < second.when
    assert {f.code for f in first.piece.findings if f.raised} >= {"give"}
    assert first.kept["give"] is True
    assert first.prescriptions[0].finding == "give" and first.prescriptions[0].cue


def test_what_too_few_show_is_held_against_the_coachs_own_numbers(coach: Coach) -> None:
    review = past_of(coach.library, coach.id).reviews[0]
    sent = load(read_review(Path(review.path)), Path(review.path))
    deep = MyDefaults(thresholds=(("give.depth", 90.0),))
    shown = {f.code for f in summary_of(sent.state, None, replace(sent, mine=deep)).piece.findings}
    assert "give" in {f.code for f in summary_of(sent.state, None, sent).piece.findings}
    assert "give" not in shown


def test_what_is_measured_is_what_the_submission_says(coach: Coach) -> None:
    review = past_of(coach.library, coach.id).reviews[0]
    opened = Review.open(Path(review.path))
    sent = load(opened.state, Path(review.path))
    (section,) = review.piece.sections
    usual = {k: v for k, v in sent.usual.items() if v is not None}
    assert section.measures.keys() == usual.keys()
    for key, spread in usual.items():
        assert section.measures[key].mean == pytest.approx(spread.mean)
        assert section.measures[key].count == spread.count
    opened.close()


def test_a_fault_that_went_is_followed_from_file_to_file(coach: Coach) -> None:
    progress = progress_of(past_of(coach.library, coach.id))
    (share,) = (row for row in progress.found.rows if row.key == "share")
    assert progress.found.conditions.pair is not None
    assert share.before is not None and share.before > 0.8
    assert (share.outcome, share.better) == ("changed", True)


def test_rebuilding_again_changes_nothing(coach: Coach) -> None:
    again = rebuild(coach.library, coach.folder)
    assert len(again.recorded.unchanged) == 2
    assert not (again.unread or again.unmeasured or again.doubled)


def test_a_review_that_cannot_be_read_stops_nothing(coach: Coach) -> None:
    (coach.folder / "broken.review").write_bytes(b"SQLite format 3\0" + b"\0" * 900)
    shutil.copy(coach.folder / "piece1/review1.review", coach.folder / "copy.review")
    os.utime(coach.folder / "copy.review", (1_600_000_000, 1_600_000_000))
    (coach.folder / "piece2" / "force2.csv").unlink()
    again = rebuild(coach.library, coach.folder)
    assert [path.name for path, _ in again.unread] == ["broken.review"]
    assert [path.name for path in again.doubled] == ["copy.review"]
    assert [path.name for path in again.unmeasured] == ["review2.review"]
    assert past_of(coach.library, coach.id).reviews[1].piece.source == "force"  # as it was before


def test_a_review_that_moved_is_found_by_its_identity(coach: Coach) -> None:
    review = past_of(coach.library, coach.id).reviews[0]
    old = Path(review.path)
    new = coach.folder / "elsewhere" / "renamed.review"
    new.parent.mkdir()
    old.rename(new)
    assert locate(review.review_id, old) is None
    assert locate(review.review_id, old, [coach.folder]) == new


def test_links_are_not_followed_when_a_folder_is_read(coach: Coach, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    shutil.copy(coach.folder / "piece1/review1.review", outside / "x.review")
    (coach.folder / "link").symlink_to(outside)
    (coach.folder / "link.review").symlink_to(outside / "x.review")
    assert len(list(review_files([coach.folder]))) == 2


def traces_of(name: str, folder: Path) -> list[str]:
    """Files under a folder in which a name stands, in its bytes or in that of a packed one."""
    found = []
    for path in folder.rglob("*"):
        if path.is_file() and name.encode() in path.read_bytes():
            found.append(path.name)
    return found


def test_deleting_leaves_nothing_that_is_within_reach(coach: Coach, tmp_path: Path) -> None:
    library, places = coach.library, coach.places
    add_athlete(library, NAME, Told(notes=f"{NAME} has a bad knee", tags=["squad"]))
    recorded_path = coach.folder / "piece1" / "review1.review"
    review = Review.open(recorded_path)
    review.protect(places.data)
    review.do(SetAthlete(NAME, "Changed"))  # which lays an earlier version aside
    review.close()
    recorded(library, review)
    record_bundle(library, review.state.review_id, SentBundle("b" * 32, "2026-02-03", "/sent"))
    trace = review.state.trace
    assert trace is not None
    force = coach.folder / "piece1" / "force1.csv"
    RecordingAccess(places.data).chose(recorded_path, trace, force)
    voice = recorded_path.with_suffix(".voice")
    voice.mkdir()
    (voice / "left.wav").write_bytes(NAME.encode())
    places.cache.mkdir()
    (places.cache / "clip.mp4").write_bytes(NAME.encode())
    (coach.folder / "piece1" / "other.txt").write_text("not ours")
    assert traces_of(NAME, places.data) and traces_of(NAME, coach.folder)

    deletion = look(library, coach.id, places)
    assert len(deletion.files.reviews) == 2 and len(deletion.media) == 2 and deletion.versions
    done = delete_athlete(library, deletion, places, deletion.media)

    assert done.failed == ()
    assert athletes(library) == ()
    assert traces_of(NAME, tmp_path) == [] and traces_of(NAME, places.data) == []
    left = sorted(p.name for p in coach.folder.rglob("*") if p.is_file())
    assert left == ["other.txt"]
    assert any("/sent" in said for said in done.remains)
    with pytest.raises(NoSuchAthlete):
        find_athlete(library, NAME)


def test_media_stay_where_the_coach_does_not_agree(coach: Coach) -> None:
    deletion = look(coach.library, coach.id, coach.places)
    keep, lose = deletion.media
    done = delete_athlete(coach.library, deletion, coach.places, [lose])
    assert keep.exists() and not lose.exists()
    assert any(str(keep) in said for said in done.remains)


def test_a_recording_of_two_athletes_stays_for_the_other(coach: Coach) -> None:
    force = coach.folder / "piece1" / "force1.csv"
    other = make_review(coach.folder / "piece1", "double", "Ben", force)
    recorded(coach.library, other)
    other.close()
    deletion = look(coach.library, coach.id, coach.places)
    assert deletion.shared_media == (force,)
    delete_athlete(coach.library, deletion, coach.places, deletion.media)
    assert force.exists() and other.path is not None and other.path.exists()
    assert [s.athlete.name for s in athletes(coach.library)] == ["Ben"]


def test_a_file_that_names_somebody_else_by_now_is_not_deleted(coach: Coach) -> None:
    path = coach.folder / "piece1" / "review1.review"
    review = Review.open(path)
    review.do(SetAthlete("Somebody Else", "Theirs"))
    review.close()
    deletion = look(coach.library, coach.id, coach.places)
    assert deletion.files.unlike == ("review1.review",)
    delete_athlete(coach.library, deletion, coach.places, deletion.media)
    assert path.exists()


def test_a_stranger_in_the_place_of_a_review_is_not_deleted(coach: Coach) -> None:
    path = coach.folder / "piece1" / "review1.review"
    path.unlink()
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE meta (key TEXT, value TEXT)")
    connection.close()
    deletion = look(coach.library, coach.id, coach.places)
    delete_athlete(coach.library, deletion, coach.places)
    assert path.exists() and any("Piece review1" in said for said in deletion.remains)


def test_what_cannot_be_removed_is_said_and_the_rest_goes(
    coach: Coach, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = coach.folder / "piece1" / "review1.review"
    unlink = Path.unlink

    def refuse(path: Path, missing_ok: bool = False) -> None:
        if path == held:
            raise PermissionError(13, "Permission denied")
        unlink(path, missing_ok)

    monkeypatch.setattr(Path, "unlink", refuse)
    deletion = look(coach.library, coach.id, coach.places)
    done = delete_athlete(coach.library, deletion, coach.places, deletion.media)
    assert done.failed == ((held, "permission denied"),)
    assert athletes(coach.library) == ()


def test_an_archive_holds_everything_and_no_path_of_the_machine(
    coach: Coach, tmp_path: Path
) -> None:
    bundle = tmp_path / "bundle"
    (bundle / "stills").mkdir(parents=True)
    (bundle / "index.html").write_text("<p>page")
    (bundle / "stills" / "a.png").write_bytes(b"png")
    review = past_of(coach.library, coach.id).reviews[0]
    record_bundle(coach.library, review.review_id, SentBundle("b" * 32, "2026-02-03", str(bundle)))
    access = RecordingAccess(coach.places.data)
    made = export_athlete(coach.library, coach.id, tmp_path / "out", access)
    assert made.path == tmp_path / "out.zip" and made.missing == ()
    with zipfile.ZipFile(made.path) as archive:
        assert archive.testzip() is None
        assert set(archive.namelist()) == set(made.entries)
        told = json.loads(archive.read("athlete.json"))
        held = {name: archive.read(name) for name in archive.namelist()}
    assert held["bundles/bbbbbbbb/index.html"] == b"<p>page"
    assert held["recordings/001 force1.csv"] == (coach.folder / "piece1/force1.csv").read_bytes()
    first = told["reviews"][0]
    assert told["athlete"]["name"] == NAME and first["file"] in held
    assert first["piece"]["sections"][0]["measures"]["peak_n"]["mean"] > 100
    assert str(tmp_path) not in json.dumps(told)
    out = tmp_path / "again.review"
    out.write_bytes(held[first["file"]])
    assert Review.open(out).state.athlete == NAME


def test_an_archive_says_what_is_missing_and_replaces_nothing(coach: Coach, tmp_path: Path) -> None:
    (coach.folder / "piece1" / "force1.csv").unlink()
    access = RecordingAccess(coach.places.data)
    made = export_athlete(coach.library, coach.id, tmp_path / "out.zip", access)
    assert made.missing == ("The recording force1.csv was not found.",)
    with pytest.raises(LibraryError, match="exists already"):
        export_athlete(coach.library, coach.id, tmp_path / "out.zip", access)
    (tmp_path / "out.zip").write_bytes(b"older")
    again = export_athlete(coach.library, coach.id, tmp_path / "out.zip", access, replace=True)
    assert zipfile.is_zipfile(again.path) and again.entries == made.entries


def test_an_archive_that_was_stopped_leaves_what_was_there(coach: Coach, tmp_path: Path) -> None:
    target = tmp_path / "out.zip"
    target.write_bytes(b"older")
    before = sorted(tmp_path.iterdir())
    with pytest.raises(LibraryError, match="not finished"):
        export_athlete(
            coach.library, coach.id, target, RecordingAccess(coach.places.data),
            replace=True, cancelled=lambda: True,
        )  # fmt: skip
    assert sorted(tmp_path.iterdir()) == before and target.read_bytes() == b"older"


def test_recording_before_it_is_saved_is_no_error(coach: Coach) -> None:
    """A review without a file or a name is simply not kept yet."""
    review = make_review(coach.folder, "new", "", coach.folder / "piece1" / "force1.csv")
    assert review.path is not None
    kept = store(
        coach.library, [summary_of(review.state, review.path, load(review.state, review.path))]
    )
    assert kept.unnamed == (review.state.review_id,)
    named = replace(review.state, athlete="Ben")
    assert named.athlete == "Ben"
    review.close()


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere every name is text")
def test_files_whose_names_are_no_text_are_kept_and_exported(tmp_path: Path) -> None:
    force = write_force(tmp_path / "force.csv")
    review = make_review(tmp_path, "one", NAME, force)
    review.close()
    odd = tmp_path / os.fsdecode(b"one\xff.review")
    (tmp_path / "one.review").rename(odd)
    with Library.open(tmp_path / "library.db") as library:
        assert len(rebuild(library, tmp_path).recorded.added) == 1
        known = find_athlete(library, NAME).id
        access = RecordingAccess(data_folder())
        made = export_athlete(library, known, tmp_path / "e.zip", access, [tmp_path])
    assert any(name.startswith("reviews/001 one") for name in made.entries)


def test_an_archive_needs_a_name(tmp_path: Path) -> None:
    with Library.open(tmp_path / "library.db") as library:
        add_athlete(library, NAME)
        with pytest.raises(LibraryError, match="is a folder"):
            export_athlete(
                library, find_athlete(library, NAME).id, Path("/"), RecordingAccess(data_folder())
            )


def test_earlier_versions_that_name_somebody_else_stay(tmp_path: Path) -> None:
    """A review that was begun from another one's, and was given its own athlete since."""
    review = make_review(tmp_path, "one", NAME, write_force(tmp_path / "force.csv"))
    places = Places(tmp_path / "data", tmp_path / "cache")
    shelf = BackupShelf(places.data / "backups")
    path, review_id = tmp_path / "one.review", review.state.review_id
    with Library.open(tmp_path / "library.db") as library:
        recorded(library, review)
        own = shelf.keep(path, review_id)
        review.do(SetAthlete("Bo Other", ""))
        theirs = shelf.keep(path, review_id)
        review.close()
        found = look(library, find_athlete(library, NAME).id, places)
        delete_athlete(library, found, places)
    assert path.exists() and theirs.path.exists() and not own.path.exists()
