"""A quick copy of a recording: every frame small and by itself, so that any is there at once.

It is made by a child process of low priority, begun where the hand is, kept in a file
without a name that goes when it is closed, and bounded in bytes. It is only ever shown while the
hand moves; the frame out of the recording follows.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import shutil
import struct
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import IO

import av
import numpy as np
from av.codec.context import Flags
from av.error import FFmpegError
from av.video.codeccontext import VideoCodecContext

from app.media.dynamic_range import Tags, set_tags
from app.media.picture import SmallFrame
from app.media.reel import Reel
from app.media.video import VideoFile

PROXY_BYTES = 2 * 2**30
BOX = (960, 540)
# What comes from the child: frame number, columns that count, four tags of colour, bytes that
# follow. No bytes: it asks where the hand is.
RECORD = struct.Struct("<IHHHHHI")

_CLOSE_WAIT_S = 2.0
_BEGIN_AFTER_S = 2.0  # opening, and looking round, come first
_FREE_SHARE = 4  # at most a quarter of what is free on the disk
_MEGAPIXELS = 40.0  # to decode for a jump across the longest group; some tenth of a second


def is_worth_while(video: VideoFile) -> bool:
    """Whether jumping within the recording is slow enough for a copy to help."""
    if video.width * video.height <= BOX[0] * BOX[1] or isinstance(video, Reel):
        return False  # of several recordings none is made yet
    longest = int(np.diff([*group_starts(video), len(video.index)]).max())
    return longest * video.width * video.height / 1e6 > _MEGAPIXELS


def group_starts(video: VideoFile) -> list[int]:
    """Numbers of the frames where decoding can start, the first frame always among them."""
    starts = np.searchsorted(video.index.pts, video.index.seek_pts)
    return sorted({0, *(int(i) for i in starts if i < len(video.index))})


class Proxy:
    """The quick copy of an open recording, as far as it has been made.

    `frame` belongs to one thread, whichever asks first; making goes on beside it.
    """

    def __init__(
        self, video: VideoFile, limit_bytes: int, begin_after_s: float = _BEGIN_AFTER_S
    ) -> None:
        self._limit = limit_bytes
        self._begin_after_s = begin_after_s
        self._job = pickle.dumps((str(video.temporary or video.path), video.index))
        self._hand = 0
        self._lock = threading.Lock()  # of the file and what is known of it
        self._file: IO[bytes] | None = None
        # Where each frame lies, and what its record said.
        self._known: dict[int, tuple[int, int, int, Tags]] = {}
        self._count = len(video.index)
        self._decoder: VideoCodecContext | None = None
        self._child: subprocess.Popen[bytes] | None = None
        self._closing = threading.Event()
        self._free = threading.Event()
        self._free.set()
        self._thread = threading.Thread(target=self._run, name="quick copy", daemon=True)
        self._thread.start()

    @property
    def share(self) -> float:
        """Share of the frames it holds, 0 to 1."""
        return len(self._known) / self._count

    @property
    def size_bytes(self) -> int:
        """Size on disk."""
        return sum(entry[1] for entry in list(self._known.values()))

    @property
    def making(self) -> bool:
        """Whether more of it may still come."""
        return self._thread.is_alive()

    def near(self, i: int) -> None:
        """Say where the hand is; what lies near is copied first."""
        self._hand = i

    def hold(self, on: bool) -> None:
        """Stand still while somebody plays: the processor is the picture's then.

        Nothing is taken from the child, whose full pipe stops it after a few frames.
        """
        if on:
            self._free.clear()
        else:
            self._free.set()

    def holds(self, i: int) -> bool:
        """Whether frame `i` is made."""
        return i in self._known

    def frame(self, i: int) -> SmallFrame | None:
        """Frame `i` at the copy's size, or None where it is not made."""
        with self._lock:
            entry = self._known.get(i)
            if entry is None or self._file is None:
                return None
            at, size, width, tags = entry
            self._file.seek(at)
            data = self._file.read(size)
        if self._decoder is None:
            self._decoder = _decoder()
        try:
            frames = self._decoder.decode(av.Packet(data))
        except FFmpegError:
            return None
        if len(frames) != 1:
            return None
        set_tags(frames[0], tags)
        return SmallFrame(frames[0], width)

    def close(self) -> None:
        """Stop making it and throw it away."""
        self._closing.set()
        self._free.set()
        child = self._child
        if child is not None:
            child.kill()
        self._thread.join(_CLOSE_WAIT_S)
        with self._lock:
            self._known.clear()
            if self._file is not None:
                self._file.close()
                self._file = None

    def _run(self) -> None:
        if self._closing.wait(self._begin_after_s):
            return
        # A child that cannot start, or a full disk, costs the copy and nothing else.
        with contextlib.suppress(OSError):
            folder = _roomy_folder()
            self._limit = min(self._limit, shutil.disk_usage(folder).free // _FREE_SHARE)
            with self._lock:
                self._file = tempfile.TemporaryFile(dir=folder)  # noqa: SIM115 - closed in close
            self._child = _start_child()
            try:
                self._take_all(self._child)
            finally:
                self._child.kill()
                _let_go(self._child)

    def _take_all(self, child: subprocess.Popen[bytes]) -> None:
        assert child.stdin is not None and child.stdout is not None
        child.stdin.write(self._job)
        child.stdin.flush()
        self._job = b""
        end = 0
        while not self._closing.is_set():
            self._free.wait()
            head = child.stdout.read(RECORD.size)
            if len(head) < RECORD.size:
                return
            i, width, matrix, span, transfer, primaries, size = RECORD.unpack(head)
            if size == 0:
                child.stdin.write(b"%d\n" % self._hand)
                child.stdin.flush()
                continue
            data = child.stdout.read(size)
            if len(data) < size or end + size > self._limit:
                return
            with self._lock:
                if self._file is None:
                    return
                self._file.seek(end)
                self._file.write(data)
                self._known[i] = (end, size, width, (matrix, span, transfer, primaries))
            end += size


def _decoder() -> VideoCodecContext:
    decoder = av.CodecContext.create("h264", "r")
    assert isinstance(decoder, VideoCodecContext)
    # Each packet gives its frame at once, which frames decoded side by side would not.
    decoder.thread_count = 1
    decoder.flags |= Flags.low_delay
    return decoder


def _roomy_folder() -> str:
    """A folder for large disposable files; the usual one often lies in memory."""
    on_disk = Path("/var/tmp")
    if not os.environ.get("TMPDIR") and on_disk.is_dir() and os.access(on_disk, os.W_OK):
        return str(on_disk)
    return tempfile.gettempdir()


def _start_child() -> subprocess.Popen[bytes]:
    root = str(Path(__file__).resolve().parents[2])
    known = os.environ.get("PYTHONPATH")
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([root, *([known] if known else [])])}
    return subprocess.Popen(
        [sys.executable, "-m", "app.media.proxy_build"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment,
        creationflags=getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
    )


def _let_go(child: subprocess.Popen[bytes]) -> None:
    for pipe in (child.stdin, child.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()
    child.wait()
