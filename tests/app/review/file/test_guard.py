"""Files from strangers: refused in one sentence or opened, in bounded time and memory."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

import pytest

from app.review.file import guard, schema
from app.review.file.contents import Budget, check_schema, quick_check, read_table
from app.review.file.guard import connect, uri_of
from app.review.values.errors import ReviewError
from tests.helpers import crafted_reviews as crafted

ROOT = Path(__file__).parents[4]
TABLES = schema.statements(schema.SCHEMA_VERSION)

# One child looks at every file: what hangs it or fills its memory kills it, and the test fails.
DOOR = """
import json, resource, signal, sys, sqlite3
from pathlib import Path
from app.review.values.errors import ReviewError
from app.review.file import schema
from app.review.file.contents import Budget, check_schema, quick_check, read_table
from app.review.file.guard import connect

resource.setrlimit(resource.RLIMIT_AS, (700_000_000, 700_000_000))
tables = schema.statements(schema.SCHEMA_VERSION)
made = sqlite3.connect(":memory:")
for text in tables.values():
    made.execute(text)
columns = {n: [r[1] for r in made.execute(f"PRAGMA table_info({n})")] for n in tables}
for line in sys.stdin:
    path = Path(json.loads(line))
    signal.setitimer(signal.ITIMER_PROF, 25)  # of work, however busy the machine is
    try:
        with connect(path) as connection:
            check_schema(connection, tables, path.name)
            quick_check(connection)
            budget = Budget()
            rows = {
                n: sum(1 for _ in read_table(connection, n, columns[n], budget=budget))
                for n in ("meta", "note")
            }
        said = {"rows": rows}
    except ReviewError as error:
        said = {"refused": str(error)}
    signal.setitimer(signal.ITIMER_PROF, 0)
    print(json.dumps(said), flush=True)
