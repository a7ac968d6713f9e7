from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.media.cache import FrameCache
from app.media.picture import SmallFrame
from app.media.server import FrameServer, ShownFrame
from tests.helpers.clips import number_in
from tests.helpers.patience import HANGS_S

Clips = Callable[[str], Path]
WAIT_S = HANGS_S


class Screen:
    """Collects what a server delivers."""

    def __init__(self, path: Path, **options: int) -> None:
        self.frames: queue.Queue[ShownFrame] = queue.Queue()
        self.errors: queue.Queue[str] = queue.Queue()
        self.opened = threading.Event()
        self.threads: set[str] = set()
        self.server = FrameServer(
            path, self._take, self.errors.put, on_open=lambda _: self.opened.set(), **options
        )

    def _take(self, frame: ShownFrame) -> None:
        self.threads.add(threading.current_thread().name)
        self.frames.put(frame)

    def until(self, index: int) -> list[ShownFrame]:
        """All frames up to and with the wanted one."""
        seen = [self.frames.get(timeout=WAIT_S)]
        while seen[-1].index != index:
            seen.append(self.frames.get(timeout=WAIT_S))
        return seen

    def show(self, index: int, width: int = 160, height: int = 90) -> ShownFrame:
        self.server.request(index, width, height)
        return self.until(index)[-1]


@pytest.fixture
def screen(clip: Clips) -> Iterator[Screen]:
    screen = Screen(clip("h264_long"))
    yield screen
    screen.server.close()


def test_the_frame_asked_for_is_shown(screen: Screen) -> None:
    for i in (0, 1, 2, 150, 149, 148, 10, 199, 0):
        shown = screen.show(i)
        assert number_in(shown.image_bgra) == i
        assert shown.time_s == pytest.approx(i / 30)
        assert shown.image_bgra.shape == (90, 160, 4)
        assert shown.image_bgra.flags.c_contiguous
        assert not shown.damaged
    assert screen.threads <= {"frames", "kept frames"}
    assert screen.opened.is_set()


def test_the_newest_request_wins(screen: Screen) -> None:
    screen.show(0)
    for i in range(1, 200):
        screen.server.request(i, 160, 90)
    seen = screen.until(199)
    assert [number_in(f.image_bgra) for f in seen] == [f.index for f in seen]
    assert len(seen) < 199
    assert screen.frames.empty()


def test_a_hand_that_never_rests_still_sees_frames(screen: Screen) -> None:
    screen.show(0)
    seen = 0
    for k in range(300):
        screen.server.request((k * 67) % 200, 160, 90)
        if k % 10 == 9:
            seen += bool(screen.frames.get(timeout=WAIT_S))
    assert seen == 30


def test_numbers_beyond_the_ends_are_the_ends(screen: Screen) -> None:
    screen.server.request(10_000, 160, 90)
    assert screen.until(199)
    screen.server.request(-5, 160, 90)
    assert screen.until(0)


def test_asking_again_shows_again(screen: Screen) -> None:
    screen.show(7)
    assert screen.show(7).index == 7


def test_another_size(screen: Screen) -> None:
    assert screen.show(5, 160, 90).image_bgra.shape == (90, 160, 4)
    assert screen.show(5, 80, 80).image_bgra.shape == (44, 80, 4)
    assert screen.show(5, 9000, 9000).image_bgra.shape == (180, 320, 4)


def test_memory_is_bounded(clip: Clips) -> None:
    limit = 30 * 160 * 90 * 3 // 2
    screen = Screen(clip("h264_long"), cache_bytes=limit)
    for i in [*range(0, 200, 7), *range(199, 0, -3)]:
        assert number_in(screen.show(i).image_bgra) == i
        assert screen.server.cached_bytes <= limit
    screen.server.close()
    assert screen.server.cached_bytes == 0


