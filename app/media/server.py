"""Frames for a window: asked for without waiting, decoded in a thread of their own."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Sequence
from pathlib import Path

from app.media.cache import FrameCache
from app.media.courier import Courier, Screen, ShownFrame
from app.media.errors import MediaError
from app.media.laid import Laid
from app.media.memory import give_back, return_blocks
from app.media.proxy import PROXY_BYTES, Proxy, is_worth_while
from app.media.reel import open_reel
from app.media.video import VideoFile
from app.media.wishes import Wishes
from app.media.worker import LARGE_PIXELS, Worker, early_frame

CACHE_BYTES = 256 * 2**20
_CLOSE_WAIT_S = 2.0


class FrameServer:
    """Decodes in a thread of its own; the newest request wins, none of them waits.

    Parameters
    ----------
    path : the recording
    on_frame : called with each frame to show, from the worker thread
    on_error : called once with a sentence when the recording cannot be opened or is lost
    on_open : called with the open recording, from the worker thread, before any frame but an early
        first one; read facts and `index` from it there, never keep or decode it
    on_progress : called with a share from 0 to 1 while the index is read
    cache_bytes : bound on decoded frames kept in memory
    proxy_bytes : bound on the quick copy kept on disk; 0 for none
    capture_fps : rate a slow-motion recording was made at; times are then real seconds
    video : the recording, already open; it is closed here and belongs to nobody else from now on
    more : further recordings that are shown with it as one, on its clock
    """

    def __init__(
        self,
        path: str | Path,
        on_frame: Callable[[ShownFrame], None],
        on_error: Callable[[str], None],
        on_open: Callable[[VideoFile], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        cache_bytes: int = CACHE_BYTES,
        proxy_bytes: int = PROXY_BYTES,
        capture_fps: float | None = None,
        video: VideoFile | None = None,
        more: Sequence[Laid] = (),
    ) -> None:
        self._films = (Laid(Path(path), 0.0, capture_fps), *more)
        self._path = Path(path)
        self._on_frame = on_frame
        self._on_error = on_error
        self._on_open = on_open
        self._on_progress = on_progress
        self._proxy_bytes = proxy_bytes
        self._wishes = Wishes()
        self._cache = FrameCache(cache_bytes)
        self._proxy: Proxy | None = None
        self._playing = False
        self._thread = threading.Thread(target=self._run, args=(video,), name="frames", daemon=True)
        self._thread.start()

    def request(self, index: int, max_width: int, max_height: int) -> None:
        """Ask for a frame to fit a box; returns at once and replaces what was asked before."""
        self._wishes.ask(index, max_width, max_height)

    def stop(self) -> None:
        """Stop decoding and close the file, soon; returns at once."""
        self._wishes.close()

    def close(self) -> None:
        """Stop decoding and close the file; returns within two seconds whatever it is doing."""
        self.stop()
        if threading.current_thread() is not self._thread:
            self._thread.join(_CLOSE_WAIT_S)

    def set_playing(self, playing: bool) -> None:
        """Say whether time runs; work that can wait stands still then."""
        self._playing = playing
        if self._proxy is not None:
            self._proxy.hold(playing)

    def set_cache_bytes(self, cache_bytes: int) -> None:
        """Bound the kept frames anew, from the next one on."""
        self._cache.set_limit(cache_bytes)

    @property
    def running(self) -> bool:
        """Whether the thread still lives."""
        return self._thread.is_alive()

    @property
    def cached_bytes(self) -> int:
        """Memory the kept frames hold."""
        return self._cache.bytes

    @property
    def proxy_share(self) -> float:
        """Share of the frames the quick copy holds, 0 to 1."""
        proxy = self._proxy
        return proxy.share if proxy is not None else 0.0

    def _run(self, video: VideoFile | None) -> None:
        try:
            with contextlib.closing(video or self._open()) as video:
                if self._on_open is not None and not self._wishes.closing:
                    self._on_open(video)
                self._serve(video)
        except MediaError as error:
            if not self._wishes.closing:
                self._on_error(str(error))
        finally:
            self._cache.clear()
            give_back()

    def _open(self) -> VideoFile:
        wish = self._wishes.newest
        early = early_frame(self._path) if wish is None else early_frame(self._path, wish.box)
        if early is not None and not self._wishes.closing:
            self._on_frame(early)
        return open_reel(
            self._films, progress=self._on_progress, cancelled=lambda: self._wishes.closing
        )

    def _serve(self, video: VideoFile) -> None:
        if self._proxy_bytes > 0 and is_worth_while(video):
            self._proxy = Proxy(video, self._proxy_bytes)
            self._proxy.hold(self._playing)
        if video.width * video.height > LARGE_PIXELS:
            return_blocks()
        screen = Screen(self._on_frame, self._wishes)
        worker = Worker(video, self._wishes, self._cache, self._proxy, screen, self._on_error)
        courier = Courier(video, self._wishes, self._cache, self._proxy, screen, worker.is_damaged)
        try:
            worker.run()
        finally:
            courier.close()
            if self._proxy is not None:
                self._proxy.close()
