"""A file of explanations is the same on another shelf; one made to do harm is one sentence."""

from __future__ import annotations

import copy
import json
import stat
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.shelf import exchange
from app.shelf.errors import ShelfError
from app.shelf.exchange import FORMAT_KEY, LIST_NAME, Imported, export_shelf, import_shelf
from app.shelf.explanation import Explanation
from app.shelf.record import as_record, from_record
from app.shelf.store import Shelf
from tests.helpers.explained import WAV, whole

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=12,
)
KEPT = whole()


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    made = Shelf(tmp_path / "mine.db")
    made.keep(KEPT, WAV)
    made.keep(whole("second"), WAV)
    return made


@pytest.fixture
def other(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "theirs.db")


def packed(path: Path, *members: tuple[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(path, "w", how) as archive:
        for name, data in members:
            archive.writestr(name, data)
    return path


def listing(*kept: Explanation, **more: Any) -> tuple[str, bytes]:
    said = {FORMAT_KEY: 1, "explanations": [as_record(k) for k in kept], **more}
    return LIST_NAME, json.dumps(said).encode()


def refused(shelf: Shelf, path: Path, match: str) -> None:
    with pytest.raises(ShelfError, match=match) as said:
        import_shelf(shelf, path)
    assert str(said.value).count("\n") == 0 and path.name in str(said.value)
    assert shelf.listed().kept == ()


def test_all_of_it_comes_to_another_shelf(shelf: Shelf, other: Shelf, tmp_path: Path) -> None:
    out = tmp_path / "mine.explanations.zip"
    assert export_shelf(shelf, out) == 2
    assert import_shelf(other, out) == Imported(2, 0)
    assert set(other.listed().kept) == set(shelf.listed().kept)
    assert other.sound(KEPT.id) == WAV
    assert import_shelf(other, out) == Imported(0, 2)  # twice is not two


def test_another_one_of_the_same_id_gets_its_own(
    shelf: Shelf, other: Shelf, tmp_path: Path
) -> None:
    out = tmp_path / "one.zip"
    assert export_shelf(shelf, out, {KEPT.id}) == 1
    import_shelf(other, out)

    other.change(replace(KEPT, title="in my words"))
    assert import_shelf(other, out) == Imported(1, 0)
    titles = [k.title for k in other.listed().kept]
    assert sorted(titles) == ["The hands give way", "in my words"]
    assert len({k.id for k in other.listed().kept}) == 2


def test_no_time_and_no_path_is_written(shelf: Shelf, tmp_path: Path) -> None:
    out = tmp_path / "mine.zip"
    export_shelf(shelf, out)
    with zipfile.ZipFile(out) as archive:
        assert {m.date_time for m in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert str(tmp_path).encode() not in out.read_bytes()


def test_an_empty_shelf_writes_nothing(other: Shelf, tmp_path: Path) -> None:
    with pytest.raises(ShelfError, match="keep one first"):
        export_shelf(other, tmp_path / "out.zip")
    assert not (tmp_path / "out.zip").exists()


VOICE = (f"voices/{KEPT.id}.wav", WAV)
HARMFUL: dict[str, tuple[tuple[tuple[str, bytes], ...], str]] = {
    "climbs": ((listing(KEPT), VOICE, ("../x.wav", b"x")), "belongs to no explanation"),
    "absolute": ((listing(KEPT), VOICE, ("/etc/x", b"x")), "belongs to no explanation"),
    "folder": ((listing(KEPT), VOICE, ("voices/", b"")), "a link or a folder"),
    "no-list": ((VOICE,), "holds no explanations"),
    "no-voice": ((listing(KEPT),), "do not belong together"),
    "lost-voice": ((listing(KEPT), VOICE, (f"voices/{'a' * 32}.wav", WAV)), "do not belong"),
    "no-wav": ((listing(KEPT), (VOICE[0], b"RIFF but no more")), "cannot be read"),
    "other-length": ((listing(KEPT), (VOICE[0], WAV[:-20_000])), "cannot be read|not as long"),
    "newer": (((LIST_NAME, b'{"strokeside_explanations": 2}'),), "does not know"),
    "no-number": (((LIST_NAME, b'{"strokeside_explanations": true}'),), "does not know"),
    "no-json": (((LIST_NAME, b"{"),), "damaged, locked"),
    "deep": (((LIST_NAME, b"[" * 100_000),), "damaged, locked"),
    "doubled-id": ((listing(KEPT, KEPT), VOICE), "share one id"),
    "empty": ((listing(),), "no explanations, or more"),
}


@pytest.mark.parametrize("name", HARMFUL)
def test_what_is_made_to_do_harm_is_one_sentence(name: str, other: Shelf, tmp_path: Path) -> None:
    members, match = HARMFUL[name]
    refused(other, packed(tmp_path / "from a stranger.zip", *members), match)
    assert {p.name for p in tmp_path.iterdir()} <= {"from a stranger.zip", "theirs.db"}


def test_names_twice_links_and_passwords(other: Shelf, tmp_path: Path) -> None:
    with pytest.warns(UserWarning, match="Duplicate"):
        twice = packed(tmp_path / "twice.zip", listing(KEPT), VOICE, VOICE)
    refused(other, twice, "same voice twice")
    link = zipfile.ZipInfo(VOICE[0])
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(tmp_path / "link.zip", "w") as archive:
        archive.writestr(*listing(KEPT))
        archive.writestr(link, "/etc/passwd")
    refused(other, tmp_path / "link.zip", "a link")
    locked = packed(tmp_path / "locked.zip", listing(KEPT), VOICE, how=zipfile.ZIP_STORED)
    data = bytearray(locked.read_bytes())
    for at in range(len(data) - 4):  # the flag of a password, in both lists
        if data[at : at + 4] in (b"PK\x03\x04", b"PK\x01\x02"):
            data[at + (6 if data[at + 2] == 3 else 8)] |= 1
    locked.write_bytes(data)
    refused(other, locked, "locked")


def test_what_is_packed_to_swell_is_stopped(
    other: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exchange, "_MOST_VOICE_BYTES", 1_000_000)
    bomb = packed(tmp_path / "bomb.zip", listing(KEPT), (VOICE[0], bytes(50_000_000)))
    assert bomb.stat().st_size < 100_000
    refused(other, bomb, "swells")
    other_way = packed(tmp_path / "lzma.zip", listing(KEPT), VOICE, how=zipfile.ZIP_LZMA)
    refused(other, other_way, "damaged, locked")


def test_a_list_that_fills_the_memory_is_not_read(other: Shelf, tmp_path: Path) -> None:
    many = packed(tmp_path / "many.zip", *((f"{n}", b"") for n in range(2_000)))
    refused(other, many, "lists more")


def test_only_a_plain_file_is_read(other: Shelf, shelf: Shelf, tmp_path: Path) -> None:
    refused(other, tmp_path, "no plain file")
    export_shelf(shelf, tmp_path / "real.zip")
    (tmp_path / "to.zip").symlink_to(tmp_path / "real.zip")
    refused(other, tmp_path / "to.zip", "no plain file")
    refused(other, tmp_path / "nowhere.zip", "cannot be read")


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_a_record_with_one_thing_changed_is_read_or_refused(data: st.DataObject) -> None:
    """Nothing else ever comes of it, and what is read can be read again."""
    record = json.loads(json.dumps(as_record(KEPT)))
    where: Any = record
    while True:
        keys = list(where) if isinstance(where, dict) else list(range(len(where)))
        key = data.draw(st.sampled_from(keys))
        inside = where[key]
        if isinstance(inside, dict | list) and inside and data.draw(st.booleans()):
            where = inside
            continue
        where[key] = data.draw(JSON)
        break
    try:
        read = from_record(copy.deepcopy(record))
    except ShelfError:
        return
    assert from_record(json.loads(json.dumps(as_record(read)))) == read


@given(cut=st.integers(0, 3_000), noise=st.binary(max_size=12), at=st.integers(0, 3_000))
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_a_damaged_file_is_one_sentence(
    cut: int, noise: bytes, at: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("damaged")
    quiet = whole()

    lean = replace(quiet, voice=None)
    path = packed(folder / "x.zip", listing(lean))
    whole_file = path.read_bytes()
    path.write_bytes(whole_file[:at] + noise + whole_file[at + len(noise) : len(whole_file) - cut])
    shelf = Shelf(folder / "shelf.db")
    try:
        import_shelf(shelf, path)
    except ShelfError as error:
        assert "\n" not in str(error)
        assert shelf.listed().kept == ()


def test_an_export_that_cannot_be_written_is_one_sentence(shelf: Shelf, tmp_path: Path) -> None:
    with pytest.raises(ShelfError, match="your shelf is as it was"):
        export_shelf(shelf, tmp_path / "nowhere" / "x.zip")
