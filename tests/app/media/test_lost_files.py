"""A recording that goes while it is open: a sentence at most, never a crash or a hang."""

from __future__ import annotations

import os
import queue
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from app.media.server import FrameServer, ShownFrame
from tests.helpers.clips import number_in
from tests.helpers.patience import HANGS_S

Clips = Callable[[str], Path]
WAIT_S = HANGS_S
BOX = (160, 90)


class Review:
    """A server and what came from it: frames, or the sentence that the file is lost."""

    def __init__(self, path: Path, **options: int) -> None:
        self.came: queue.Queue[ShownFrame | str] = queue.Queue()
        self.server = FrameServer(path, self.came.put, self.came.put, **options)

    def show(self, i: int) -> ShownFrame | str:
        """Frame `i`, or a sentence."""
        self.server.request(i, *BOX)
        while True:
            got = self.came.get(timeout=WAIT_S)
            if isinstance(got, str) or got.index == i:
                return got

    def close(self) -> None:
        self.server.close()
        assert not self.server.running


@pytest.fixture
def film(clip: Clips, tmp_path: Path) -> Path:
    path = tmp_path / "film.mp4"
    shutil.copyfile(clip("h264_long"), path)
    return path


def number_or_sentence(got: ShownFrame | str, i: int) -> None:
    if isinstance(got, str):
        assert "film" in got and got.endswith(".") and "\n" not in got
    else:
        assert got.damaged or number_in(got.image_bgra) == i


def test_cut_short_while_open(film: Path) -> None:
    review = Review(film, cache_bytes=400_000)
    assert not isinstance(review.show(0), str)
    with film.open("r+b") as file:
        file.truncate(film.stat().st_size // 3)
    said = []
    for i in (199, 100, 1):
        review.server.request(i, *BOX)
        got = review.came.get(timeout=WAIT_S)
        number_or_sentence(got, i)
        said += [got] if isinstance(got, str) else []
        if said:
            break  # said once; what is kept is shown from then on
    review.close()


def test_deleted_while_open(film: Path) -> None:
    review = Review(film, cache_bytes=400_000)
    review.show(0)
    film.unlink()
    number_or_sentence(review.show(150), 150)
    review.close()


def test_overwritten_while_open(film: Path) -> None:
    review = Review(film, cache_bytes=400_000)
    review.show(0)
    film.write_bytes(bytes(film.stat().st_size))
    review.server.request(150, *BOX)
    number_or_sentence(review.came.get(timeout=WAIT_S), 150)
    review.close()


def test_lost_in_the_middle_of_decoding(film: Path) -> None:
    for share in (1, 2, 3):
        copy = film.with_name(f"film{share}.mp4")
        shutil.copyfile(film, copy)
        review = Review(copy)
        review.show(0)
        review.server.request(199, *BOX)
        with copy.open("r+b") as file:
            file.truncate(film.stat().st_size * share // 4)
        copy.unlink()
        review.close()


@pytest.fixture
def stick(tmp_path: Path) -> Iterator[Path]:
    """A disk that can be unplugged."""
    if os.geteuid() != 0:
        pytest.skip("needs root to plug a disk")
    place = tmp_path / "stick"
    place.mkdir()
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=16m", "tmpfs", place], capture_output=True, check=False
    )
    if done.returncode:
        pytest.skip("needs root that may mount")
    yield place
    subprocess.run(["umount", "-l", place], capture_output=True, check=False)


def test_unplugged_while_open(clip: Clips, stick: Path) -> None:
    film = stick / "film.mp4"
    shutil.copyfile(clip("h264_long"), film)
    review = Review(film, cache_bytes=400_000)
    review.show(0)
    subprocess.run(["umount", "-l", stick], check=True)
    number_or_sentence(review.show(150), 150)
    number_or_sentence(review.show(20), 20)
    review.close()
