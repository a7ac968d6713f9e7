"""Two sets of changes to one review, made in two places, become one."""

from __future__ import annotations

import uuid
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, is_dataclass, replace
from pathlib import Path
from typing import Any

from app.review.parts.state import PARTS, ReviewState


@dataclass(frozen=True)
class Merged:
    """What became of two sets of changes.

    Attributes
    ----------
    state : both
    doubled : how many things both had changed differently; both stand in the review now
    overruled : names of fields both had set differently; ours stands, theirs does not
    copy : a file that holds what theirs was, where something was overruled
    """

    state: ReviewState
    doubled: int = 0
    overruled: tuple[str, ...] = ()
    copy: Path | None = None


def merged(base: ReviewState, ours: ReviewState, theirs: ReviewState) -> Merged:
    """Join what was changed in two places since a common state.

    What only one side touched is as that side left it. A thing with an id that both changed is
    there twice, ours under the id it had, for somebody may be typing in it; of a single value that
    both set, ours stands. What one side deleted and the other changed is kept.
    """
    new: dict[str, Any] = {}
    doubled, overruled = 0, list[str]()
    for names in _units():
        was, our, their = (tuple(getattr(s, n) for n in names) for s in (base, ours, theirs))
        if our in (was, their):
            result = their
        elif their == was:
            result = our
        elif len(names) == 1 and all(_keyed(many[0]) is not None for many in (was, our, their)):
            items, twice, one = _items(was[0], our[0], their[0])
            result = (items,)
            doubled += twice
            overruled += names if one else ()
        else:
            result = our
            overruled += (n for n, a, b in zip(names, our, their, strict=True) if a != b)
        new |= dict(zip(names, result, strict=True))
    new["notes"] = tuple(sorted(new["notes"], key=lambda note: note.video_s))
    return Merged(ReviewState(**new), doubled, tuple(overruled))


def _units() -> Iterator[tuple[str, ...]]:
    """Names of fields, those in one unit that hold only with each other."""
    for part in PARTS:
        if part.together:
            yield part.names
        else:
            yield from ((name,) for name in part.names)


def _items(was: Any, our: Any, their: Any) -> tuple[tuple[Any, ...], int, bool]:
    """Join things by what tells them apart.

    Returns
    -------
    items, twice, overruled
        How many are there twice now, and whether something of theirs is not there any more.
    """
    before, ours, result = _keyed(was) or {}, _keyed(our) or {}, dict(_keyed(their) or {})
    twice, overruled = 0, False
    for key, item in ours.items():
        old, theirs = before.get(key), result.get(key)
        if item in (old, theirs):
            continue  # we did not touch it
        result[key] = item
        if theirs is not None and theirs != old and hasattr(item, "id"):
            copy = replace(theirs, id=uuid.uuid4().hex)
            result[copy.id] = copy
            twice += 1
        elif theirs is not None and theirs != old:
            overruled = True
    for key, old in before.items():
        if key not in ours and result.get(key) == old:
            del result[key]
    return tuple(result.values()), twice, overruled


def _keyed(many: Any) -> dict[Hashable, Any] | None:
    """Things by what tells them apart; None where they have nothing of the kind."""
    if not isinstance(many, tuple) or is_dataclass(many):
        return None
    keys = [_key(item) for item in many]
    if None in keys or len(set(keys)) != len(keys):
        return None
    return dict(zip(keys, many, strict=True))


def _key(item: Any) -> Hashable:
    for name in ("id", "code"):
        if hasattr(item, name):
            key: Hashable = getattr(item, name)
            return key
    if isinstance(item, tuple) and len(item) == 2 and isinstance(item[0], str):
        return item[0]  # a threshold by its name
    return None


def differences(before: ReviewState, after: ReviewState) -> tuple[str, ...]:
    """What differs between two states, in a coach's words: "2 notes added, 1 changed"."""
    from app.review.file.delta import delta

    counts: dict[tuple[str, str], list[int]] = {}
    for change in delta(before, after).rows:
        if not (change.table.words[0] and change.table.counted):
            continue
        kind = 0 if change.before is None else 1 if change.after is None else 2
        counts.setdefault(change.table.words, [0, 0, 0])[kind] += 1
    return tuple(_said(words, numbers) for words, numbers in counts.items())


def _said(words: tuple[str, str], numbers: Iterable[int]) -> str:
    parts = [
        f"{number} {words[number != 1]} {verb}"
        for number, verb in zip(numbers, ("added", "removed", "changed"), strict=True)
        if number
    ]
    return ", ".join(parts)
