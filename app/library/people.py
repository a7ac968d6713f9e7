"""Athletes: added, named, tagged, found by name, shared with another coach."""

from __future__ import annotations

import unicodedata
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime
from typing import Any, Final

from sqlalchemy import Connection, Row, delete, func, insert, or_, select, text, update

from app.library.errors import LibraryError, NoSuchAthlete
from app.library.library import Library, put
from app.library.tables import ATHLETE, ATHLETE_NAME, ATHLETE_SHARE, ATHLETE_TAG
from app.review.values.text import plain, readable

LONGEST: Final = 10_000  # characters of notes and consent
LONGEST_NAME: Final = 200
ROLE_LENGTH: Final = 63  # PostgreSQL's own most


@dataclass(frozen=True)
class Athlete:
    """What a coach says of an athlete.

    Attributes
    ----------
    id : 32 hexadecimal digits
    birth_year, under_age, consent : None where nobody said
    consent_on : ISO date on which consent was given or refused, "" where it is not known
    consent_words : what exactly was agreed to
    owner : role of the coach whose athlete it is, "" in a file of one's own
    """

    id: str
    name: str
    birth_year: int | None = None
    level: str = ""
    notes: str = ""
    under_age: bool | None = None
    consent: bool | None = None
    consent_on: str = ""
    consent_words: str = ""
    owner: str = ""
    added_at: str = ""
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class Told:
    """What is to be changed of an athlete; None for what stays."""

    birth_year: int | None = None
    level: str | None = None
    notes: str | None = None
    under_age: bool | None = None
    consent: bool | None = None
    consent_on: str | None = None
    consent_words: str | None = None
    tags: Sequence[str] | None = None


def now() -> str:
    """The present moment, ISO 8601 in UTC."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def name_key(name: str) -> str:
    """By what a name is known again: case, spaces and ways to write a letter do not matter."""
    whole = unicodedata.normalize("NFKC", readable(name)).casefold()
    return " ".join(whole.split())


def add_athlete(library: Library, name: str, told: Told | None = None) -> Athlete:
    """Add an athlete, or say more of one who is there already under this name.

    Raises
    ------
    LibraryError
        No name, a year nobody can be born in, or a text without end.
    """
    told = told or Told()
    _check(name, told)
    with library.writing() as connection:
        athlete_id = named(connection, library.coach, name) or insert_athlete(
            connection, library.coach, name
        )
        _say(connection, athlete_id, told)
        return read_athlete(connection, athlete_id)


def rename(library: Library, athlete_id: str, name: str) -> Athlete:
    """Give an athlete another name; reviews that say the old one still find them.

    Raises
    ------
    LibraryError
        Another athlete has that name.
    """
    _check(name, Told())
    with library.writing() as connection:
        known = read_athlete(connection, athlete_id)
        taken = named(connection, known.owner, name)
        if taken not in ("", athlete_id):
            raise LibraryError(
                f"Another athlete is called {plain(name)}; nothing was changed. Add something that "
                "tells the two apart."
            )
        _name(connection, known.owner, athlete_id, name)
        connection.execute(
            update(ATHLETE).where(ATHLETE.c.id == athlete_id).values(name=_tidy(name))
        )
        return replace(known, name=_tidy(name))


def insert_athlete(connection: Connection, owner: str, name: str) -> str:
    """Put in a new athlete and return the id; of two at once one wins and both get it."""
    athlete_id = uuid.uuid4().hex
    connection.execute(
        insert(ATHLETE).values(
            id=athlete_id, owner=owner, name=_tidy(name), level="", notes="", consent_on="",
            consent_words="", added_at=now(),
        )
    )  # fmt: skip
    _name(connection, owner, athlete_id, name)
    winner = named(connection, owner, name)
    if winner != athlete_id:
        connection.execute(delete(ATHLETE).where(ATHLETE.c.id == athlete_id))
    return winner


def named(connection: Connection, owner: str, name: str) -> str:
    """The id of a coach's own athlete of that name, "" for none."""
    query = select(ATHLETE_NAME.c.athlete_id).where(
        ATHLETE_NAME.c.owner == owner, ATHLETE_NAME.c.name_key == name_key(name)
    )
    return connection.execute(query).scalar() or ""


def of_name(connection: Connection, coach: str, name: str) -> str:
    """The id of the athlete a review of that name is about, "" for none.

    The coach's own comes first, then the only one shared with them who may be written to.
    """
    own = named(connection, coach, name)
    if own or not coach:
        return own
    shared = connection.execute(
        select(ATHLETE_NAME.c.athlete_id)
        .join(ATHLETE_SHARE, ATHLETE_SHARE.c.athlete_id == ATHLETE_NAME.c.athlete_id)
        .where(
            ATHLETE_NAME.c.name_key == name_key(name),
            ATHLETE_SHARE.c.coach == coach,
            ATHLETE_SHARE.c.may_write,
        )
        .distinct()
    ).scalars()
    found = list(shared)
    return found[0] if len(found) == 1 else ""


def find_athlete(library: Library, said: str) -> Athlete:
    """Find an athlete by name or id.

    Raises
    ------
    NoSuchAthlete
        Nobody, or more than one, is called so; the sentence names who is near.
    """
    said = readable(said)  # half a character is in no name, and no database takes it
    with library.reading() as connection:
        own = named(connection, library.coach, said)
        ids = [own] if own else _known_as(connection, said)
        if len(ids) == 1:
            return read_athlete(connection, ids[0])
        near = _near(connection, said)
    if len(ids) > 1:
        raise NoSuchAthlete(
            f"{len(ids)} athletes are called {plain(said)}; say which by the id that "
            "“strokeside library find” gives."
        )
    hint = f" Near it: {', '.join(near)}." if near else ""
    raise NoSuchAthlete(f"There is no athlete {plain(said)} in the library.{hint}")


