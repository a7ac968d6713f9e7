"""Libraries for tests: a file, and a club's on a PostgreSQL of its own."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from sqlalchemy import Engine, event, text

from app.library.library import Library
from tests.helpers.club_server import ClubServer, running


@pytest.fixture(scope="session", autouse=True)
def libraries_do_not_wait_for_the_disk() -> Iterator[None]:
    """As `no_waiting_for_the_disk`, which knows the review's file alone."""

    def settle(connection: object, _record: object) -> None:
        if isinstance(connection, sqlite3.Connection):
            connection.execute("PRAGMA synchronous = OFF")

    event.listen(Engine, "connect", settle)
    yield
    event.remove(Engine, "connect", settle)


@pytest.fixture(scope="session")
def club_server() -> Iterator[ClubServer]:
    with running() as server:
        yield server


@pytest.fixture(scope="session")
def one_club(club_server: ClubServer) -> Iterator[Library]:
    """The club's library as its owner opened it; each test finds it empty."""
    club_server.database("one")
    with Library.open(club_server.url("club", "one")) as owner:
        yield owner


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library.db") as library:
        yield library


OpenAs = Callable[[str], Library]


@pytest.fixture
def club(club_server: ClubServer, one_club: Library) -> Iterator[OpenAs]:
    """Opens the club's empty library as a role."""
    with one_club.writing() as connection:
        connection.execute(text("TRUNCATE athlete CASCADE"))
    with ExitStack() as stack:

        def opened(role: str) -> Library:
            return stack.enter_context(Library.open(club_server.url(role, "one")))

        yield opened


@pytest.fixture(params=["file", "club"])
def library(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Library]:
    """The same code on both."""
    if request.param == "file":
        with Library.open(tmp_path / "library.db") as library:
            yield library
    else:
        yield request.getfixturevalue("club")("anna")
