"""Where a library lies: a file of this user, or a club's PostgreSQL by its address."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from app.files.user_folders import data_folder
from app.library.errors import LibraryError

FILE_NAME: Final = "library.db"
VARIABLE: Final = "STROKESIDE_LIBRARY"  # an address for every command and the window
_CLUB: Final = ("postgresql", "postgres")


def own_library() -> Path:
    """Where this user's own library lies."""
    return data_folder() / FILE_NAME


def address_of(said: str | Path | None) -> URL:
    """Turn what a coach writes into an address.

    Parameters
    ----------
    said : a file, `sqlite:///FILE` or `postgresql://[ROLE@]HOST/DATABASE`; None takes the one of
        the environment, or else this user's own

    Raises
    ------
    LibraryError
        It is no address, or it has a password in it.
    """
    said = said or os.environ.get(VARIABLE) or own_library()
    if isinstance(said, Path) or "://" not in said:
        return _file(Path(said))
    try:
        url = make_url(said)
    except (ArgumentError, ValueError) as error:
        raise LibraryError(
            "The library's address cannot be read; write postgresql://ROLE@HOST/DATABASE, or "
            "the name of a file."
        ) from error
    kind = url.get_backend_name()
    if kind == "sqlite" and url.database:
        return _file(Path(url.database))
    if kind not in _CLUB:
        raise LibraryError(
            f"A library lies in a file or in PostgreSQL, not in {kind}; write "
            "postgresql://ROLE@HOST/DATABASE."
        )
    if url.password is not None or "password" in url.query:
        raise LibraryError(
            "Leave the password out of the library's address, where others can read it; "
            "PostgreSQL takes it from its own password file (.pgpass) or asks the system."
        )
    return url.set(drivername="postgresql+psycopg")


def _file(path: Path) -> URL:
    return URL.create("sqlite", database=str(path.absolute()))


def shown(url: URL) -> str:
    """An address as a coach may read it."""
    if url.get_backend_name() == "sqlite":
        return url.database or ""
    return url.set(drivername="postgresql").render_as_string(hide_password=True)
