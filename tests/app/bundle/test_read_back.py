"""Bundles and answers of strangers: read or refused in a sentence, never unpacked or followed."""

from __future__ import annotations

import io
import json
import os
import random
import struct
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import html5lib
import pytest

from app.bundle.read_back import read_answers_file, read_bundle
from app.bundle.wording.errors import BundleError
from app.bundle.write import BundleResult, write_bundle
from app.review.answers import belongs
from app.review.parts.answers import Tick
from app.review.parts.state import ReviewState

RECORD: dict[str, Any] = {
    "format": "strokeside-feedback",
    "version": 1,
    "title": "Autumn",
    "athlete": "Maren",
    "draft": False,
    "notes": [{"number": 1, "id": "a" * 32, "video_s": 1.5, "phase": "catch", "text": "Hang."}],
}
ANSWERS = {"strokeside_answers": 1, "bundle": "0" * 16, "ticks": [{"note": "a" * 32, "done": True}]}


def record(**changes: Any) -> str:
    return json.dumps(RECORD | changes)


def a_zip(path: Path, *entries: tuple[str, str | bytes], how: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(path, "w", how) as archive:
        for name, data in entries:
            archive.writestr(name, data)
    return path


def test_our_own_bundles_are_read_back(written: BundleResult, review: ReviewState) -> None:
    said = read_bundle(written.path)
    assert (said.title, said.athlete, said.draft) == ("Autumn", "Maren", False)
    assert {note.id for note in said.notes} == {note.id for note in review.notes}
    assert "Hang off the handle first." in [note.text for note in said.notes]
    assert said.remarks == () and said.answers is None


def test_a_zip_of_ours_is_read_back(
    words_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    path = write_bundle(words_only, review_path, tmp_path / "x.zip", as_zip=True).path
    assert [note.text for note in read_bundle(path).notes] == ["Sit up."]


@pytest.mark.parametrize(
    "said", [{"comment": "My knee hurt."}, {"self_test": [{"id": "a", "answer": "b"}]}]
)
def test_answers_without_a_tick_come_home_by_what_the_page_writes(
    said: dict[str, object], force_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    out = write_bundle(force_only, review_path, tmp_path / "out").path
    page = html5lib.parse((out / "index.html").read_text("utf-8"), namespaceHTMLElements=False)
    mark = page.find("body").get("data-bundle")
    back = tmp_path / "answers.json"
    back.write_text(json.dumps({"strokeside_answers": 1, "bundle": mark} | said))
    answers, left_out = read_answers_file(back)
    assert left_out == () and belongs(answers, force_only)
    other = replace(force_only, trace=None, video=None)
    assert not belongs(answers, other)


def test_answers_that_lie_in_a_bundle_are_found(tmp_path: Path) -> None:
    packed = a_zip(
        tmp_path / "a.zip",
        ("feedback/review.json", record()),
        ("feedback/answers-maren.json", json.dumps(ANSWERS)),
    )
    said = read_bundle(packed)
    assert said.answers is not None and said.answers.ticks == (Tick("a" * 32, True),)
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "review.json").write_text(record(), "utf-8")
    (folder / "answers.json").write_text("{", "utf-8")
    said = read_bundle(folder)
    assert said.answers is None and len(said.remarks) == 1 and said.notes[0].text == "Hang."


def refused(path: Path, what: str = "") -> None:
    before = sorted(p.name for p in path.parent.iterdir())
    with pytest.raises(BundleError) as error:
        read_bundle(path)
    said = str(error.value)
    assert what in said and said.endswith(".") and len(said) < 250
    assert "Traceback" not in said and "\n" not in said
    assert sorted(p.name for p in path.parent.iterdir()) == before


def test_an_entry_that_swells_is_stopped(tmp_path: Path) -> None:
    bomb = a_zip(tmp_path / "bomb.zip", ("review.json", b"0" * 300_000_000))
    assert bomb.stat().st_size < 400_000
    refused(bomb, "far larger")
    other = a_zip(
        tmp_path / "b.zip", ("review.json", record()), ("answers.json", b" " * 50_000_000)
    )
    refused(other, "far larger")


def test_names_that_lead_out_lead_nowhere(tmp_path: Path) -> None:
    (tmp_path / "outside.txt").write_text("mine", "utf-8")
    path = a_zip(
        tmp_path / "a.zip",
        ("../../outside.txt", b"theirs"),
        ("/etc/review.json", b"x"),
        ("a/b/../../../review.json", b"x"),
        ("review.json", record()),
    )
    assert read_bundle(path).title == "Autumn"
    assert (tmp_path / "outside.txt").read_text("utf-8") == "mine"
    refused(a_zip(tmp_path / "b.zip", ("../x/review.json", record())), "review.json")


def test_links_are_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.json").write_text(record(title="secret"), "utf-8")
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "review.json").symlink_to(tmp_path / "secret.json")
    refused(folder, "no plain file")
    (folder / "review.json").unlink()
    (folder / "review.json").write_text(record(), "utf-8")
    (folder / "answers.json").symlink_to(tmp_path / "secret.json")
    refused(folder, "no plain file")
    link = zipfile.ZipInfo("review.json")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(tmp_path / "link.zip", "w") as archive:
        archive.writestr(link, str(tmp_path / "secret.json"))
    refused(tmp_path / "link.zip")


def test_pipes_and_missing_files_do_not_hang(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    os.mkfifo(folder / "review.json")
    refused(folder, "no plain file")
    refused(tmp_path / "folder" / "review.json", "no plain file")
    with pytest.raises(BundleError, match="could not be read"):
        read_answers_file(tmp_path / "gone.json")
    with pytest.raises(BundleError, match="no plain file"):
        read_answers_file(tmp_path)
    empty = tmp_path / "empty"
    empty.mkdir()
    refused(empty, "no bundle")


def test_lists_of_contents_that_fill_the_memory_are_refused(tmp_path: Path) -> None:
    many = io.BytesIO()
    with zipfile.ZipFile(many, "w") as archive:
        for i in range(6000):
            archive.writestr(f"{i}", b"")
    (tmp_path / "many.zip").write_bytes(many.getvalue())
    refused(tmp_path / "many.zip", "more files")
    good = a_zip(tmp_path / "good.zip", ("review.json", record())).read_bytes()
    at = good.rfind(b"PK\x05\x06")
    locator = b"PK\x06\x07" + struct.pack("<LQL", 0, at, 1)
    (tmp_path / "second.zip").write_bytes(good[:at] + locator + good[at:])
    refused(tmp_path / "second.zip", "lists its files")


@pytest.mark.parametrize("how", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_other_ways_of_packing_are_refused(tmp_path: Path, how: int) -> None:
    refused(a_zip(tmp_path / "a.zip", ("review.json", record()), how=how))


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"format": 1}', record(version=99), record(version=True), record(format="x"),
     record(version=None), "[" * 200_000, '{"format": "strokeside-feedback", "version": NaN}'],
)  # fmt: skip
def test_a_record_of_a_wrong_kind_is_refused(tmp_path: Path, text: str) -> None:
    refused(a_zip(tmp_path / "a.zip", ("review.json", text)))


