"""What comes back of damaged reviews, and that reading them is bounded and harmless."""

from __future__ import annotations

import random
import sqlite3
import struct
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review.file import schema
from app.review.file.pages import PageFile, varint
from app.review.file.salvage import Salvaged, salvage_rows
from app.review.values.errors import ReviewError
from tests.helpers import crafted_reviews as crafted
from tests.helpers.damaged_reviews import DAMAGES, PAGE, genuine_review

DEFINITIONS = schema.statements(schema.SCHEMA_VERSION)


def columns() -> dict[str, tuple[str, ...]]:
    with closing(sqlite3.connect(":memory:")) as made:
        for text in DEFINITIONS.values():
            made.execute(text)
        return {
            name: tuple(row[1] for row in made.execute(f"PRAGMA table_info({name})"))
            for name in DEFINITIONS
        }


COLUMNS = columns()


def salvaged(path: Path, with_definitions: bool = True) -> Salvaged:
    return salvage_rows(path, COLUMNS, definitions=DEFINITIONS if with_definitions else None)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("whole") / "a.review"
    genuine_review(path, notes=60, sound_s=1.0, events=800)
    return path.read_bytes()


@pytest.fixture
def path(tmp_path: Path, whole: bytes) -> Path:
    path = tmp_path / "piece.review"
    path.write_bytes(whole)
    return path


def told_by_sqlite(path: Path) -> dict[str, list[dict[str, object]]]:
    with closing(sqlite3.connect(path)) as db:
        db.row_factory = sqlite3.Row
        return {
            name: [dict(row) for row in db.execute(f"SELECT * FROM {name} ORDER BY rowid")]
            for name in DEFINITIONS
        }


def page_of(path: Path, table: str) -> int:
    with closing(sqlite3.connect(path)) as db:
        found = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?", (table,))
        return int(found.fetchone()[0])


@pytest.mark.parametrize("with_definitions", [True, False])
@pytest.mark.parametrize("page_size", [512, 4096, 65536])
def test_of_a_whole_file_all_rows_come_back_as_sqlite_reads_them(
    path: Path, page_size: int, with_definitions: bool
) -> None:
    crafted.run(f"PRAGMA page_size = {page_size}", "VACUUM")(path)
    found = salvaged(path, with_definitions)
    assert found.losses == ()
    assert {name: list(rows) for name, rows in found.rows.items()} == told_by_sqlite(path)


def test_texts_of_other_encodings_come_back(path: Path) -> None:
    crafted.made_anew("meta", "key", "key", encoding="'UTF-16be'")(path)
    crafted.run("INSERT INTO meta VALUES ('athlete', 'Zoë 🚣')")(path)
    assert {r["key"]: r["value"] for r in salvaged(path).rows["meta"]} == {
        "title": "Steady piece",
        "athlete": "Zoë 🚣",
    }


# The least share of notes over six damages of a kind; a file cut short may have lost all.
LEAST = {kind: 0.0 if kind == "cut short" else 0.75 for kind in DAMAGES}


@pytest.mark.parametrize("kind", DAMAGES)
def test_most_notes_come_back(path: Path, whole: bytes, kind: str) -> None:
    wanted = {row["id"] for row in told_by_sqlite(path)["note"]}
    for seed in range(6):
        path.write_bytes(DAMAGES[kind](whole, random.Random(seed)))
        found = salvaged(path)
        got = {row["id"] for row in found.rows["note"]}
        assert got <= wanted, "nothing is made up"
        assert len(got) >= LEAST[kind] * len(wanted)
        if got < wanted:
            # Where a page of notes changed places with an empty table's, that one is named.
            assert found.losses and (
                kind == "pages swapped" or any("notes" in loss for loss in found.losses)
            )


def test_a_first_page_of_zeros_costs_no_note(path: Path, whole: bytes) -> None:
    before = told_by_sqlite(path)
    path.write_bytes(bytes(PAGE) + whole[PAGE:])
    found = salvaged(path)
    for table in ("note", "mark", "mark_point", "walkthrough", "walkthrough_score", "asset"):
        assert list(found.rows[table]) == before[table], table
    assert any("list of tables" in loss for loss in found.losses)


def test_a_lost_page_is_counted(path: Path, whole: bytes) -> None:
    before = told_by_sqlite(path)["note"]
    leaf = PageFile(whole).children(page_of(path, "note"))[1][0]
    path.write_bytes(whole[: (leaf - 1) * PAGE] + bytes(PAGE) + whole[leaf * PAGE :])
    found = salvaged(path)
    lost = len(before) - len(found.rows["note"])
    assert lost > 1
    assert found.losses == (f"{lost} of about {len(before)} notes could not be read.",)


def test_a_lost_root_costs_no_row(path: Path, whole: bytes) -> None:
    before = told_by_sqlite(path)["note"]
    root = page_of(path, "note")
    path.write_bytes(whole[: (root - 1) * PAGE] + bytes(PAGE) + whole[root * PAGE :])
    assert list(salvaged(path).rows["note"]) == before


