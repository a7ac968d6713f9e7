"""What a crash left of a walkthrough's journal, read as if a stranger had written it."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import UnionType
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from app.files.plain import TooLargeError, open_plain
from app.review.parts.walk_events import Event, Score, check_score
from app.review.parts.walkthrough_text import detail_of, event_of, from_line, kind_of
from app.review.values.errors import ReviewError
from app.review.values.text import readable
from app.review.wav_file import LONGEST_S

MOST_LINE: Final = 1_000_000
MOST_EVENTS: Final = 5_000_000
_USUAL_LINE: Final = 1000  # bytes; a film of drawing without a pause stays below this on average
_LONGEST_TITLE: Final = 1000
# What a line that is no event can make of what reads it.
_NO_EVENT: Final = (
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    ArithmeticError,
    RecursionError,
    ReviewError,
)
_LARGEST: Final = 1e9  # seconds or pixels
_KINDS: Final[dict[type[Any], dict[str, tuple[type[Any], ...]]]] = {}


def read_journal(path: Path) -> tuple[str, list[Event], float]:
    """Title, events and the last second noted; a line that says nothing is passed over.

    Raises
    ------
    OSError
        It cannot be read, is no plain file, or is larger than any journal.
    """
    events: list[Event] = []
    title, last_s = "", 0.0
    for line in _lines(path):
        try:
            told: Any = json.loads(line)
            if "walkthrough" in told:
                title = readable(str(told["title"]))[:_LONGEST_TITLE]
                continue
            at_s = float(told["at_s"])
            if not 0.0 <= at_s <= LONGEST_S:
                continue
            if told["is"] != "beat":
                events.append(_checked(from_line(line)))
            last_s = max(last_s, at_s)
        except _NO_EVENT:
            continue
    return title, events, last_s


def _checked(event: Event) -> Event:
    """An event that can be shown, written and read back; raises one of `_NO_EVENT`."""
    _check_fields(event)
    check_score(Score((event,)))
    if event_of(event.at_s, kind_of(event), detail_of(event)) != event:
        raise ValueError("it would be read back as another one")
    return event


def _check_fields(thing: Any) -> None:
    """Refuse a field that is not of its kind: JSON can hold anything in any place."""
    kinds = _KINDS.get(type(thing)) or _KINDS.setdefault(type(thing), _kinds(type(thing)))
    for name, classes in kinds.items():
        value = getattr(thing, name)
        if not isinstance(value, classes):
            raise TypeError(f"{name} is of another kind")
        if is_dataclass(value):
            _check_fields(value)
        elif isinstance(value, tuple):
            for number in itertools.chain.from_iterable(value):
                _check_number(number)
        elif isinstance(value, str):
            value.encode()
        elif isinstance(value, int | float):
            _check_number(value)


def _kinds(cls: type[Any]) -> dict[str, tuple[type[Any], ...]]:
    """What each field of a class may hold, as classes."""
    hints = get_type_hints(cls)
    return {field.name: _classes(hints[field.name]) for field in fields(cls)}


def _classes(kind: Any) -> tuple[type[Any], ...]:
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        return tuple(cls for option in get_args(kind) for cls in _classes(option))
    if origin is Literal:
        return tuple({type(word) for word in get_args(kind)})
    # A whole number will do for any number.
    return (float, int) if kind is float else (origin or kind,)


def _check_number(number: float) -> None:
    if not math.isfinite(number) or abs(number) > _LARGEST:
        raise ValueError("a number is out of range")


def _lines(path: Path) -> Iterator[bytes]:
    """The lines of a journal, as long as it can be one."""
    with open_plain(path, MOST_EVENTS * _USUAL_LINE) as file:
        for count in itertools.count():
            line = file.readline(MOST_LINE + 1)
            if len(line) > MOST_LINE or count > MOST_EVENTS:
                raise TooLargeError(f"{path.name} is no journal")
            if not line:
                return
            yield line
