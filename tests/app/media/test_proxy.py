"""The quick copy: the same frames, bounded, gone when closed."""

from __future__ import annotations

import gc
import io
import queue
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.media import proxy as proxy_module
from app.media import proxy_build
from app.media.proxy import RECORD, Proxy, group_starts, is_worth_while
from app.media.server import FrameServer, ShownFrame
from app.media.video import VideoFile
from tests.helpers.clips import number_in, run_ffmpeg
from tests.helpers.patience import HANGS_S

Clips = Callable[[str], Path]
WAIT_S = HANGS_S
SMALL = (120, 68)


def finished(video: VideoFile, limit: int = 2**30) -> Proxy:
    proxy = Proxy(video, limit, begin_after_s=0.0)
    proxy._thread.join(WAIT_S)
    assert not proxy.making
    return proxy


@pytest.mark.parametrize(
    "name", ["h264_long", "h264_vfr", "ts", "trimmed", "rot90", "mov", "hevc_10bit_open", "bt709"]
)
def test_every_frame_is_the_same_frame(clip: Clips, name: str) -> None:
    with VideoFile.open(clip(name)) as video:
        proxy = finished(video)
        assert proxy.share == 1.0 and proxy.size_bytes > 0
        for i in (*range(0, len(video.index), 7), len(video.index) - 1, 0):
            small = proxy.frame(i)
            assert small is not None
            copied, original = video.finish(small), video.frame_bgra(i, *proxy_module.BOX)
            assert number_in(copied) == number_in(original)
            # The encoding costs little, and range and matrix are those of the original.
            assert np.abs(copied.astype(int) - original).mean() < 2.5
        proxy.close()
        assert proxy.frame(0) is None


def test_what_lies_near_the_hand_is_copied_first(clip: Clips) -> None:
    with VideoFile.open(clip("h264_b")) as video:
        starts = group_starts(video)
        hands = iter([30, 30, 0, 59, 20, 20, 20])
        out = io.BytesIO()
        proxy_build.copy(video, lambda: next(hands), out)
    order = []
    data = out.getvalue()
    while data:
        i, *_, size = RECORD.unpack(data[: RECORD.size])
        order.append(i)
        data = data[RECORD.size + size :]
    begun = [i for i in order if i in starts]
    assert len(starts) == 6 and begun[0] == max(k for k in starts if k <= 30)
    assert begun[2] == 0 and begun[3] == starts[-1]
    assert sorted(order) == list(range(60))


def test_it_is_bounded(clip: Clips) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        whole = finished(video)
        limit = whole.size_bytes // 3
        whole.close()
        part = finished(video, limit)
        assert 0 < part.size_bytes <= limit
        assert 0.1 < part.share < 0.5
        part.close()


