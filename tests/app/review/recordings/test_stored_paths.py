"""Paths of both kinds of system; no disk is touched."""

from __future__ import annotations

from pathlib import PurePath, PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.review.recordings.stored_paths import from_stored, name_of, to_stored
from app.review.values.errors import ReviewError

HERE = PurePosixPath("/data/jane/may")
THERE = PureWindowsPath(r"C:\data\jane\may")


@pytest.mark.parametrize(
    ("path", "folder", "stored"),
    [
        (HERE / "in" / "film.mp4", HERE, "in/film.mp4"),
        (THERE / "in" / "film.mp4", THERE, "in/film.mp4"),
        (PureWindowsPath(r"C:\data\film.mp4"), THERE, "../../film.mp4"),
        (PureWindowsPath(r"C:\film.mp4"), THERE, "C:/film.mp4"),
        (PureWindowsPath(r"D:\film.mp4"), THERE, "D:/film.mp4"),
        (PureWindowsPath(r"\\boathouse\films\a.mp4"), THERE, "//boathouse/films/a.mp4"),
        (HERE / "a: catch.mp4", HERE, "./a: catch.mp4"),
    ],
)
def test_stored_with_forward_slashes_and_read_again(
    path: PurePath, folder: PurePath, stored: str
) -> None:
    assert to_stored(path, folder) == stored
    assert from_stored(stored, folder) == path


@pytest.mark.parametrize(
    "stored",
    [
        r"C:\films\a.mp4",
        "C:/films/a.mp4",
        "c:a.mp4",
        r"\\boathouse\films\a.mp4",
        "//boathouse/films/a.mp4",
        r"\\?\C:\films\a.mp4",
    ],
)
def test_a_windows_path_is_not_here_on_another_system(stored: str) -> None:
    assert from_stored(stored, HERE) is None


@pytest.mark.parametrize(
    "stored",
    [
        "/data/jane/film.mp4",
        "C:film.mp4",
        "//./pipe/x",
        r"\\?\GLOBALROOT\Device\x",
        "con",
        "in/NUL.mp4",
        "in/com1",
        "film.mp4:hidden",
    ],
)
def test_no_device_and_no_foreign_root_on_windows(stored: str) -> None:
    assert from_stored(stored, THERE) is None


def test_backslashes_of_a_review_from_windows_are_folders() -> None:
    assert from_stored(r"in\film.mp4", HERE) == HERE / "in" / "film.mp4"
    assert from_stored(r"..\..\film.mp4", HERE) == PurePosixPath("/data/film.mp4")
    assert from_stored("in/film.mp4", THERE) == THERE / "in" / "film.mp4"


@pytest.mark.parametrize("stored", ["", "a\0b.mp4", "x" * 256, "ü" * 200, "a/" * 3000 + "f"])
@pytest.mark.parametrize("folder", [HERE, THERE])
def test_what_no_file_is_called_gets_a_sentence(stored: str, folder: PurePath) -> None:
    with pytest.raises(ReviewError, match=r"path in this review .*\.$"):
        from_stored(stored, folder)


def test_a_backslash_in_a_name_is_refused() -> None:
    with pytest.raises(ReviewError, match="backslash"):
        to_stored(HERE / "in\\film.mp4", HERE)


def test_a_name_for_a_message() -> None:
    assert name_of("C:\\private\\jane\\film\x1b[2J.mp4") == "film[2J.mp4"
    assert name_of("../../private/film.mp4/") == "film.mp4"
    assert len(name_of("x" * 5000)) == 255


@given(st.text(max_size=40))
def test_any_text_gives_a_place_nothing_or_a_sentence(text: str) -> None:
    for folder in (HERE, THERE):
        try:
            found = from_stored(text, folder)
        except ReviewError:
            continue
        assert found is None or (found.is_absolute() and ".." not in found.parts)
