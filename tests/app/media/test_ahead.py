"""What a thread makes ahead comes in order, whole, and stops when nobody takes it any more."""

from __future__ import annotations

import itertools
import threading
from collections.abc import Iterator

import pytest

from app.media.ahead import Ahead


def running(name: str) -> list[threading.Thread]:
    return [t for t in threading.enumerate() if t.name == name]


def test_everything_comes_in_order_from_another_thread() -> None:
    with Ahead(lambda: ((i, threading.get_ident()) for i in range(100)), "numbers") as ahead:
        got = list(ahead)
    assert [i for i, _ in got] == list(range(100))
    assert {ident for _, ident in got}.isdisjoint({threading.get_ident()})
    assert not running("numbers")


def test_what_goes_wrong_is_raised_after_what_went_well() -> None:
    def broken() -> Iterator[int]:
        yield from range(3)
        raise OSError("no room")

    got = []
    with pytest.raises(OSError, match="no room"), Ahead(broken, "broken") as ahead:
        for i in ahead:
            got.append(i)
    assert got == [0, 1, 2]
    assert not running("broken")


def test_it_makes_a_few_ahead_and_ends_with_the_block() -> None:
    made = []

    def endless() -> Iterator[int]:
        for i in itertools.count():
            made.append(i)
            yield i

    with Ahead(endless, "endless") as ahead:
        assert next(iter(ahead)) == 0
    assert not running("endless")
    assert len(made) < 20