def test_a_lost_head_of_a_page_costs_no_row(path: Path, whole: bytes) -> None:
    before = told_by_sqlite(path)["note"]
    leaf = PageFile(whole).children(page_of(path, "note"))[1][0]
    at = (leaf - 1) * PAGE
    head = 8 + 2 * len(list(PageFile(whole).cells(leaf)))
    path.write_bytes(whole[:at] + bytes(head) + whole[at + head :])
    assert list(salvaged(path).rows["note"]) == before


def test_what_the_coach_deleted_stays_deleted(path: Path) -> None:
    crafted.run("PRAGMA secure_delete = OFF", "DELETE FROM note WHERE video_s > 5")(path)
    assert [row["video_s"] for row in salvaged(path).rows["note"]] == list(range(6))


def test_a_long_note_whose_end_is_lost_is_cut_short(path: Path) -> None:
    text = "".join(f"{i:05d}" for i in range(4000))
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE note SET text = ? WHERE rowid = 8", (text,))
    data = path.read_bytes()
    # From the middle of the text, the pointer to the page after next lies at the page's start.
    page = data.index(text[10_000:10_100].encode()) // PAGE * PAGE
    path.write_bytes(data[:page] + struct.pack(">I", 0) + data[page + 4 :])
    found = salvaged(path)
    cut = str(found.rows["note"][7]["text"])
    assert 10_100 < len(cut) < len(text) and text.startswith(cut)
    assert any("end too early" in loss for loss in found.losses)


def test_the_file_itself_is_left_alone_with_its_journal(path: Path) -> None:
    crafted.beside("-journal", bytes(600))(path)
    before = {p: p.read_bytes() for p in path.parent.iterdir()}
    salvaged(path)
    assert {p: p.read_bytes() for p in path.parent.iterdir()} == before


def test_a_journal_that_names_another_file_does_not_delete_it(path: Path) -> None:
    victim = path.with_name("thesis.txt")
    victim.write_text("years of work")
    journal = crafted.super_journal(str(victim), path.stat().st_size // PAGE)
    crafted.beside("-journal", journal)(path)
    assert len(salvaged(path).rows["note"]) == 60
    assert victim.exists()


@pytest.mark.parametrize("kind", {**crafted.FOREIGN, **crafted.BROKEN, **crafted.HARMLESS})
def test_crafted_files_are_read_within_bounds(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "a.review"
    crafted.genuine(path)
    {**crafted.FOREIGN, **crafted.BROKEN, **crafted.HARMLESS}[kind](path)
    found = salvaged(path)
    held = sum(
        len(v)
        for rows in found.rows.values()
        for r in rows
        for v in r.values()
        if isinstance(v, str)
    )
    assert held <= 2 * path.stat().st_size + 1_000_000


@pytest.mark.parametrize("size", [0, 1, 99, 100, 511])
def test_next_to_nothing_is_said_so(path: Path, whole: bytes, size: int) -> None:
    path.write_bytes(whole[:size])
    found = salvaged(path)
    assert found.losses == ("piece.review is all but empty.",)
    assert set(found.rows) == set(COLUMNS) and not any(found.rows.values())


def test_things_that_are_no_file(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to("loop")
    for place in (tmp_path, tmp_path / "gone", tmp_path / "loop", Path("/dev/zero")):
        with pytest.raises(ReviewError, match=r"\.$"):
            salvaged(place)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=9000), st.integers(0, 3))
def test_any_bytes_are_read_without_a_fault(tail: bytes, kind: int) -> None:
    """Pages of noise whose first byte says they are pages of a table."""
    head = b"SQLite format 3\0" + struct.pack(">HBBBBBB", 512, 1, 1, 0, 64, 32, 32)
    first = (head + bytes(76))[:100] + tail[:412].ljust(412, b"\0")
    pages = [
        bytes([(13, 5, 10, 2)[kind]]) + tail[i + 1 : i + 512] for i in range(0, len(tail), 512)
    ]
    file = PageFile(first + b"".join(pages))
    for number in range(file.count + 2):
        file.children(number)
        cells = list(file.cells(number))
        file.hides_rows(number, cells)
        assert all(c is None or isinstance(c.values, tuple) for c in cells)
        list(file.carved(number, ("TN", "IR"), lambda _: True))
    file.free_pages()


@given(st.integers(-(2**63), 2**63 - 1))
def test_varints_are_read_as_they_are_written(value: int) -> None:
    """Against the writing of the format's description, nine bytes at most."""
    number = value % 2**64
    if number >= 2**56:
        low, rest = number & 0xFF, number >> 8
        data = bytes(((rest >> 7 * i) & 0x7F) | 0x80 for i in range(7, -1, -1)) + bytes([low])
    else:
        parts = [number & 0x7F]
        while number := number >> 7:
            parts.append(number & 0x7F | 0x80)
        data = bytes(reversed(parts))
    assert varint(data + b"\x05", 0) == (value, len(data))
    assert varint(data[:-1], 0) is None
