"""Things made in a thread of their own, a few before they are needed."""

from __future__ import annotations

import contextlib
import queue
import threading
from collections.abc import Callable, Iterator
from types import TracebackType
from typing import Final, Generic, TypeVar

Made = TypeVar("Made")
# Enough that neither side waits for a moment of the other; a few pictures of memory.
_AHEAD: Final = 8


class _End:
    """Stands behind the last thing."""


class _Broken:
    """Stands where making went wrong."""

    def __init__(self, error: BaseException) -> None:
        self.error = error


class Ahead(Generic[Made]):
    """Runs an iterator in a thread and hands on what it gives, in order; use it in a `with` block.

    What the iterator uses belongs to that thread until the block ends; nothing of it runs after.
    While a decoder works in the thread, an encoder that takes from here is not kept waiting.

    Parameters
    ----------
    make : gives the iterator; called in the thread
    """

    def __init__(self, make: Callable[[], Iterator[Made]], name: str) -> None:
        self._make = make
        self._ready: queue.Queue[Made | _End | _Broken] = queue.Queue(_AHEAD)
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def __enter__(self) -> Ahead[Made]:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._over.set()
        with contextlib.suppress(queue.Empty):
            while True:  # room for a thing that waits to be put down
                self._ready.get_nowait()
        self._thread.join()

    def __iter__(self) -> Iterator[Made]:
        """What the iterator gives; raises what went wrong in it."""
        while not isinstance(got := self._ready.get(), _End):
            if isinstance(got, _Broken):
                raise got.error
            yield got

    def _run(self) -> None:
        try:
            for made in self._make():
                if not self._put(made):
                    return
        except BaseException as error:  # noqa: BLE001 - raised again where it is taken
            self._put(_Broken(error))
        else:
            self._put(_End())

    def _put(self, item: Made | _End | _Broken) -> bool:
        while not self._over.is_set():
            try:
                self._ready.put(item, timeout=0.1)
            except queue.Full:
                continue
            return True
        return False