"""


@pytest.fixture(scope="module")
def door() -> Iterator[Callable[[Path], dict[str, Any]]]:
    pytest.importorskip("resource", reason="this system has no limits for a process")
    child = subprocess.Popen(
        [sys.executable, "-c", DOOR],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert child.stdin is not None and child.stdout is not None
    asks, answers = child.stdin, child.stdout

    def ask(path: Path) -> dict[str, Any]:
        asks.write(json.dumps(str(path)) + "\n")
        asks.flush()
        said = answers.readline()
        assert said, f"it did not live through {path.name!r}"
        answer: dict[str, Any] = json.loads(said)
        return answer

    yield ask
    asks.close()
    child.wait()
    answers.close()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "piece.review"
    crafted.genuine(path)
    return path


def is_one_sentence(text: str) -> bool:
    return text.isprintable() and text.endswith(".") and len(text) < 400


@pytest.mark.parametrize("kind", crafted.FOREIGN)
def test_what_no_review_holds_is_refused(path: Path, door, kind: str) -> None:
    crafted.FOREIGN[kind](path)
    before = path.read_bytes()
    said = door(path)
    assert is_one_sentence(said["refused"])
    assert any(word in said["refused"] for word in ("no review has", "more tables", "damaged"))
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]


@pytest.mark.parametrize("kind", crafted.BROKEN)
def test_what_is_broken_is_refused(path: Path, door, kind: str) -> None:
    crafted.BROKEN[kind](path)
    before = path.read_bytes()
    said = door(path)
    assert is_one_sentence(said["refused"])
    assert "recover" in said["refused"]
    assert path.read_bytes() == before


@pytest.mark.parametrize("kind", crafted.UNOPENED)
def test_what_is_no_review_is_not_looked_into(path: Path, door, kind: str) -> None:
    crafted.UNOPENED[kind](path)
    before, there = path.read_bytes(), sorted(path.parent.iterdir())
    assert is_one_sentence(door(path)["refused"])
    assert path.read_bytes() == before
    assert sorted(path.parent.iterdir()) == there


@pytest.mark.parametrize("kind", crafted.HARMLESS)
def test_what_is_odd_but_harmless_is_opened(path: Path, door, kind: str) -> None:
    crafted.HARMLESS[kind](path)
    rows = door(path).get("rows", {})
    assert rows.get("meta", 0) >= 1


@pytest.mark.parametrize("kind", crafted.ODD_ROWS)
def test_odd_rows_come_through_as_they_are(path: Path, door, kind: str) -> None:
    crafted.run(crafted.ODD_ROWS[kind])(path)
    assert door(path)["rows"]["note"] == 30


@pytest.mark.parametrize("kind", crafted.BOMBS)
def test_more_than_a_review_holds_costs_a_sentence(path: Path, door, kind: str) -> None:
    crafted.run(crafted.BOMBS[kind])(path)
    said = door(path)
    assert "holds more than any review does" in said["refused"]


def test_a_journal_that_names_another_file_does_not_delete_it(path: Path, door) -> None:
    victim = path.with_name("thesis.txt")
    victim.write_text("years of work")
    pages = path.stat().st_size // 4096
    crafted.beside("-journal", crafted.super_journal(str(victim), pages))(path)
    assert "journal" in door(path)["refused"]
    assert victim.read_text() == "years of work"


def test_the_crafted_journal_would_have_deleted_it(path: Path) -> None:
    """What the refusal above is for: SQLite by itself does it."""
    victim = path.with_name("thesis.txt")
    victim.write_text("years of work")
    pages = path.stat().st_size // 4096
    crafted.beside("-journal", crafted.super_journal(str(victim), pages))(path)
    with closing(sqlite3.connect(path)) as db:
        db.execute("SELECT count(*) FROM meta").fetchone()
    assert not victim.exists()


def test_things_that_are_no_file(tmp_path: Path, door) -> None:
    (tmp_path / "folder.review").mkdir()
    assert "is a folder" in door(tmp_path / "folder.review")["refused"]
    os.mkfifo(tmp_path / "pipe.review")
    assert "a pipe" in door(tmp_path / "pipe.review")["refused"]
    assert "device" in door(Path("/dev/zero"))["refused"]
    (tmp_path / "loop.review").symlink_to("loop.review")
    assert "cannot be reached" in door(tmp_path / "loop.review")["refused"]
    (tmp_path / "dangling.review").symlink_to("gone.review")
    assert "There is no file" in door(tmp_path / "dangling.review")["refused"]
    assert "There is no file" in door(tmp_path / "gone.review")["refused"]
    (tmp_path / "zero.review").symlink_to("/dev/zero")
    assert "device" in door(tmp_path / "zero.review")["refused"]
    assert "cannot be reached" in door(Path("nul\0.review"))["refused"]


def test_a_link_to_a_review_is_followed_with_its_journal(path: Path, tmp_path: Path, door) -> None:
    link = tmp_path / "link.review"
    link.symlink_to(path)
    assert door(link)["rows"]["note"] == 30
    crafted.beside("-wal", b"")(path)
    assert "-wal" in door(link)["refused"]


def test_a_name_cannot_speak_to_the_terminal(path: Path, door) -> None:
    bad = path.with_name("a\n\x1b[2J\u202e?#%41 ü.review")
    path.rename(bad)
    assert door(bad)["rows"]["note"] == 30
    crafted.run("CREATE VIEW v AS SELECT 1")(bad)
    assert is_one_sentence(door(bad)["refused"])


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        (PurePosixPath("/a b/c?d#e%f.review"), "file:///a%20b/c%3Fd%23e%25f.review?mode=rw"),
        (PurePosixPath("/Zoë"), "file:///Zo%C3%AB?mode=rw"),
        (PurePosixPath("/bad\udcff"), "file:///bad%FF?mode=rw"),
        (
            PureWindowsPath(r"C:\Users\Zoë\a b.review"),
            "file:///C:/Users/Zo%C3%AB/a%20b.review?mode=rw",
        ),
        (
            PureWindowsPath(r"\\server\share\a#1.review"),
            "file:////server/share/a%231.review?mode=rw",
        ),
        (PureWindowsPath("//server/share/a.review"), "file:////server/share/a.review?mode=rw"),
        (PureWindowsPath(r"\\?\C:\a.review"), "file:///C:/a.review?mode=rw"),
        (
            PureWindowsPath(r"\\?\UNC\server\share\a.review"),
            "file:////server/share/a.review?mode=rw",
        ),
    ],
)
def test_addresses_sqlite_understands(path, uri: str) -> None:
    assert uri_of(path, "mode=rw") == uri


def test_cancelled_is_said_so(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "_STEP_OPS", 1)
    with (
        pytest.raises(ReviewError, match=r"Opening piece\.review was cancelled\."),
        connect(path, cancelled=lambda: True),
    ):
        pass
    stop = False
    with (
        pytest.raises(ReviewError, match="was cancelled"),
        connect(path, cancelled=lambda: stop) as connection,
    ):
        assert connection.execute("SELECT count(*) FROM note").fetchone() == (30,)
        stop = True
        connection.execute("SELECT count(*) FROM note").fetchone()


def test_what_never_ends_is_ended(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "_MOST_STEPS", 100)
    with pytest.raises(ReviewError, match="would not end"), connect(path) as connection:
        connection.execute(f"{crafted.ENDLESS} SELECT max(i) FROM n").fetchone()


@pytest.mark.usefixtures("durable")
def test_the_connection_is_bounded(path: Path) -> None:
    with connect(path, write=True) as connection:
        said = {
            name: connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("trusted_schema", "cell_size_check", "secure_delete", "synchronous")
        }
        assert said == {
            "trusted_schema": 0,
            "cell_size_check": 1,
            "secure_delete": 1,
            "synchronous": 3,
        }
        assert connection.isolation_level is None
        with pytest.raises(sqlite3.OperationalError, match="too many attached"):
            connection.execute("ATTACH ':memory:' AS other")
        connection.execute("UPDATE note SET text = 'new'")
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT DISTINCT text FROM note").fetchall() == [("new",)]


def test_the_budget_is_shared_over_the_tables(path: Path) -> None:
    budget = Budget(rows_left=31)
    with connect(path) as connection:
        assert len(list(read_table(connection, "note", ("id", "text"), budget=budget))) == 30
        with pytest.raises(ReviewError, match="holds more"):
            list(read_table(connection, "meta", ("key",), budget=budget))
        # Between rows the connection has its own limits again.
        for _ in read_table(connection, "note", ("id",), budget=Budget(longest=100)):
            assert connection.execute("SELECT length(text) FROM note").fetchone()[0] > 100


def test_text_in_no_encoding_is_damage(path: Path) -> None:
    crafted.run("UPDATE note SET text = CAST(x'ff41' AS TEXT)")(path)
    with connect(path) as connection:
        quick_check(connection)
        with pytest.raises(ReviewError, match="damaged"):
            list(read_table(connection, "note", ("text",), budget=Budget()))


def test_a_column_that_is_not_there_is_damage(path: Path) -> None:
    with connect(path) as connection:
        check_schema(connection, TABLES, path.name)
    crafted.patched((0, b"SQLite format 3\0"))(path)
    crafted.run("ALTER TABLE note DROP COLUMN text")(path)
    with connect(path) as connection, pytest.raises(ReviewError, match="made otherwise"):
        check_schema(connection, TABLES, path.name)


def test_looking_does_not_drop_another_connections_lock(path: Path) -> None:
    """Closing any handle of a file drops a program's POSIX locks on it, unless SQLite does it."""
    ask = (
        "import sqlite3, sys; db = sqlite3.connect(sys.argv[1], timeout=0);"
        "db.execute('BEGIN IMMEDIATE')"
    )
    with closing(sqlite3.connect(path, isolation_level=None)) as writer:
        writer.execute("BEGIN IMMEDIATE")
        with connect(path) as connection:
            assert connection.execute("SELECT count(*) FROM note").fetchone() == (30,)
        other = subprocess.run([sys.executable, "-c", ask, path], capture_output=True, text=True)
        assert "database is locked" in other.stderr


