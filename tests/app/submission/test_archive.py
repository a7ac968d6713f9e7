"""A review with its recordings as one file: written whole, opened as if a stranger had made it."""

from __future__ import annotations

import hashlib
import os
import shutil
import unicodedata
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from app.files.alive import own_name
from app.files.cleaning import at_start
from app.files.private import private_folder
from app.review.file.store import create_file, read_asset, read_review
from app.review.parts.about import SetAthlete
from app.review.parts.comparisons import new_comparison
from app.review.parts.films import all_recordings, new_film
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess, locate, refer
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef
from app.submission.archive import RECORD, ArchiveError, archive_review
from app.submission.archive_reading import is_archive, open_archive

DATA = Path(__file__).parents[2] / "data"
STRANGER = RecordingAccess(None)


def everything(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


def test_what_goes_in_comes_out_on_another_machine(
    here: Path, tmp_path: Path, elsewhere: Path
) -> None:
    before = everything(here.parent)
    made = archive_review(here, tmp_path / "Maren", STRANGER)
    assert everything(here.parent) == before, "the review and its recordings are only read"
    assert made.path == tmp_path / "Maren.zip"
    assert made.missing == ()
    shutil.move(made.path, elsewhere)
    was = all_recordings(read_review(here))
    shutil.rmtree(here.parent)
    assert is_archive(elsewhere / "Maren.zip")
    came = open_archive(elsewhere / "Maren.zip")
    assert came.review == elsewhere / "Maren May" / "Maren May.review"
    state = read_review(came.review)
    assert state.athlete == "Maren"
    refs = all_recordings(state)
    assert [r.sha256 for r in refs] == [r.sha256 for r in was]
    for ref in refs:
        found = locate(ref, came.review, STRANGER)
        assert found is not None, "they lie in the review's own folder, so nobody has to be asked"
        assert hashlib.sha256(found.read_bytes()).hexdigest() == ref.sha256
    assert str(tmp_path).encode() not in came.review.read_bytes()


def test_twice_gives_a_second_folder_and_the_same_bytes(
    here: Path, packed: Path, tmp_path: Path, elsewhere: Path
) -> None:
    assert open_archive(packed, elsewhere).review.parent.name == "Maren May"
    assert open_archive(packed, elsewhere).review.parent.name == "Maren May 2"
    assert sorted(p.name for p in elsewhere.iterdir()) == ["Maren May", "Maren May 2"]
    names = zipfile.ZipFile(packed).namelist()
    assert names == [
        "review/Maren May.review",
        "review/recordings/Side.mp4",
        "review/recordings/side 2.mp4",
        "review/recordings/force.csv",
        RECORD,
    ]


def test_what_is_not_here_is_said_and_other_reviews_are_not_taken(
    here: Path, tmp_path: Path, elsewhere: Path
) -> None:
    (here.parent / "force.csv").unlink()
    state = read_review(here)
    stroke = StrokeRef(str(tmp_path / "Ada.review"), 1.0, 2.0, 3.0)
    another = new_comparison(StrokeRef("", 1.0, 2.0, 3.0), stroke)
    create_file(here, replace(state, comparisons=(another,)))
    made = archive_review(here, tmp_path / "Maren.zip", STRANGER)
    assert made.recordings == ("Side.mp4", "side 2.mp4")
    assert "force.csv is not in it: it is not where it was." in made.missing
    assert "Other reviews it compares with are not in it; send them on their own." in made.missing
    came = open_archive(made.path, elsewhere)
    assert came.missing == made.missing
    kept = read_review(came.review).comparisons[0]
    assert kept.right.source == "Ada.review", "no place of this machine goes along"


def test_a_recording_nobody_chose_is_not_taken(here: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_bytes(b"password")
    ref = refer(secret, "trace", here)
    create_file(here, replace(read_review(here), trace=replace(ref, path="../secret.txt")))
    made = archive_review(here, tmp_path / "Maren.zip", STRANGER)
    assert "nobody chose it" in made.missing[0]
    assert b"password" not in made.path.read_bytes()


def test_another_recording_under_the_name_is_refused(here: Path, tmp_path: Path) -> None:
    film = here.parent / "b" / "side.mp4"
    film.write_bytes(film.read_bytes()[::-1])
    with pytest.raises(ReviewError, match="another recording than the one reviewed"):
        archive_review(here, tmp_path / "Maren.zip", STRANGER)
    assert not list(tmp_path.glob("*.zip"))
    assert not list(tmp_path.glob(".*"))


def test_nothing_of_the_coach_is_written_over(here: Path, tmp_path: Path) -> None:
    there = tmp_path / "mine.zip"
    there.write_bytes(b"mine")
    with pytest.raises(ArchiveError, match="exists already"):
        archive_review(here, there, STRANGER)
    assert there.read_bytes() == b"mine"
    assert archive_review(here, there, STRANGER, replace=True).path == there
    force = here.parent / "force.zip"
    (here.parent / "force.csv").rename(force)
    state = read_review(here)
    assert state.trace is not None
    create_file(here, replace(state, trace=replace(state.trace, path="force.zip")))
    before = force.read_bytes()
    with pytest.raises(ArchiveError, match="part of the review"):
        archive_review(here, force, STRANGER, replace=True)
    assert force.read_bytes() == before


def test_cancelling_leaves_nothing(here: Path, packed: Path, tmp_path: Path) -> None:
    with pytest.raises(ArchiveError, match="cancelled; nothing is left"):
        archive_review(here, tmp_path / "again.zip", STRANGER, cancelled=lambda: True)
    before = everything(tmp_path)
    with pytest.raises(ArchiveError, match="cancelled; nothing of it is left"):
        open_archive(packed, cancelled=lambda: True)
    assert everything(tmp_path) == before


@pytest.mark.parametrize("version", [1, 2, 3])
def test_reviews_of_older_versions_go_in_and_come_out(
    version: int, tmp_path: Path, elsewhere: Path
) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / f"schema_{version}.review", path)
    old = path.read_bytes()
    made = archive_review(path, tmp_path / "old.zip", STRANGER)
    assert path.read_bytes() == old
    assert any("not where it was" in said for said in made.missing)
    came = open_archive(made.path, elsewhere)
    was, now = read_review(path), read_review(came.review)
    assert (now.notes, now.marks, now.athlete) == (was.notes, was.marks, was.athlete)
    assert now.review_id == was.review_id
    voices = [note.voice.id for note in now.notes if note.voice is not None]
    assert voices
    assert [read_asset(came.review, v) for v in voices] == [read_asset(path, v) for v in voices]
    review = Review.open(came.review)
    review.do(SetAthlete("Somebody", ""))
    review.close()
    assert read_review(came.review).athlete == "Somebody"


def test_what_a_killed_process_left_goes(packed: Path, elsewhere: Path) -> None:
    from app.files.alive import own_name

    mine = own_name(".Maren", ".unpacking")
    place, token = mine.split("-")[1:3]
    dead = elsewhere / mine.replace(token, "0" * 12)
    alive = elsewhere / mine
    unlike = elsewhere / ".notes.unpacking"
    for folder in (dead, alive, unlike):
        folder.mkdir()
    assert place
    open_archive(packed, elsewhere)
    assert sorted(p.name for p in elsewhere.iterdir()) == sorted(
        ["Maren May", alive.name, unlike.name]
    )


def test_what_a_killed_archiving_left_goes(here: Path, tmp_path: Path) -> None:
    """Beside the archive, and of the review's copy, which names the athlete."""
    mine = own_name(".Maren", ".part.zip")
    dead = tmp_path / mine.replace(mine.split("-")[2], "0" * 12)
    copy = private_folder() / dead.name.replace(".Maren", ".archive").replace(".zip", ".review")
    for path in (dead, copy, tmp_path / mine):
        path.write_bytes(b"part")
        os.utime(path, (1e9, 1e9))
    archive_review(here, tmp_path / "Maren.zip", STRANGER)
    at_start()
    assert not dead.exists() and not copy.exists()
    assert (tmp_path / mine).exists(), "somebody is writing it"
    left = [path.name for path in private_folder().iterdir()]
    assert not any(name.startswith(".archive") for name in left)


LONG = ["x" * 90 + ".mp4"] * 3


@pytest.mark.parametrize(
    ("review_name", "names"),
    [
        ("Maren.review", LONG),
        ("Maren.review", ["y" * 80 + ".weird", "y" * 79 + ".mp4", "y" * 79 + ".mp4"]),
        ("Maren.review", ["\u00e9.mp4", "e\u0301.mp4"]),
        ("Maren.review", ["con.mp4", "NUL.MP4", "ss.mp4", "\u00df.mp4", "a .mp4", "a..mp4"]),
        ("Maren.review", ["\N{ROWBOAT}" * 60 + ".mp4"] * 2),
        ("???.review", ["a.mp4"]),
        ("r" * 200 + ".review", ["a.mp4"]),
    ],
)
def test_whatever_they_are_called_they_come_out_again(
    review_name: str, names: list[str], tmp_path: Path, elsewhere: Path
) -> None:
    review = tmp_path / review_name
    refs = []
    for number, name in enumerate(names):
        film = tmp_path / str(number) / name
        film.parent.mkdir()
        film.write_bytes(b"film %d" % number)
        refs.append(refer(film, "video", review))
    films = tuple(new_film(ref, 9.0 * number) for number, ref in enumerate(refs[1:], 1))
    create_file(review, ReviewState(video=refs[0], films=films))
    came = open_archive(archive_review(review, tmp_path / "x", STRANGER).path, elsewhere)
    assert [path.read_bytes() for path in came.recordings] == [
        b"film %d" % number for number in range(len(names))
    ]
    on_any_disk = {unicodedata.normalize("NFC", path.name).casefold() for path in came.recordings}
    assert len(on_any_disk) == len(names)
    assert all(len(path.name.encode()) < 255 for path in came.recordings)
    assert not {p.stem.lower() for p in came.recordings} & {"con", "nul"}


def test_names_that_say_nothing_get_an_ending(tmp_path: Path, elsewhere: Path) -> None:
    review = tmp_path / "x.review"
    (tmp_path / "clip").write_bytes(b"film")
    ref = refer(tmp_path / "clip", "video", review)
    assert isinstance(ref, MediaRef)
    create_file(review, ReviewState(video=ref))
    made = archive_review(review, tmp_path / "x", STRANGER)
    assert made.recordings == ("clip.mp4",)
    assert open_archive(made.path, elsewhere).recordings[0].read_bytes() == b"film"
