"""One library, opened: its engine, who works in it, and transactions."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, Table, create_engine, event, text
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import DBAPIError, OperationalError, SQLAlchemyError

from app.library.address import address_of, shown
from app.library.errors import LibraryError
from app.library.versions import bring_up_to_date

_WRITES: Final = "strokeside_writes"
BUSY_S: Final = 30.0  # how long to wait for another window that writes
_MANY: Final = 500  # rows of one statement


class Library:
    """A library that is open. Safe to use from several threads; close it at the end.

    Attributes
    ----------
    coach : the role of PostgreSQL somebody works as, "" in a file of one's own
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.coach = ""

    @classmethod
    def open(cls, where: str | Path | None = None) -> Library:
        """Open a library, and make its tables where it is new.

        Parameters
        ----------
        where : as `address.address_of`

        Raises
        ------
        LibraryError
            It cannot be reached, is no library, or a newer program made it.
        """
        url = address_of(where)
        library = cls(_engine(url))
        try:
            with library.writing() as connection:
                bring_up_to_date(connection)
                if library.is_club:
                    library.coach = str(connection.execute(text("SELECT current_user")).scalar())
        except BaseException:
            library.close()
            raise
        return library

    @property
    def is_club(self) -> bool:
        """Whether several coaches work in it."""
        return self.engine.dialect.name == "postgresql"

    @property
    def file(self) -> Path | None:
        """The file it lies in, None for a club's."""
        return None if self.is_club else Path(self.engine.url.database or "")

    @property
    def name(self) -> str:
        """Its address as a coach may read it."""
        return shown(self.engine.url)

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection on which everything is as of one moment; raises LibraryError."""
        with _sentences(self), self.engine.connect() as connection:
            if self.is_club:
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection whose changes are kept whole or not at all; raises LibraryError."""
        with _sentences(self), self.engine.connect() as connection:
            connection = connection.execution_options(**{_WRITES: True})
            with connection.begin():
                yield connection

    def close(self) -> None:
        """Let go of it."""
        self.engine.dispose()

    def __enter__(self) -> Library:
        return self

    def __exit__(self, *args: object) -> None:
        self.close()


def put(
    connection: Connection,
    table: Table,
    rows: Sequence[Mapping[str, Any]],
    keep: Sequence[str] = (),
    ours: bool = True,
) -> None:
    """Write rows; those that are there already are replaced.

    Parameters
    ----------
    keep : columns that stay as they are in a row that is there
    ours : False leaves a row that is there as it is
    """
    if not rows:
        return
    make = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    statement = make(table)
    keys = [column.name for column in table.primary_key]
    change = {c.name: statement.excluded[c.name] for c in table.c if c.name not in (*keys, *keep)}
    if ours and change:
        statement = statement.on_conflict_do_update(index_elements=keys, set_=change)
    else:
        statement = statement.on_conflict_do_nothing(index_elements=keys)
    for at in range(0, len(rows), _MANY):
        connection.execute(statement, [dict(row) for row in rows[at : at + _MANY]])


def _engine(url: URL) -> Engine:
    if url.get_backend_name() != "sqlite":
        try:
            return create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": 10})
        except ModuleNotFoundError as error:
            raise LibraryError(
                "A club's library needs the package psycopg, which is not installed; install "
                "strokeside with its extra “club”."
            ) from error
    _make_file(Path(url.database or ""))
    engine = create_engine(url, connect_args={"timeout": BUSY_S})
    event.listen(engine, "connect", _settle)
    event.listen(engine, "begin", _begin)
    return engine


def _make_file(path: Path) -> None:
    """Make the file so that nobody else may read it, before anything is in it."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise LibraryError(
            f"The library {path.name} cannot be opened ({reason}); choose another place with "
            "--library."
        ) from error


def _settle(connection: Any, record: object) -> None:
    connection.isolation_level = None  # transactions begin where `_begin` says so
    cursor = connection.cursor()
    # Before anything is set: a review, or what another program keeps, stays as it is.
    tables = {name for (name,) in cursor.execute("SELECT name FROM sqlite_master")}
    if tables and "alembic_version" not in tables:
        raise LibraryError(
            "The file named as the library is a review or a database of another program; it was "
            "left as it is. Choose another with --library."
        )
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.execute("PRAGMA secure_delete = ON")  # what is deleted is written over
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.close()


def _begin(connection: Connection) -> None:
    # A reader that became a writer later could meet another one, and neither could go on.
    writes = connection.get_execution_options().get(_WRITES)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextlib.contextmanager
def _sentences(library: Library) -> Iterator[None]:
    try:
        yield
    except DBAPIError as error:
        raise LibraryError(_sentence(library, error)) from error
    except SQLAlchemyError as error:
        raise LibraryError(
            f"The library could not be used ({type(error).__name__}); nothing was changed."
        ) from error


def _sentence(library: Library, error: DBAPIError) -> str:
    said = str(error.orig).strip().splitlines()[0] if str(error.orig).strip() else "no reason given"
    if library.is_club:
        if getattr(error.orig, "sqlstate", None) == "42501":
            return (
                "The club's library does not allow that to this role; nothing was changed. Ask "
                "the athlete's coach to share them with you, or to change it."
            )
        if isinstance(error, OperationalError):
            return (
                f"The club's library at {library.name} cannot be reached ({said}); nothing was "
                "changed. Check the address, the network and your password file."
            )
    name = library.file.name if library.file else library.name
    if "not a database" in said or "malformed" in said:
        return (
            f"{name} is no library, or a damaged one; it was left as it is. Rename it, then make "
            "a new one of your reviews with strokeside library rebuild FOLDER."
        )
    return f"The library {name} could not be used ({said}); nothing was changed."
