"""A recording is the one reviewed by its content, quickly at first and wholly after."""

from __future__ import annotations

import hashlib
import os
from dataclasses import replace
from pathlib import Path

import pytest

from app.review.parts.media import MediaRef
from app.review.recordings import fingerprint as reading
from app.review.recordings import is_reviewed, quick_standing, refer, verify
from app.review.recordings.fingerprint import END_BYTES, quick_ends
from app.review.values.errors import ReviewError

LONG_AGO_S = 1_600_000_000


def put(path: Path, content: bytes, mtime_s: int = LONG_AGO_S) -> Path:
    path.write_bytes(content)
    os.utime(path, (mtime_s, mtime_s))
    return path


@pytest.fixture
def film(tmp_path: Path) -> Path:
    return put(tmp_path / "film.mp4", os.urandom(3 * END_BYTES + 17))


@pytest.fixture
def ref(film: Path, tmp_path: Path) -> MediaRef:
    return refer(film, "video", tmp_path / "a.review")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "data"


@pytest.mark.parametrize(
    "size", [1, 5, END_BYTES, END_BYTES + 1, 2 * END_BYTES, 2 * END_BYTES + 1, 3 * END_BYTES]
)
def test_the_ends_are_the_first_and_the_last_megabyte(tmp_path: Path, size: int) -> None:
    content = os.urandom(size)
    path = put(tmp_path / "f", content)
    last = content[max(END_BYTES, size - END_BYTES) :]
    expected = hashlib.sha256(content[:END_BYTES] + last).hexdigest()
    assert refer(path, "video", tmp_path / "a.review").ends_sha256 == expected
    assert quick_ends(path) == (size, expected)


def test_the_same_film_is_known_whole(ref: MediaRef, film: Path, data: Path) -> None:
    assert quick_standing(ref, film, data) == "unknown"
    assert is_reviewed(ref, film, data)
    assert quick_standing(ref, film, data) == "same"


@pytest.mark.parametrize("at", [0, END_BYTES - 1, -1, -END_BYTES])
def test_another_film_of_the_same_size_differs_at_its_ends(
    ref: MediaRef, film: Path, data: Path, at: int
) -> None:
    content = bytearray(film.read_bytes())
    content[at] ^= 1
    put(film, bytes(content))
    assert quick_standing(ref, film, data) == "other"
    assert quick_standing(replace(ref, ends_sha256=""), film, data) == "unknown"
    assert not is_reviewed(replace(ref, ends_sha256=""), film, data), "an older review as well"


def test_another_film_of_another_size(ref: MediaRef, film: Path, data: Path) -> None:
    put(film, film.read_bytes() + b"!")
    assert quick_standing(ref, film, data) == "other"
    assert not is_reviewed(ref, film, data)


def test_a_change_in_the_middle_is_found_when_all_is_read(
    ref: MediaRef, film: Path, data: Path
) -> None:
    content = bytearray(film.read_bytes())
    content[len(content) // 2] ^= 1
    put(film, bytes(content))
    assert quick_standing(ref, film, data) == "unknown"
    assert not is_reviewed(ref, film, data)
    assert quick_standing(ref, film, data) == "other", "and is remembered"


def test_a_film_that_was_only_touched_is_the_same(ref: MediaRef, film: Path, data: Path) -> None:
    assert is_reviewed(ref, film, data)
    os.utime(film, (LONG_AGO_S + 60, LONG_AGO_S + 60))
    assert quick_standing(ref, film, data) == "unknown"
    assert is_reviewed(ref, film, data)


def test_what_was_found_is_not_read_for_again(
    ref: MediaRef, film: Path, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert is_reviewed(ref, film, data)

    def never(*_args: object) -> reading.Fingerprint:
        raise AssertionError("read again")

    monkeypatch.setattr(verify, "fingerprint", never)
    assert is_reviewed(ref, film, data)
    with pytest.raises(AssertionError, match="read again"):
        is_reviewed(ref, film, None)


def test_a_file_written_to_just_now_is_not_remembered(tmp_path: Path, data: Path) -> None:
    film = tmp_path / "film.mp4"
    film.write_bytes(b"1234")
    ref = refer(film, "video", tmp_path / "a.review")
    assert is_reviewed(ref, film, data)
    film.write_bytes(b"4321")  # within one tick of the file system's clock, perhaps
    assert not is_reviewed(ref, film, data)


def test_another_file_in_its_place_with_the_same_time(
    ref: MediaRef, film: Path, data: Path
) -> None:
    assert is_reviewed(ref, film, data)
    content = bytearray(film.read_bytes())
    content[len(content) // 2] ^= 1
    new = put(film.with_name("new.mp4"), bytes(content))
    new.replace(film)
    assert not is_reviewed(ref, film, data)


@pytest.mark.parametrize("content", ["", "{", '{"files": []}', '{"files": {"x": 1}}'])
def test_a_damaged_memory_only_costs_the_reading(
    ref: MediaRef, film: Path, data: Path, content: str
) -> None:
    data.mkdir()
    (data / verify.FILE).write_text(content)
    assert is_reviewed(ref, film, data)
    assert quick_standing(ref, film, data) == "same"


def test_a_memory_that_cannot_be_written_costs_nothing_else(
    ref: MediaRef, film: Path, data: Path
) -> None:
    data.write_text("a file where the folder should be")
    assert is_reviewed(ref, film, data)


def test_what_is_gone_and_what_is_stopped(ref: MediaRef, film: Path, data: Path) -> None:
    with pytest.raises(ReviewError, match="cancelled"):
        is_reviewed(ref, film, data, lambda: True)
    film.unlink()
    with pytest.raises(ReviewError, match=r"no file film\.mp4"):
        is_reviewed(ref, film, data)