def test_a_frame_larger_than_the_bound_is_still_shown(clip: Clips) -> None:
    screen = Screen(clip("h264_b"), cache_bytes=1000)
    assert number_in(screen.show(33).image_bgra) == 33
    assert screen.server.cached_bytes == 0
    screen.server.close()


def test_a_file_that_cannot_be_opened(tmp_path: Path) -> None:
    screen = Screen(tmp_path / "gone.mp4")
    assert "not there" in screen.errors.get(timeout=WAIT_S)
    screen.server.request(3, 10, 10)
    screen.server.close()
    assert screen.errors.empty() and screen.frames.empty()


def test_a_file_lost_while_open_is_told_once(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "lost.avi"
    path.write_bytes(clip("avi_mjpeg").read_bytes())
    screen = Screen(path, cache_bytes=200_000)
    kept = screen.show(0)
    with path.open("r+b") as file:
        file.truncate(9000)
    path.unlink()
    for i in (59, 30, 45):
        screen.server.request(i, 320, 180)
        screen.server.request(i, 160, 90)
    assert "lost.avi" in screen.errors.get(timeout=WAIT_S)
    screen.server.close()
    assert screen.errors.empty()
    assert kept.index == 0


def test_closing_in_the_middle_of_anything(clip: Clips) -> None:
    for k in range(12):
        screen = Screen(clip("h264_long"))
        if k % 3:
            screen.show(0)
        screen.server.request(190 - k, 320, 180)
        screen.server.close()
        assert not screen.server.running
        screen.server.close()
        count = screen.frames.qsize()
        screen.server.request(1, 320, 180)  # asked too late: nothing happens
        assert screen.frames.qsize() == count
        assert screen.errors.empty()


def test_closing_from_its_own_thread(clip: Clips) -> None:
    done = threading.Event()

    def take(frame: ShownFrame) -> None:
        server.close()
        done.set()

    server = FrameServer(clip("h264_b"), take, lambda sentence: None)
    server.request(3, 100, 100)
    assert done.wait(WAIT_S)
    server.close()
    assert not server.running


class _Fake(SmallFrame):
    def __init__(self, size: int) -> None:
        object.__setattr__(self, "size", size)

    @property
    def size_bytes(self) -> int:
        return int(self.size)  # type: ignore[attr-defined]


@given(
    st.lists(st.tuples(st.integers(0, 50), st.integers(1, 40), st.integers(0, 50))),
    st.sampled_from([1, -1]),
)
def test_the_cache_never_holds_more_than_it_may(
    puts: list[tuple[int, int, int]], direction: int
) -> None:
    cache = FrameCache(100)
    for i, size, here in puts:
        cache.put(i, _Fake(size), here, direction)
        assert 0 <= cache.bytes <= 100
        assert cache.get(i, (0, 0)) is not None
    kept = [cache.get(i, (0, 0)) for i in range(51)]
    assert cache.bytes == sum(f.size_bytes for f in kept if f is not None)


def test_the_farthest_frame_goes_first() -> None:
    cache = FrameCache(30)
    for i in (1, 5, 9):
        cache.put(i, _Fake(10), here=5, direction=1)
    cache.put(6, _Fake(10), here=8, direction=1)
    assert 1 not in cache and all(i in cache for i in (5, 6, 9))
    nearest = cache.nearest(7)
    assert nearest is not None and nearest[0] == 6


@given(st.integers(1, 60), st.sampled_from([1, -1]), st.integers(0, 200))
def test_what_is_prepared_ahead_stays(size: int, direction: int, behind: int) -> None:
    cache = FrameCache(1000)
    for k in range(behind + 1):
        cache.put(500 - direction * k, _Fake(size), 500, direction)
    ahead, back = cache.room(direction)
    prepared = [500 + direction * k for k in (*range(1, ahead + 1), *range(-1, -back - 1, -1))]
    for i in prepared:
        cache.put(i, _Fake(size), 500, direction)
    assert all(i in cache for i in prepared)
