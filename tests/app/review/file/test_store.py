import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.coast_down import FlywheelModel
from analysis.force.target import TargetCurve
from analysis.force.trace import ColumnMapping
from app.review.file import guard
from app.review.file.store import create_file, read_file, read_review, save
from app.review.parts.findings import Decision
from app.review.parts.media import MediaRef
from app.review.parts.notes import Note
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.values.errors import ChangedElsewhere, ReviewError
from tests.helpers.reviews import write_review
from tests.helpers.states import states

ROOT = Path(__file__).parents[4]
FULL = ReviewState(
    title="Steady piece",
    athlete="Zoë 🚣",
    video=MediaRef("video", "../films/piece.mp4", 123, "ab" * 32, capture_fps=240.0),
    trace=MediaRef("trace", "force.csv", 45, "cd" * 32, ColumnMapping(1, "lbf", 0, "ms")),
    alignment=Alignment(3.37, 40.0, 0.02, "by hand", False, None, 61.5),
    pairs=(Pair(4.0, 0.63), Pair(20.0, 16.63)),
    notes=(
        Note("a1", 1.25, "Arms too early", None, "drive", "arms", None),
        Note("b2", 4.0, "התפיסה", 6.5, "catch", "back", 3),
    ),
    target=TargetCurve("length", freehand=((0.0, 0.0), (50.0, 1.0)), name="steady"),
    turn=PictureTurn(1, True, 0.5),
    draft=True,
    decisions=(Decision("give", True, "a1"), Decision("peaky", False)),
    thresholds=(("hard-catch.first-fifth", 60.0),),
    flywheel=FlywheelModel(0.11, 1.5e-4, 0.0115, 0.01, 1e-5),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "piece.review"


@settings(max_examples=8, deadline=None)
@given(states, states)
def test_what_is_written_is_read_back_the_same(first: ReviewState, second: ReviewState) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "a.review")
        for state in (first, second):
            write_review(path, state)
            assert read_review(path) == state
        assert [p.name for p in Path(folder).iterdir()] == ["a.review"]


def test_any_sqlite_program_reads_it(path: Path) -> None:
    write_review(path, FULL)
    with sqlite3.connect(path) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("PRAGMA user_version").fetchone() == (4,)
        assert db.execute("PRAGMA application_id").fetchone() == (int.from_bytes(b"Strk"),)
        notes = db.execute("SELECT id, video_s, end_s, phase, body_part, stroke, text FROM note")
        assert notes.fetchall() == [
            ("a1", 1.25, None, "drive", "arms", None, "Arms too early"),
            ("b2", 4.0, 6.5, "catch", "back", 3, "התפיסה"),
        ]
        media = db.execute("SELECT kind, path, size, sha256, force_unit FROM media ORDER BY kind")
        assert media.fetchall() == [
            ("trace", "force.csv", 45, "cd" * 32, "lbf"),
            ("video", "../films/piece.mp4", 123, "ab" * 32, None),
        ]
        assert db.execute("SELECT offset_s, method FROM alignment").fetchone() == (3.37, "by hand")
        assert db.execute("SELECT percent, fraction FROM target_point").fetchall() == [
            (0.0, 0.0),
            (50.0, 1.0),
        ]
        meta = dict(db.execute("SELECT key, value FROM meta"))
    db.close()
    assert (meta["title"], meta["athlete"], meta["draft"]) == ("Steady piece", "Zoë 🚣", "1")


def test_the_docs_name_every_table_and_column_and_no_other(path: Path) -> None:
    told = (ROOT / "docs" / "review-file.md").read_text("utf-8")
    sections = {part.split("`")[1]: part for part in told.split("\n## ")[1].split("\n### ")[1:]}
    create_file(path, FULL)
    with sqlite3.connect(path) as db:
        tables = [name for (name,) in db.execute("SELECT name FROM sqlite_schema WHERE sql > ''")]
        columns = {t: [row[1] for row in db.execute(f"PRAGMA table_info({t})")] for t in tables}
        keys = [key for (key,) in db.execute("SELECT key FROM meta")]
    db.close()
    assert set(sections) == set(tables)
    missing = [f"{t}.{c}" for t in tables for c in columns[t] if f"`{c}`" not in sections[t]]
    assert missing == []
    assert all(f"| {key} |" in sections["meta"] for key in keys)


