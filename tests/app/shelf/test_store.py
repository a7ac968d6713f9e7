"""What is kept is there again, whole, also where two windows write and the file is damaged."""

from __future__ import annotations

import contextlib
import sqlite3
import stat
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from app.shelf.errors import ShelfError
from app.shelf.store import Entry, Shelf
from tests.helpers.explained import WAV, whole


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "data" / "shelf.db")


def test_what_is_kept_is_there_again(shelf: Shelf) -> None:
    assert shelf.listed().kept == ()
    assert not shelf.path.exists()  # looking makes nothing
    first, second = whole("one"), replace(whole("two", "late"), voice=None)
    shelf.keep(first, WAV)
    shelf.keep(second)
    again = Shelf(shelf.path)
    assert again.listed().kept == (second, first)
    assert again.listed().of("give-way") == (first,)
    assert again.sound(first.id) == WAV
    with pytest.raises(ShelfError, match="no longer"):
        again.sound(second.id)


@pytest.mark.skipif(sys.platform == "win32", reason="rights are otherwise there")
def test_nobody_else_may_read_it(shelf: Shelf) -> None:
    shelf.keep(whole(), WAV)
    assert stat.S_IMODE(shelf.path.stat().st_mode) == 0o600


def test_it_is_renamed_removed_and_brought_back(shelf: Shelf) -> None:
    kept = whole()
    shelf.keep(kept, WAV)
    shelf.change(replace(kept, title="Heavy hands", codes=("give-way", "late")))
    renamed = shelf.listed().kept[0]
    assert (renamed.title, renamed.codes) == ("Heavy hands", ("give-way", "late"))
    entry = shelf.remove(kept.id)
    assert shelf.listed().kept == () and entry == Entry(renamed, WAV)
    with pytest.raises(ShelfError, match="no longer"):
        shelf.change(kept)
    with pytest.raises(ShelfError, match="no longer"):
        shelf.remove(kept.id)
    shelf.add((entry,))
    assert shelf.listed().kept == (renamed,) and shelf.sound(kept.id) == WAV


def test_two_windows_write_at_once(shelf: Shelf) -> None:
    """Also the first thing each, while neither has the file yet."""
    many = [whole(f"number {n}") for n in range(12)]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda kept: Shelf(shelf.path).keep(kept, WAV), many))
    assert {k.id for k in shelf.listed().kept} == {k.id for k in many}
    assert all(shelf.sound(k.id) == WAV for k in many)


def test_all_or_none_are_kept(shelf: Shelf) -> None:
    good, without_voice = whole(), whole("its voice is missing")
    with pytest.raises(ShelfError, match="do not belong together"):
        shelf.add((Entry(good, WAV), Entry(without_voice)))
    assert shelf.listed().kept == ()


def test_what_could_not_be_read_again_is_not_kept(shelf: Shelf) -> None:
    with pytest.raises(ShelfError, match="shorten"):
        shelf.keep(replace(whole(), words="x" * 20_000), WAV)
    with pytest.raises(ShelfError, match="not as long"):
        kept = whole()
        assert kept.voice is not None
        shelf.keep(replace(kept, voice=replace(kept.voice, length_s=3.0)), WAV)
    assert shelf.listed().kept == ()


def test_an_entry_that_is_damaged_costs_no_other(shelf: Shelf) -> None:
    good, bad = whole("good"), whole("bad")
    for kept in (good, bad):
        shelf.keep(kept, WAV)
    with sqlite3.connect(shelf.path) as db:
        db.execute("UPDATE explanation SET body = '{' WHERE id = ?", (bad.id,))
    db.close()
    found = shelf.listed()
    assert found.kept == (good,) and "1 of your explanations" in found.problems[0]


def test_a_file_that_is_none_is_left_as_it_is(shelf: Shelf) -> None:
    shelf.path.parent.mkdir()
    shelf.path.write_bytes(b"no database" * 400)
    for use in (shelf.listed, lambda: shelf.keep(whole(), WAV)):
        with pytest.raises(ShelfError, match="damaged"):
            use()
    assert shelf.path.read_bytes() == b"no database" * 400


def test_a_letter_that_is_none_costs_no_other(shelf: Shelf) -> None:
    good, bad = whole("good"), whole("bad")
    for kept in (good, bad):
        shelf.keep(kept, WAV)
    with sqlite3.connect(shelf.path) as db:
        db.execute("UPDATE explanation SET body = cast(x'ff' AS TEXT) WHERE id = ?", (bad.id,))
    db.close()
    assert shelf.listed().kept == (good,)


@pytest.mark.parametrize("version", [0, 1, -3, 9])
def test_the_database_of_another_program_is_left_as_it_is(shelf: Shelf, version: int) -> None:
    shelf.path.parent.mkdir()
    with sqlite3.connect(shelf.path) as db:
        db.execute("CREATE TABLE photo (day TEXT)")
        db.execute(f"PRAGMA user_version = {version}")
    db.close()
    before = shelf.path.read_bytes()
    for use in (shelf.listed, lambda: shelf.keep(whole(), WAV)):
        with pytest.raises(ShelfError, match="no shelf of explanations"):
            use()
    assert shelf.path.read_bytes() == before


def test_nothing_in_it_acts_on_what_is_kept(shelf: Shelf) -> None:
    shelf.keep(whole(), WAV)
    with sqlite3.connect(shelf.path) as db:
        db.execute(
            "CREATE TRIGGER t AFTER INSERT ON explanation BEGIN DELETE FROM explanation; END"
        )
    db.close()
    with pytest.raises(ShelfError, match="no shelf of explanations"):
        shelf.keep(whole(), WAV)


def test_whatever_byte_is_damaged_is_a_sentence(shelf: Shelf) -> None:
    """What SQLite says of a damaged list of tables holds the bytes of the damage."""
    shelf.keep(whole(), WAV)
    good = shelf.path.read_bytes()
    at = good.index(b"CREATE TABLE explanation")
    for offset in range(-30, 30):
        shelf.path.write_bytes(good[: at + offset] + b"\xba" + good[at + offset + 1 :])
        with contextlib.suppress(ShelfError):
            shelf.listed()


def test_a_newer_one_is_left_as_it_is(shelf: Shelf) -> None:
    shelf.keep(whole(), WAV)
    with sqlite3.connect(shelf.path) as db:
        db.execute("PRAGMA user_version = 9")
    db.close()
    before = shelf.path.read_bytes()
    with pytest.raises(ShelfError, match="newer"):
        shelf.keep(whole(), WAV)
    assert shelf.path.read_bytes() == before


def test_a_full_shelf_says_so(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.shelf.store.MOST_KEPT", 2)
    for _ in range(2):
        shelf.keep(whole(), WAV)
    with pytest.raises(ShelfError, match="no room"):
        shelf.keep(whole(), WAV)
    assert len(shelf.listed().kept) == 2
