"""Who wants to know of changes of a review."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from app.review.parts.state import ReviewState

Callback = Callable[[ReviewState, ReviewState], None]


class Listeners:
    """Callbacks that hear of every change, in the order the changes were made."""

    def __init__(self) -> None:
        self._callbacks: list[Callback] = []
        self._news: deque[tuple[ReviewState, ReviewState]] = deque()
        self._telling = False

    def add(self, callback: Callback) -> Callable[[], None]:
        """Call `callback(state, previous)` after every change; the result ends that."""
        self._callbacks.append(callback)

        def remove() -> None:
            if callback in self._callbacks:
                self._callbacks.remove(callback)

        return remove

    def tell(self, state: ReviewState, previous: ReviewState) -> None:
        """Tell everyone in order, even when a listener itself makes a change."""
        self._news.append((state, previous))
        if self._telling:
            return
        self._telling = True
        try:
            while self._news:
                news = self._news.popleft()
                for callback in tuple(self._callbacks):
                    callback(*news)
        finally:
            self._telling = False
            self._news.clear()
