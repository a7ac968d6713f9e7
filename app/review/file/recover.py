"""A damaged review becomes a new one that holds what could be read, and a list of what is lost."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from app.review.file import schema
from app.review.file.delta import all_rows, kept_apart
from app.review.file.older.rows import BULKY, todays
from app.review.file.salvage import salvage_rows
from app.review.file.schema import ASSET, TABLE_OF, UNDO
from app.review.file.store import create_file
from app.review.file.writing import digest
from app.review.parts.about import new_review_id
from app.review.parts.state import PARTS, ReviewState, read_state
from app.review.recordings import rebase
from app.review.recordings.fingerprint import open_regular
from app.review.values.errors import ReviewError
from app.review.values.text import plain

_VERSION_AT = 60  # where SQLite's header keeps user_version, four bytes


@dataclass(frozen=True)
class Recovered:
    """What became of a damaged review.

    Attributes
    ----------
    saved : what the new review holds, such as "12 notes"
    lost : a sentence for each kind of thing that could not be read
    """

    state: ReviewState
    saved: tuple[str, ...]
    lost: tuple[str, ...]


def recover(path: Path, target: Path) -> Recovered:
    """Write what can be read of a review into a new one; the damaged file is left as it is.

    Raises
    ------
    ReviewError
        Nothing of a review can be read, the new file exists already, or it cannot be written.
    """
    if target.exists():
        raise ReviewError(f"{plain(target.name)} exists already; choose another name.")
    rows, assets, lost = _best_salvaged(path)
    state, unread = read_state(rows, lambda asset_id: _asset(assets, asset_id), lenient=True)
    state, refused = _usable(state)
    state, silent = _without_gone_sounds(state, assets)
    lost = (*lost, *(f"{sentence[0].upper()}{sentence[1:]}." for sentence in (*unread, *refused)))
    if silent:
        lost = (*lost, f"The sound of {silent} note(s) or walkthrough(s) could not be read.")
    saved = _counted(state)
    if not saved and not state.title:
        raise ReviewError(f"Nothing of a review could be read from {plain(path.name)}.")
    state = replace(rebase(state, path, target), review_id=state.review_id or new_review_id())
    create_file(target, state, {i: assets[i] for i in kept_apart(state) if i in assets})
    return Recovered(state, saved, lost)


_Salvaged = tuple[dict[str, list[Any]], dict[str, bytes], tuple[str, ...]]


def _best_salvaged(path: Path) -> _Salvaged:
    """As the version the header tells; where nothing comes of that, as each in turn."""
    told = _version(path)
    tried = [told] if schema.statements(told) else []
    found = [_salvaged(path, version) for version in tried]
    if not any(map(_worth, found)):
        others = [v for v in range(schema.SCHEMA_VERSION, 0, -1) if v not in tried]
        found += [_salvaged(path, version) for version in others]
    return max(found, key=_worth)


def _worth(found: _Salvaged) -> int:
    """How many things of a coach came back."""
    return sum(len(many) for name, many in found[0].items() if _is_of_a_coach(name))


def _is_of_a_coach(table: str) -> bool:
    return table in TABLE_OF and bool(TABLE_OF[table].words[0]) and TABLE_OF[table].counted


def _salvaged(path: Path, version: int) -> _Salvaged:
    """Rows and bulky things of a file, read as one version, as today's."""
    statements = schema.statements(version)
    earlier = schema.EARLIER if version == schema.SCHEMA_VERSION else {}
    columns = _columns(statements)
    found = salvage_rows(path, columns, definitions=statements, earlier=earlier)
    rows: dict[str, list[Any]] = {name: list(many) for name, many in found.rows.items()}
    rows.pop(UNDO.name, None)
    lost = list(found.losses)
    assets: dict[str, bytes] = {}
    changed = 0
    for row in rows.pop(ASSET.name, []):
        if isinstance(row["data"], bytes):
            assets[str(row["id"])] = row["data"]
            changed += digest(row["data"]) != row["sha256"]
    for table, column in BULKY.items():
        for row in rows.pop(table, []):
            if isinstance(row[column], bytes):
                assets[str(row["id"])] = row[column]
    if changed:
        lost.append(f"{changed} recording(s) or track(s) came back, but not as they were written.")
    rows, made = todays(rows, version)
    assets |= made
    return rows, assets, tuple(lost)


def _version(path: Path) -> int:
    """The version the header tells; 0 where it tells none."""
    try:
        with open_regular(path) as file:  # a pipe would be waited for without end
            file.seek(_VERSION_AT)
            return int.from_bytes(file.read(4), "big")
    except (ReviewError, OSError):
        return 0


def _columns(statements: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    connection = sqlite3.connect(":memory:")
    try:
        for statement in statements.values():
            connection.execute(statement)
        return {
            name: tuple(str(row[1]) for row in connection.execute(f"PRAGMA table_info({name})"))
            for name in statements
        }
    finally:
        connection.close()


def _asset(assets: Mapping[str, bytes], asset_id: str) -> bytes:
    if asset_id not in assets:
        raise ReviewError("something it refers to is gone")
    return assets[asset_id]


def _usable(state: ReviewState) -> tuple[ReviewState, tuple[str, ...]]:
    """Each part as it is where it can be used, empty where it cannot."""
    refused = []
    for part in PARTS:
        try:
            part.check(state)
        except ReviewError as error:
            empty = {name: getattr(ReviewState(), name) for name in part.names}
            state = replace(state, **empty)
            refused.append(f"the {part.tables[0].words[1]} do not fit together ({error})")
    return state, tuple(refused)


def _without_gone_sounds(
    state: ReviewState, assets: Mapping[str, bytes]
) -> tuple[ReviewState, int]:
    """The words of a note are worth keeping without its voice, and so is a walkthrough."""
    notes = tuple(
        replace(n, voice=None) if n.voice is not None and n.voice.id not in assets else n
        for n in state.notes
    )
    walks = tuple(
        replace(w, sound_id="") if w.sound_id and w.sound_id not in assets else w
        for w in state.walkthroughs
    )
    gone = sum(a is not b for a, b in zip(notes, state.notes, strict=True))
    gone += sum(a is not b for a, b in zip(walks, state.walkthroughs, strict=True))
    logo = state.sending.logo_id
    if logo and logo not in assets:
        state = replace(state, sending=replace(state.sending, logo_id=""))
    return replace(state, notes=notes, walkthroughs=walks), gone


def _counted(state: ReviewState) -> tuple[str, ...]:
    """How many of each thing a review holds, without what every review has."""
    usual = {name: len(many) for name, many in all_rows(ReviewState())[0].items()}
    said = []
    for name, many in all_rows(state)[0].items():
        one, several = TABLE_OF[name].words
        if _is_of_a_coach(name) and len(many) > usual.get(name, 0):
            said.append(f"{len(many)} {one if len(many) == 1 else several}")
    return tuple(said)
