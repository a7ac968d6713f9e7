"""Events of a walkthrough as lines of JSON, for the journal and for the file; and back."""

from __future__ import annotations

import json
from collections.abc import Hashable
from dataclasses import asdict, is_dataclass, replace
from functools import cache
from types import NoneType
from typing import Any, Final, cast, get_type_hints

from app.review.parts.comparisons import PairLook, PictureFit
from app.review.parts.marks import Mark
from app.review.parts.walk_events import (
    CurveShown,
    Event,
    Laid,
    MarkDrawn,
    MarkGone,
    Moved,
    Ran,
    Shown,
    Turned,
    Zoomed,
)
from app.review.values.text import without_controls

KINDS: Final[dict[str, type[Any]]] = {
    "moved": Moved,
    "ran": Ran,
    "mark": MarkDrawn,
    "mark_gone": MarkGone,
    "turned": Turned,
    "zoomed": Zoomed,
    "curve": CurveShown,
    "shown": Shown,
    "laid": Laid,
}
_PLAIN: Final[dict[Any, tuple[type[Any], ...]]] = {
    str: (str,),
    bool: (bool,),
    int: (int,),
    float: (float, int),
    float | None: (float, int, NoneType),
}
_NAMES: Final = {cls: name for name, cls in KINDS.items()}


def kind_of(event: Event) -> str:
    """The word an event is written under."""
    return _NAMES[type(event)]


def detail_of(event: Event) -> str:
    """What an event says besides its time, as JSON."""
    fields = asdict(event)
    del fields["at_s"]
    return json.dumps(fields, separators=(",", ":"))


def event_of(at_s: float, kind: str, detail: str) -> Event:
    """Make an event of what was written.

    Raises
    ------
    ValueError, KeyError, TypeError
        It is none.
    """
    fields = json.loads(detail)
    if kind == "mark":
        told = fields["mark"]
        points = tuple((float(x), float(y)) for x, y in told.pop("points_px"))
        fields = {"mark": Mark(points_px=points, **told)}
    elif kind == "laid":
        told = fields["look"]
        fields = {"look": PairLook(fit=PictureFit(**told.pop("fit")), **told)}
    elif kind in ("moved", "ran", "zoomed"):
        fields = {name: float(value) for name, value in fields.items()}
    event: Event = KINDS[kind](at_s=float(at_s), **fields)
    return cast(Event, _typed(event))


def _typed(item: Any) -> Any:
    """The same, its texts without what steers a screen; a value of a wrong kind is a TypeError.

    JSON keeps no promise about kinds, and what paints an event later believes them.
    """
    texts: dict[str, str] = {}
    for name, wanted in _kinds_of(item.__class__).items():
        value = getattr(item, name)
        if is_dataclass(wanted):
            texts[name] = _typed(value)
        elif wanted is str and isinstance(value, str):
            texts[name] = without_controls(value)
            value.encode()  # half of a character: no page could be written with it
        elif wanted in _PLAIN and type(value) not in _PLAIN[wanted]:
            raise TypeError(f"{name} of an event is not what it should be")
    return replace(item, **texts)


@cache
def _kinds_of(cls: Hashable) -> dict[str, Any]:
    return get_type_hints(cls)


def to_line(event: Event) -> bytes:
    """One line of a journal."""
    line = f'{{"at_s":{event.at_s:.6f},"is":"{kind_of(event)}","says":{detail_of(event)}}}\n'
    return line.encode()


def from_line(line: bytes) -> Event:
    """The event of a line of a journal; raises ValueError, KeyError or TypeError."""
    told = json.loads(line)
    return event_of(told["at_s"], told["is"], json.dumps(told["says"]))
