"""What a saving writes is what differs, and rows and states tell the same."""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings

from app.review.file.delta import all_rows, asset_ids, delta, from_text, kept_apart, to_text
from app.review.file.schema import PART_TABLES, TABLE_OF
from app.review.file.store import create_file, read_file, save
from app.review.parts.notes import Note
from app.review.parts.state import PARTS, ReviewState, read_state
from tests.helpers.states import states

Tables = dict[str, set[tuple[object, ...]]]


def tables_of(path: Path) -> Tables:
    """All rows of a file as SQLite itself reads them, without what every saving makes anew."""
    with closing(sqlite3.connect(path)) as db:
        names = [n for (n,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        rows: Tables = {n: set(db.execute(f"SELECT * FROM {n}")) for n in names}
    rows["meta"] = {row for row in rows["meta"] if "revision" not in str(row[0])}
    del rows["asset"], rows["undo"]
    return rows


@settings(max_examples=12, deadline=None)
@given(states, states)
def test_a_file_brought_up_holds_what_a_file_made_anew_holds(
    first: ReviewState, second: ReviewState
) -> None:
    first, second = (replace(s, review_id="a" * 32) for s in (first, second))
    with tempfile.TemporaryDirectory() as folder:
        path, fresh = Path(folder, "a.review"), Path(folder, "b.review")
        stamp = create_file(path, first)
        path, stamp = save(path, stamp, first, second, {})
        create_file(fresh, second)
        assert tables_of(path) == tables_of(fresh)
        path, _stamp = save(path, stamp, second, first, {})
        create_file(fresh, first)
        assert tables_of(path) == tables_of(fresh)
        assert read_file(path).state == first


@settings(max_examples=25, deadline=None)
@given(states)
def test_every_part_is_made_of_its_own_rows_again(state: ReviewState) -> None:
    rows, assets = all_rows(state)
    named = {
        name: [dict(zip(TABLE_OF[name].columns, row, strict=True)) for row in reversed(many)]
        for name, many in rows.items()
    }
    again, lost = read_state(named, assets.__getitem__)
    assert lost == ()
    for part in PARTS:
        for name in part.names:
            assert getattr(again, name) == getattr(state, name), name
    assert asset_ids(state) == assets.keys() | kept_apart(state)


@settings(max_examples=12, deadline=None)
@given(states, states)
def test_changes_survive_being_text(first: ReviewState, second: ReviewState) -> None:
    rows = delta(first, second).rows
    assert from_text(to_text(rows)) == rows
    assert not delta(first, first)


def test_a_letter_in_one_of_500_notes_is_one_row() -> None:
    notes = tuple(Note(f"{i:032x}", i / 2, "Hands first") for i in range(500))
    before = ReviewState(notes=notes)
    changed = replace(notes[250], text="Hands first!")
    after = replace(before, notes=(*notes[:250], changed, *notes[251:]))
    (row,) = delta(before, after).rows
    assert (row.table.name, row.before and row.before[0]) == ("note", changed.id)
    added = replace(before, notes=(*notes[:250], Note("new", 125.25), *notes[250:]))
    assert len(delta(before, added).rows) == 1, "a new note moves no other"
    assert len(delta(added, before).rows) == 1


def test_every_table_belongs_to_one_part_and_has_words_for_a_coach() -> None:
    names = [table.name for table in PART_TABLES]
    assert len(set(names)) == len(names)
    for table in PART_TABLES:
        assert set(table.key) <= set(table.columns)
        assert table.asset in ("", *table.columns)
        assert table.name == "meta" or all(table.words)
