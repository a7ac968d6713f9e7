"""What a part of a review is: its fields, its tables, and the way between the two.

A review is made of parts (`app/review/parts`), one module for each kind of thing it holds. A part
is a frozen dataclass whose fields become fields of the review's state, and a `Part` that says how
they stand in the file. The rest of the house (saving what changed, undo, merging, salvage, the list
of earlier versions) works on parts and knows none by name.
"""

from __future__ import annotations

import json
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Final, Generic, TypeVar

from app.review.values.errors import ReviewError
from app.review.values.text import plain, without_controls

S = TypeVar("S")
T = TypeVar("T")
Row = tuple[Any, ...]
LARGEST_INTEGER: Final = 2**63 - 1  # what a SQLite integer holds
# Of all assets that are read line by line, counted each time one is named: a small asset named by
# ten thousand rows would be read for hours. Some minutes of points at every frame are 36 000.
MOST_LINES: Final = 500_000
MOST_LINES_OF_PART: Final = MOST_LINES // 2  # of what is written, so that it can be read
# What comes of making a thing from rows or JSON that anybody may have written.
UNREADABLE: Final = (
    ValueError,
    TypeError,
    KeyError,
    AttributeError,
    OverflowError,  # a whole number too large for a float
    RecursionError,
)


@dataclass(frozen=True)
class Table:
    """One table of the file.

    Attributes
    ----------
    columns : SQL type and constraints of each column by its name, in order
    key : columns that tell its rows apart
    asset : column that names an asset, "" where there is none
    words : what one of its rows is to a coach, and many
    counted : whether each of its rows is a thing to a coach, rather than a piece of one
    added : columns that came later, oldest first, with their value in a row from before: those
        of an earlier version lack all, files of this one from before any of them that one and
        those behind it, until the next saving
    late : files of this version from before it lack the table, and get it with its first row
    """

    name: str
    columns: Mapping[str, str]
    key: tuple[str, ...]
    asset: str = ""
    words: tuple[str, str] = ("", "")
    counted: bool = True
    added: Mapping[str, Any] = field(default_factory=dict)
    late: bool = False

    @property
    def create(self) -> str:
        """The statement that makes it."""
        return self._made(())

    @property
    def earlier(self) -> dict[str, tuple[str, ...]]:
        """The statements that made it before columns were added, with those each lacks."""
        added = tuple(self.added)
        return {self._made(added[n:]): added[n:] for n in range(len(added))}

    def _made(self, without: tuple[str, ...]) -> str:
        said = [f"    {name} {kind}" for name, kind in self.columns.items() if name not in without]
        said.append(f"    PRIMARY KEY ({', '.join(self.key)})")
        return f"CREATE TABLE {self.name} (\n" + ",\n".join(said) + "\n)"

    def row(self, item: object = None, /, **said: Any) -> Row:
        """A row: what is said, and the rest from the item's fields of the same names."""
        return tuple(said[c] if c in said else getattr(item, c) for c in self.columns)

    def key_of(self, row: Row) -> Row:
        """What tells a row apart from the others."""
        names = list(self.columns)
        return tuple(row[names.index(name)] for name in self.key)


Rows = list[tuple[Table, Row]]


@dataclass(frozen=True, eq=False)
class Group:
    """Rows that stand for one thing, such as a note with its voice.

    Attributes
    ----------
    key : tells it apart from the part's other things
    source : what it is made from; the same object at the same place needs no comparing of rows
    make : gives its rows
    assets : gives the bulky things it refers to, by their ids, as far as they follow from it
    """

    key: str
    source: object
    make: Callable[[], Rows]
    place: int = 0
    assets: Callable[[], Mapping[str, bytes]] = dict


# Whether a thing speaks of the force, and keeps its second there when the line-up changes.
FLAG: Final = "INTEGER NOT NULL CHECK (on_force IN (0, 1))"


def ready(key: str, source: object, *rows: tuple[Table, Row], place: int = 0) -> Group:
    """A group whose few rows are made already."""
    return Group(key, source, lambda: list(rows), place)


