"""Which version a library's tables have, and bringing an older one up to date."""

from __future__ import annotations

from typing import Final

from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import SQLAlchemyError

from app.library.errors import LibraryError
from app.review.values.text import plain

HEAD: Final = "0001"  # the newest module in `migrations/versions`
_LOCK: Final = 7_305_811  # any number: one program at a time brings a club's library up to date


def version_of(connection: Connection) -> str:
    """The version of the tables, "" where there are none yet."""
    if not inspect(connection).has_table("alembic_version"):
        return ""
    return str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar() or "")


def bring_up_to_date(connection: Connection) -> None:
    """Make the tables of a new library, or those that are missing in an older one.

    Raises
    ------
    LibraryError
        A newer program made it, or this role may not change it; nothing was changed.
    """
    found = version_of(connection)
    if found == HEAD:
        return
    if found > HEAD:
        raise LibraryError(
            f"This library was made by a newer version of the program (tables "
            f"{plain(found)}, known up to {HEAD}); it was left as it is. Install the newer version."
        )
    from alembic.util import CommandError

    club = connection.dialect.name == "postgresql"
    try:
        if club:
            connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": _LOCK})
        _upgrade(connection)
    except CommandError as error:
        raise LibraryError(
            f"This library's tables are of a version nobody knows ({plain(found)}); it was left as "
            "it is. Rename it, then make a new one with strokeside library rebuild FOLDER."
        ) from error
    except SQLAlchemyError as error:
        if not club:
            raise
        what = "has no tables yet" if not found else f"is of an older version ({found})"
        raise LibraryError(
            f"The club's library {what}, and this role may not change that; its owner has to open "
            "it once with this version."
        ) from error


def _upgrade(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", "app.library:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
