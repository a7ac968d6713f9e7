"""Two sets of changes to one review, made in two places, become one."""

from __future__ import annotations

import uuid
from collections.abc import Hashable, Iterable
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from app.review.state import ReviewState


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
    there twice; of a single value that both set, ours stands. What one side deleted and the other
    changed is kept.
    """
    new: dict[str, Any] = {}
    doubled, overruled = 0, []
    for field in fields(ReviewState):
        was, our, their = (getattr(s, field.name) for s in (base, ours, theirs))
        if our in (was, their):
            new[field.name] = their
        elif their == was:
            new[field.name] = our
        elif all(_keyed(many) is not None for many in (was, our, their)):
            new[field.name], twice = _items(was, our, their)
            doubled += twice
        else:
            new[field.name] = our
            overruled.append(field.name)
    new["notes"] = tuple(sorted(new["notes"], key=lambda note: note.video_s))
    return Merged(ReviewState(**new), doubled, tuple(overruled))


def _items(was: Any, our: Any, their: Any) -> tuple[tuple[Any, ...], int]:
    """Join things by what tells them apart; gives how many are there twice now."""
    before, ours, result = _keyed(was) or {}, _keyed(our) or {}, dict(_keyed(their) or {})
    twice = 0
    for key, item in ours.items():
        old, theirs = before.get(key), result.get(key)
        if item in (old, theirs):
            continue  # we did not touch it
        if theirs is None or theirs == old:
            result[key] = item
        elif hasattr(item, "id"):
            copy = replace(item, id=uuid.uuid4().hex)
            result[copy.id] = copy
            twice += 1
        else:
            result[key] = item
    for key, old in before.items():
        if key not in ours and result.get(key) == old:
            del result[key]
    return tuple(result.values()), twice


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