def test_a_picture_the_encoder_does_not_take_has_no_copy(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "rgb.mkv"
    run_ffmpeg("-i", clip("h264_b"), "-an", "-c:v", "ffv1", "-pix_fmt", "bgr0", path)
    with VideoFile.open(path) as video:
        proxy = finished(video)
        assert proxy.share == 0.0 and proxy.frame(3) is None
        proxy.close()


def test_nothing_is_left_when_it_cannot_be_made(
    clip: Clips, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    monkeypatch.setattr(sys, "executable", str(tmp_path / "no python"))
    with VideoFile.open(clip("h264_b")) as video:
        proxy = finished(video)
        assert proxy.share == 0.0
        proxy.close()
    assert list(tmp_path.iterdir()) == []


def test_the_child_ends_with_its_parent(clip: Clips) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        proxy = Proxy(video, 2**30, begin_after_s=60.0)
        child = proxy_module._start_child()
        assert child.stdin is not None and child.stdout is not None
        child.stdin.write(proxy._job)
        child.stdin.flush()
        assert len(child.stdout.read(RECORD.size)) == RECORD.size
        child.stdin.close()
        child.stdout.close()
        assert child.wait(WAIT_S) == 0
        proxy.close()


def open_files() -> int:
    folder = Path("/proc/self/fd")
    return len(list(folder.iterdir())) if folder.is_dir() else 0


def test_closing_at_any_time(clip: Clips) -> None:
    before = open_files()
    for k in range(6):
        with VideoFile.open(clip("h264_long")) as video:
            proxy = Proxy(video, 2**30, begin_after_s=0.0 if k else 60.0)
            proxy._closing.wait(0.03 * k)
            proxy.close()
            proxy.close()
            assert not proxy.making
    gc.collect()
    assert open_files() <= before


def test_only_long_groups_of_large_pictures_are_worth_it(clip: Clips, tmp_path: Path) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        assert not is_worth_while(video)
    path = tmp_path / "large.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "color=size=1920x1080:rate=30:duration=2", "-c:v", "libx264",
               "-preset", "ultrafast", "-g", "250", path)  # fmt: skip
    with VideoFile.open(path) as video:
        assert is_worth_while(video)


@pytest.fixture
def came() -> queue.Queue[ShownFrame]:
    return queue.Queue()


@pytest.fixture
def quick(
    clip: Clips, came: queue.Queue[ShownFrame], monkeypatch: pytest.MonkeyPatch
) -> Iterator[FrameServer]:
    """A server of a small clip that has its whole quick copy."""
    monkeypatch.setattr("app.media.server.is_worth_while", lambda video: True)
    monkeypatch.setattr(Proxy.__init__, "__defaults__", (0.0,))
    server = FrameServer(clip("h264_long"), came.put, lambda text: None)
    pause = threading.Event()
    while server.proxy_share < 1.0:
        assert server.running
        pause.wait(0.02)
    yield server
    server.close()
    assert not server.running


def test_the_exact_frame_follows_when_the_hand_rests(
    quick: FrameServer, came: queue.Queue[ShownFrame]
) -> None:
    quick.request(150, 160, 90)
    first, second = came.get(timeout=WAIT_S), came.get(timeout=WAIT_S)
    assert (first.index, first.exact) == (150, False)
    assert (second.index, second.exact) == (150, True)
    assert number_in(first.image_bgra) == number_in(second.image_bgra) == 150
    quick.request(149, 160, 90)  # decoded on the way
    assert came.get(timeout=WAIT_S).exact


def test_a_dragging_hand_sees_every_frame_it_asks_for(
    quick: FrameServer, came: queue.Queue[ShownFrame]
) -> None:
    for i in (190, 20, 150, 60, 199, 0):
        quick.request(i, 160, 90)
        shown = came.get(timeout=WAIT_S)
        while shown.index != i:  # the hand was slow, and the exact frame of the last came first
            shown = came.get(timeout=WAIT_S)
        assert number_in(shown.image_bgra) == i


def test_the_program_needs_its_input() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "app.media.proxy_build"], input=b"", capture_output=True,
        check=False, cwd=Path(__file__).resolve().parents[3], timeout=WAIT_S,
    )  # fmt: skip
    assert done.returncode == 0 and done.stdout == b""


class _Three(dict[int, Any]):
    """Says so when the third frame has come."""

    def __init__(self, third: Callable[[], None]) -> None:
        super().__init__()
        self._third = third

    def __setitem__(self, i: int, entry: Any) -> None:
        super().__setitem__(i, entry)
        if len(self) == 3:
            self._third()


class _PlayedAtThree(Proxy):
    """Somebody begins to play when three frames are made."""

    def _run(self) -> None:
        self.played = threading.Event()
        self._known = _Three(self._play)
        super()._run()

    def _play(self) -> None:
        self.hold(True)
        self.played.set()


def test_it_stands_still_while_somebody_plays(clip: Clips) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        proxy = _PlayedAtThree(video, 2**30, begin_after_s=0.0)
        while proxy.share < 3 / len(video.index):
            assert proxy.making
            proxy._closing.wait(0.01)
        assert proxy.played.wait(WAIT_S)
        proxy._thread.join(0.5)
        assert proxy.making
        assert proxy.share == 3 / len(video.index)
        proxy.hold(False)
        proxy._thread.join(WAIT_S)
        assert proxy.share == 1.0
        proxy.hold(True)
        proxy.close()  # closing does not wait for the player
        assert not proxy.making