class Cells:
    """One row as it was read: every value is asked for by the type it must have.

    Raises
    ------
    ValueError
        From each of its methods: the value is of another type, or no usable number.
    """

    def __init__(self, table: str, values: Mapping[str, Any]) -> None:
        self.table = table
        self._values = values

    def has(self, column: str) -> bool:
        """Whether the table has such a column (an older one may not)."""
        return column in self._values

    def text(self, column: str) -> str:
        """Text, without what could steer a screen."""
        value = self._values[column]
        if not isinstance(value, str):
            raise self._wrong(column, "text")
        return without_controls(value)

    def number(self, column: str) -> float:
        """A finite number."""
        value = self._values[column]
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._wrong(column, "a number")
        if not math.isfinite(value):
            raise self._wrong(column, "a finite number")
        return float(value)

    def number_or_none(self, column: str) -> float | None:
        """A finite number, or None for NULL."""
        return None if self._values[column] is None else self.number(column)

    def count(self, column: str) -> int:
        """A whole number."""
        value = self._values[column]
        if not isinstance(value, int) or abs(value) > LARGEST_INTEGER:
            raise self._wrong(column, "a whole number")
        return value

    def count_or_none(self, column: str) -> int | None:
        """A whole number, or None for NULL."""
        return None if self._values[column] is None else self.count(column)

    def flag(self, column: str) -> bool:
        """0 or 1."""
        if self._values[column] not in (0, 1):
            raise self._wrong(column, "0 or 1")
        return bool(self._values[column])

    def flag_or_none(self, column: str) -> bool | None:
        """0 or 1, or None for NULL."""
        return None if self._values[column] is None else self.flag(column)

    def word(self, column: str, words: Iterable[T]) -> T:
        """One of some words."""
        value = self._values[column]
        for word in words:
            if word == value:
                return word
        raise self._wrong(column, "a word that is known there")

    def _wrong(self, column: str, wanted: str) -> ValueError:
        return ValueError(f"{self.table}.{column} is not {wanted}")


class Stored:
    """The rows of a file on their way to a state.

    Parameters
    ----------
    rows : of each table by its name, as mappings from column to value
    asset : gives a bulky thing by its id; raises ReviewError where it is not there
    lenient : pass over what cannot be read and note it in `lost`, rather than refuse

    Attributes
    ----------
    lost : a sentence for each thing that was passed over
    """

    def __init__(
        self,
        rows: Mapping[str, Iterable[Mapping[str, Any]]],
        asset: Callable[[str], bytes],
        lenient: bool = False,
    ) -> None:
        self._rows = {name: [Cells(name, row) for row in many] for name, many in rows.items()}
        self._asset = asset
        self.lenient = lenient
        self.lost: list[str] = []
        self._lines_left = MOST_LINES

    def each(
        self, table: Table, make: Callable[[Cells], T], check: Callable[[T], None] | None = None
    ) -> tuple[T, ...]:
        """What is made of every row, in the order of their places.

        Raises
        ------
        ReviewError
            A row cannot be read; never when lenient.
        """
        made, bad = [], 0
        for cells in self._ordered(table):
            try:
                item = make(cells)
                if check is not None:
                    check(item)
            except UNREADABLE as error:
                if not self.lenient:
                    raise _unreadable(error) from None
                bad += 1
                continue
            made.append(item)
        if bad:
            what = table.words[bad != 1] or f"row(s) of the table {table.name}"
            self.lost.append(f"{bad} {what} could not be read")
        return tuple(made)

    def one(self, table: Table, make: Callable[[Cells], T], otherwise: T) -> T:
        """What is made of the only row, or something else where there is none."""
        made = self.each(table, make)
        return made[0] if made else otherwise

    def by(
        self, table: Table, parent: str, make: Callable[[Cells], T]
    ) -> defaultdict[str, list[T]]:
        """What is made of every row, in order, by the id in its column `parent`."""
        found: defaultdict[str, list[T]] = defaultdict(list)
        for id_, item in self.each(table, lambda cells: (cells.text(parent), make(cells))):
            found[id_].append(item)
        return found

    def asset(self, asset_id: str) -> bytes:
        """A bulky thing; raises ReviewError where it is not there."""
        return self._asset(asset_id)

    def lines(self, asset_id: str, make: Callable[[Any], T], what: str) -> tuple[T, ...]:
        """What is made of each line of JSON of an asset; a bad one costs itself when lenient."""
        made, bad = [], 0
        data = self.asset(asset_id)
        self._lines_left -= data.count(b"\n") + 1
        if self._lines_left < 0:
            raise ReviewError(f"It has more {what} than any review.")
        for line in data.split(b"\n"):
            if not line:
                continue
            try:
                # As text: of bytes, the decoder first guesses the encoding, which takes longest.
                made.append(make(json.loads(line.decode())))
            except UNREADABLE as error:
                if not self.lenient:
                    raise _unreadable(error) from None
                bad += 1
        if bad:
            self.lost.append(f"{bad} of {bad + len(made)} {what} could not be read")
        return tuple(made)

    def _ordered(self, table: Table) -> Iterator[Cells]:
        many = self._rows.get(table.name, [])
        if "place" not in table.columns:
            return iter(many)
        return iter(sorted(many, key=_place))