def test_what_is_wrong_in_a_record_is_left_out_and_words_are_made_harmless(tmp_path: Path) -> None:
    notes = [5, {"text": 7, "video_s": "x", "id": None}, {"text": "a\u202eb", "video_s": 1e300},
             {"text": "x" * 50_000, "video_s": True}]  # fmt: skip
    said = read_bundle(
        a_zip(
            tmp_path / "a.zip",
            ("review.json", record(title="T\u2066\x1b[2J\nx", athlete=[1], notes=notes * 25)),
        )
    )
    assert said.title == "T‹U+2066›‹U+001B›[2J x" and said.athlete == ""
    assert len(said.notes) == 75 and said.notes[1].text == "a‹U+202E›b"
    assert all(note.video_s is None for note in said.notes)
    assert len(said.remarks) == 2
    many = [{}] * 2000
    said = read_bundle(a_zip(tmp_path / "b.zip", ("review.json", record(notes=many))))
    assert len(said.notes) == 1000 and "more than 1000" in said.remarks[0]


def test_damaged_bundles_are_read_or_refused(tmp_path: Path) -> None:
    rng = random.Random(3)
    whole = a_zip(
        tmp_path / "a.zip", ("review.json", record()), ("answers.json", json.dumps(ANSWERS))
    ).read_bytes()
    survive(whole, rng, tmp_path / "b.zip", read_bundle, 400)
    folder = tmp_path / "f"
    folder.mkdir()
    survive(record().encode(), rng, folder / "review.json", lambda p: read_bundle(p.parent), 400)


def survive(
    whole: bytes, rng: random.Random, path: Path, read: Callable[[Path], object], times: int
) -> None:
    for _ in range(times):
        data = bytearray(whole)
        for _ in range(rng.randint(1, 5)):
            data[rng.randrange(len(data))] = rng.randrange(256)
        path.write_bytes(bytes(data[: rng.choice((len(data), rng.randrange(len(data))))]))
        try:
            read(path)
        except BundleError as error:
            assert str(error).endswith(".")
