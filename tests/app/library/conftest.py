"""Libraries for tests: a file, and a club's on a PostgreSQL of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import count
from pathlib import Path

import pytest

from app.library.library import Library
from tests.helpers.club_server import ClubServer, running

_numbers = count()


@pytest.fixture(scope="session")
def club_server() -> Iterator[ClubServer]:
    with running() as server:
        yield server


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library.db") as library:
        yield library


OpenAs = Callable[[str], Library]


@pytest.fixture
def club(club_server: ClubServer) -> Iterator[OpenAs]:
    """Opens one fresh club's library as a role; its tables are made by their owner."""
    name = f"club{next(_numbers)}"
    club_server.database(name)
    with ExitStack() as stack:
        Library.open(club_server.url("club", name)).close()

        def opened(role: str) -> Library:
            return stack.enter_context(Library.open(club_server.url(role, name)))

        yield opened


@pytest.fixture(params=["file", "club"])
def library(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Library]:
    """The same code on both."""
    if request.param == "file":
        with Library.open(tmp_path / "library.db") as library:
            yield library
    else:
        yield request.getfixturevalue("club")("anna")