def _unreadable(error: Exception) -> ReviewError:
    """As one sentence; it may quote what a stranger wrote."""
    said = plain(str(error), 160).rstrip(".")
    return ReviewError(f"The review holds something unreadable ({said}).")


def _place(cells: Cells) -> float:
    try:
        return cells.count("place") if cells.has("place") else 0
    except ValueError:
        return math.inf


def to_lines(items: Iterable[Any]) -> bytes:
    """JSON, one line an item: readable by any program, and one bad line costs only itself."""
    return b"".join(json.dumps(item, separators=(",", ":")).encode() + b"\n" for item in items)


def unique(
    items: Iterable[T], key: Callable[[T], object], what: str, lenient: bool
) -> tuple[T, ...]:
    """The items, each once; raises ReviewError for two with one key, or drops the later one."""
    seen: dict[object, T] = {}
    for item in items:
        if key(item) in seen:
            if not lenient:
                raise ReviewError(f"Two {what} share one id.")
            continue
        seen[key(item)] = item
    return tuple(seen.values())


def on_force(c: Cells) -> bool:
    """Whether a row's thing is pinned to the force; files had no such column before version 4."""
    return c.flag("on_force") if c.has("on_force") else False


def _nothing(_state: object) -> None:
    return None


def _as_it_is(_state: object, _by: float) -> Mapping[str, Any]:
    return {}


# The moment of the film at which what was at another moment stands now, seconds.
Moment = Callable[[float], float]


def _as_it_stands(_state: object, _moment: Moment) -> Mapping[str, Any]:
    return {}


@dataclass(frozen=True)
class Part(Generic[S]):
    """How one kind of thing stands in the file.

    Attributes
    ----------
    holds : the dataclass whose fields it adds to the review's state
    tables : in the order they are made
    groups : the things of a state as rows
    read : the values of its fields, by name
    check : refuses a state that could not be used; raises ReviewError
    retime : the values of those fields that change when one second of film becomes `by` seconds
    realign : those that change when what is pinned to the force moves to another moment of the
        film; it is given the new moment of an old one
    together : its fields hold only with each other, so that merging takes all from one side
    """

    holds: type[S]
    tables: tuple[Table, ...]
    groups: Callable[[S], Iterable[Group]]
    read: Callable[[Stored], Mapping[str, Any]]
    check: Callable[[S], None] = field(default=_nothing)
    retime: Callable[[S, float], Mapping[str, Any]] = field(default=_as_it_is)
    realign: Callable[[S, Moment], Mapping[str, Any]] = field(default=_as_it_stands)
    together: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its fields."""
        return tuple(f.name for f in fields(self.holds))  # type: ignore[arg-type]


PART_OF: Final[dict[type[Any], Part[Any]]] = {}


def declare(part: Part[S]) -> Part[S]:
    """Make a part known by the dataclass of its fields; `ReviewState` names that one."""
    PART_OF[part.holds] = part
    return part