def test_a_half_finished_saving_is_rolled_back(path: Path) -> None:
    die = (
        "import os, signal, sqlite3, sys; db = sqlite3.connect(sys.argv[1], isolation_level=None);"
        "db.execute('PRAGMA cache_size = 1'); db.execute('BEGIN');"
        "db.execute(\"UPDATE note SET text = text || 'new'\");"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    child = subprocess.run([sys.executable, "-c", die, path])
    assert child.returncode == -signal.SIGKILL
    journal = path.with_name(path.name + "-journal")
    assert journal.stat().st_size > 0
    with connect(path) as connection:
        texts = [r["text"] for r in read_table(connection, "note", ("text",), budget=Budget())]
    assert texts and not any(str(text).endswith("new") for text in texts)
    assert not journal.exists()


@pytest.mark.parametrize("failing", ["rw", "rw and ro"])
def test_where_nothing_can_be_written_it_is_read_all_the_same(
    path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    real = sqlite3.connect

    def refuse(address: str, **more: Any) -> sqlite3.Connection:
        modes = ["mode=rw"] if failing == "rw" else ["mode=rw", "mode=ro"]
        if any(address.endswith(mode) for mode in modes):
            return real("file:///nowhere/at/all?mode=ro", **more)
        return real(address, **more)

    monkeypatch.setattr(guard.sqlite3, "connect", refuse)
    monkeypatch.setattr(guard.os, "access", lambda *_: False)
    with connect(path) as connection:
        assert connection.execute("SELECT count(*) FROM note").fetchone() == (30,)
    with pytest.raises(ReviewError, match="protected"), connect(path, write=True):
        pass
    path.with_name(path.name + "-journal").write_bytes(b"")
    if failing == "rw and ro":
        with pytest.raises(ReviewError, match="protected"), connect(path):
            pass


def test_a_journal_that_goes_while_it_is_looked_at_is_nobodys_harm(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another process ends its saving between two looks at its journal."""
    journal = path.with_name(path.name + "-journal")
    journal.write_bytes(b"x" * 600)
    seen = os.path.lexists

    def ended(name: str | Path) -> bool:
        there = seen(name)
        if Path(name) == journal.resolve():
            journal.unlink(missing_ok=True)
        return there

    monkeypatch.setattr("os.path.lexists", ended)
    with connect(path) as connection:
        assert connection.execute("PRAGMA application_id").fetchone()[0]
    assert not journal.exists()