@pytest.mark.parametrize(
    "bad",
    [
        ReviewState(title="half \ud83d"),
        ReviewState(notes=(Note("a", float("nan")),)),
        ReviewState(notes=(Note("a", 1.0, end_s=float("inf")),)),
        ReviewState(notes=(Note("a", 2.0, end_s=1.0),)),
        ReviewState(notes=(Note("a", 1.0), Note("a", 2.0))),
        ReviewState(notes=(Note("a", 1.0, phase="middle"),)),
        ReviewState(notes=(Note("a", 1.0, body_part="tail"),)),
        ReviewState(notes=(Note("a", 1.0, stroke=2**63),)),
        ReviewState(turn=PictureTurn(4)),
        ReviewState(turn=PictureTurn(lift=1.5)),
        ReviewState(turn=PictureTurn(lift=float("nan"))),
        ReviewState(alignment=Alignment(offset_s=float("-inf"))),
        ReviewState(target=TargetCurve(freehand=((0.0, float("nan")),))),
        ReviewState(video=MediaRef("trace", "a.csv", 1, "00")),
    ],
)
def test_what_no_review_can_hold_is_refused_and_the_file_kept(path: Path, bad: ReviewState) -> None:
    write_review(path, FULL)
    with pytest.raises(ReviewError):
        write_review(path, bad)
    assert read_review(path) == FULL


def test_a_newer_file_is_refused_in_words_and_left_alone(path: Path) -> None:
    write_review(path, FULL)
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA user_version = 5")
    db.close()
    before = path.read_bytes()
    for use in (read_review, lambda p: write_review(p, ReviewState())):
        with pytest.raises(ReviewError, match=r"newer version of Strokeside.*update"):
            use(path)
    assert path.read_bytes() == before


def test_a_file_older_than_any_is_refused(path: Path) -> None:
    write_review(path, FULL)
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA user_version = 0")
    db.close()
    with pytest.raises(ReviewError, match="file version 0"):
        read_review(path)


def test_files_that_are_no_review(tmp_path: Path) -> None:
    cases = {"empty": b"", "text": b"time,force\n0,1\n" * 100, "noise": bytes(range(256)) * 20}
    for name, content in cases.items():
        (tmp_path / name).write_bytes(content)
        for use in (read_review, lambda p: write_review(p, ReviewState())):
            with pytest.raises(ReviewError, match=f"{name} is not a review"):
                use(tmp_path / name)
        assert (tmp_path / name).read_bytes() == content
    with sqlite3.connect(tmp_path / "other.db") as db:
        db.execute("CREATE TABLE note (id)")
    db.close()
    with pytest.raises(ReviewError, match="not a review"):
        read_review(tmp_path / "other.db")
    with pytest.raises(ReviewError, match="is a folder"):
        read_review(tmp_path)
    with pytest.raises(ReviewError, match=r"no file gone\.review"):
        read_review(tmp_path / "gone.review")
    assert not (tmp_path / "gone.review").exists()
    with pytest.raises(ReviewError, match="could not be saved"):
        write_review(tmp_path / "no" / "where.review", ReviewState())


def test_a_damaged_file_is_named_damaged(path: Path) -> None:
    write_review(path, replace(FULL, notes=tuple(Note(str(i), i, "x" * 999) for i in range(99))))
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 3])
    with pytest.raises(ReviewError, match="damaged"):
        read_review(path)


def test_a_row_from_another_program_that_no_review_can_hold(path: Path) -> None:
    write_review(path, FULL)
    with sqlite3.connect(path) as db:
        db.execute("UPDATE note SET phase = 'nonsense'")
    db.close()
    with pytest.raises(ReviewError, match="no phase called"):
        read_review(path)


def test_another_program_is_not_overwritten(path: Path) -> None:
    write_review(path, FULL)
    mine = read_file(path)
    write_review(path, replace(FULL, title="theirs"))
    with pytest.raises(ChangedElsewhere) as caught:
        save(path, mine.stamp, mine.state, replace(FULL, title="mine"), {})
    assert caught.value.theirs.state.title == "theirs"
    assert read_review(path).title == "theirs"


def test_readers_see_one_state_while_another_saves(path: Path) -> None:
    write_review(path, FULL)
    with sqlite3.connect(path, isolation_level=None) as reader:
        reader.execute("BEGIN")
        assert reader.execute("SELECT count(*) FROM note").fetchone() == (2,)
        reader.execute("COMMIT")
        write_review(path, ReviewState())
        assert reader.execute("SELECT count(*) FROM note").fetchone() == (0,)
    reader.close()


def test_a_file_held_by_another_program(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "BUSY_S", 0.01)
    write_review(path, FULL)
    with sqlite3.connect(path, isolation_level=None) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(ReviewError, match="another program is using it"):
            write_review(path, ReviewState())
        other.execute("ROLLBACK")
    other.close()
    assert read_review(path) == FULL


def test_rights_are_those_of_any_new_file(path: Path) -> None:
    write_review(path, FULL)
    (path.parent / "plain").touch()
    assert path.stat().st_mode == (path.parent / "plain").stat().st_mode