def read_athlete(connection: Connection, athlete_id: str) -> Athlete:
    """Read one athlete; raises NoSuchAthlete."""
    row = connection.execute(select(ATHLETE).where(ATHLETE.c.id == athlete_id)).first()
    if row is None:
        raise NoSuchAthlete("That athlete is not in the library any more.")
    tags = connection.execute(
        select(ATHLETE_TAG.c.tag)
        .where(ATHLETE_TAG.c.athlete_id == athlete_id)
        .order_by(ATHLETE_TAG.c.tag)
    ).scalars()
    return athlete_of(row, tuple(tags))


def athlete_of(row: Row[Any], tags: tuple[str, ...] = ()) -> Athlete:
    """Make an athlete of a row of their table."""
    names = [f.name for f in fields(Athlete) if f.name != "tags"]
    return Athlete(**{name: getattr(row, name) for name in names}, tags=tags)


def share(library: Library, athlete_id: str, coach: str, may_write: bool) -> None:
    """Let another coach of the club see an athlete, or change what is kept of them.

    Raises
    ------
    LibraryError
        This is no club's library, there is no such coach, or the athlete is another coach's.
    """
    _only_in_club(library)
    with library.writing() as connection:
        known = read_athlete(connection, athlete_id)
        known_role = connection.execute(
            text("SELECT 1 FROM pg_roles WHERE rolname = :coach"), {"coach": coach}
        ).scalar()
        if known_role is None or len(coach) > ROLE_LENGTH:
            raise LibraryError(f"The club has no coach {plain(coach)}; nothing was changed.")
        row = {
            "athlete_id": athlete_id, "owner": known.owner, "coach": coach, "may_write": may_write,
        }  # fmt: skip
        put(connection, ATHLETE_SHARE, [row], keep=("owner",))


def unshare(library: Library, athlete_id: str, coach: str) -> None:
    """Take that back; raises LibraryError where this is no club's library."""
    _only_in_club(library)
    with library.writing() as connection:
        connection.execute(
            delete(ATHLETE_SHARE).where(
                ATHLETE_SHARE.c.athlete_id == athlete_id, ATHLETE_SHARE.c.coach == coach
            )
        )


def _only_in_club(library: Library) -> None:
    if not library.is_club:
        raise LibraryError(
            "An athlete is shared in a club's library alone; this one is a file of your own."
        )


def _known_as(connection: Connection, said: str) -> list[str]:
    query = (
        select(ATHLETE_NAME.c.athlete_id)
        .where(or_(ATHLETE_NAME.c.name_key == name_key(said), ATHLETE_NAME.c.athlete_id == said))
        .distinct()
    )
    return list(connection.execute(query).scalars())


def _near(connection: Connection, said: str) -> list[str]:
    words = name_key(said).split()
    if not words:
        return []
    any_word = or_(*(ATHLETE_NAME.c.name_key.contains(word, autoescape=True) for word in words))
    query = (
        select(ATHLETE.c.name)
        .join(ATHLETE_NAME, ATHLETE_NAME.c.athlete_id == ATHLETE.c.id)
        .where(any_word)
        .order_by(func.lower(ATHLETE.c.name))
        .distinct()
        .limit(5)
    )
    if connection.dialect.name == "postgresql":  # which orders by what it selects where distinct
        query = query.order_by(None)
    return [plain(name) for name in connection.execute(query).scalars()]


def _name(connection: Connection, owner: str, athlete_id: str, name: str) -> None:
    row = {"owner": owner, "name_key": name_key(name), "athlete_id": athlete_id}
    put(connection, ATHLETE_NAME, [row], ours=False)


def _say(connection: Connection, athlete_id: str, told: Told) -> None:
    said = {f.name: getattr(told, f.name) for f in fields(told) if f.name != "tags"}
    values = {k: _clean(v) for k, v in said.items() if v is not None}
    if values:
        connection.execute(update(ATHLETE).where(ATHLETE.c.id == athlete_id).values(**values))
    if told.tags is not None:
        connection.execute(delete(ATHLETE_TAG).where(ATHLETE_TAG.c.athlete_id == athlete_id))
        tags = sorted({_tidy(tag) for tag in told.tags if _tidy(tag)})
        put(connection, ATHLETE_TAG, [{"athlete_id": athlete_id, "tag": tag} for tag in tags])


def _clean(value: object) -> object:
    return readable(value) if isinstance(value, str) else value


def _tidy(name: str) -> str:
    return " ".join(readable(name).split())


def _check(name: str, told: Told) -> None:
    if not name_key(name) or len(name) > LONGEST_NAME:
        raise LibraryError(f"An athlete has a name of up to {LONGEST_NAME} characters.")
    if told.birth_year is not None and not 1900 <= told.birth_year <= datetime.now(UTC).year:
        raise LibraryError(f"Nobody who rows was born in {told.birth_year}; nothing was changed.")
    if (
        max((len(t) for t in (told.notes, told.consent_words, told.level) if t), default=0)
        > LONGEST
    ):
        raise LibraryError(f"A text in the library has up to {LONGEST} characters.")