SAVE_FOR_EVER = """
import sys
from pathlib import Path
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.helpers.reviews import write_review
n = int(sys.argv[2])
while True:
    notes = tuple(Note(str(i), float(i), str(n) + "x" * 400) for i in range(200))
    write_review(Path(sys.argv[1]), ReviewState(title=str(n), notes=notes))
    print(n, flush=True)
    n += 1
"""


def run_child(code: str, *args: object) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", code, *map(str, args)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no kill -9")
def test_killed_at_any_moment_the_file_holds_the_old_or_the_new(path: Path) -> None:
    saved = -1
    for saves in (0, 1, 2, 3, 5, 8, 13):
        child = run_child(SAVE_FOR_EVER, path, saved + 1)
        assert child.stdout is not None
        for _ in range(saves):
            saved = int(child.stdout.readline())
        child.kill()
        # What it still said before it died is what it had saved.
        saved = max([saved, *map(int, child.stdout.read().split())])
        child.stdout.close()
        child.wait()
        if not path.exists():
            assert saved == -1
            continue
        state = read_review(path)
        assert int(state.title) in (saved, saved + 1)
        assert len(state.notes) == 200
        assert {note.text.rstrip("x") for note in state.notes} == {state.title}
        saved = int(state.title)
    assert saved > 13


DIE_HALF_WAY = """
import os, signal, sys
from pathlib import Path
from app.review.file import store
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.helpers.reviews import write_review
real = store.apply
def write_and_die(connection, *changes):
    connection.execute("PRAGMA cache_size = 1")  # so that rows reach the file before the end
    real(connection, *changes)
    os.kill(os.getpid(), signal.SIGKILL)
store.apply = write_and_die
notes = tuple(Note(str(i), float(i), "new" * 400) for i in range(300))
write_review(Path(sys.argv[1]), ReviewState(title="new", notes=notes))
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no kill -9")
def test_a_saving_half_written_to_disk_is_taken_back(path: Path) -> None:
    old = replace(FULL, notes=tuple(Note(str(i), float(i), "old" * 400) for i in range(300)))
    write_review(path, old)
    before = path.read_bytes()
    child = run_child(DIE_HALF_WAY, path)
    child.communicate()
    assert child.returncode == -signal.SIGKILL
    assert path.read_bytes() != before, "the new rows had reached the file"
    assert read_review(path) == old
    write_review(path, ReviewState(title="goes on"))
    assert read_review(path).title == "goes on"


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no kill -9")
def test_a_new_file_half_written_does_not_take_the_name(path: Path) -> None:
    child = run_child(DIE_HALF_WAY, path)
    child.communicate()
    assert child.returncode == -signal.SIGKILL
    assert not path.exists()
    write_review(path, FULL)
    assert read_review(path) == FULL


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("needs root, to make a small disk")
    folder = tmp_path / "disk"
    folder.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=600k", "tmpfs", folder], capture_output=True
    )
    if made.returncode != 0:
        pytest.skip("needs root with the right to mount a small disk")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


def test_a_full_disk_keeps_the_last_state(small_disk: Path) -> None:
    path = small_disk / "a.review"
    write_review(path, FULL)
    big = replace(FULL, notes=tuple(Note(str(i), float(i), "x" * 2000) for i in range(200)))
    with pytest.raises(ReviewError, match=r"a\.review could not be saved.*disk is full"):
        write_review(path, big)
    assert read_review(path) == FULL
    with pytest.raises(ReviewError, match=r"disk is full"):
        write_review(small_disk / "b.review", big)
    assert [p.name for p in small_disk.iterdir()] == ["a.review"]


READ_ONLY = """
import os, sys
from pathlib import Path
from app.review.values.errors import ChangedElsewhere, ReviewError
from app.review.parts.state import ReviewState
from app.review.file.store import create_file, read_file, read_review, save
from tests.helpers.reviews import write_review
if os.geteuid() == 0:
    os.setuid(65534)
path = Path(sys.argv[1])
print(read_review(path).title)
for place in (path, path.with_name("new.review")):
    try:
        write_review(place, ReviewState())
        print("written")
    except ReviewError as error:
        print(error)
"""


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="rights of this system differ")
def test_a_protected_folder_can_be_read_and_says_why_not_written() -> None:
    # Not tmp_path: that folder is closed to the other user root has to become for this.
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "a.review"
        write_review(path, FULL)
        path.chmod(0o444)
        folder.chmod(0o555)
        child = run_child(READ_ONLY, path)
        said = child.communicate()[0].splitlines()
        folder.chmod(0o755)
    if child.returncode != 0:
        pytest.skip("needs a user who is not root: this Python runs for root alone")
    assert said[0] == "Steady piece"
    assert "protected from writing" in said[1]
    assert "permission denied" in said[2] and len(said) == 3
