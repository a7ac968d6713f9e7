"""Rows of versions 1 and 2 as rows of today's tables.

What those versions kept as thousands of rows (the places of a blurred face, the events of a
walkthrough) or in tables of their own (voices, logos) are assets today.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, Final

from app.review.values.part import to_lines

Raw = Mapping[str, Any]
RawRows = dict[str, list[Raw]]

# Where versions 1 and 2 kept bulky things: table and column, by the id in its column `id`.
BULKY: Final = {"voice_sound": "wav", "logo": "png"}
# From this version on bulky things are assets, and rows stand as they do today.
WITH_ASSETS: Final = 3


def todays(rows: Mapping[str, list[Raw]], version: int) -> tuple[RawRows, dict[str, bytes]]:
    """Turn rows of a file of some version into today's; a table it had not yet has no rows.

    Returns
    -------
    rows, assets
        Rows by table, and the assets that were rows before; voices and logos are not among them.
    """
    if version >= WITH_ASSETS:
        return {name: list(many) for name, many in rows.items()}, {}
    new: RawRows = {name: list(many) for name, many in rows.items() if name not in BULKY}
    assets: dict[str, bytes] = {}
    new["meta"] = [*new.get("meta", []), _identity(new.get("meta", []))]
    _paths(new, assets)
    _courses(new, assets)
    marked = {row.get("comparison_id") for row in new.pop("comparison_marks", [])}
    new["comparison"] = [
        {**row, "other_marks": int(row.get("id") in marked)} for row in new.get("comparison", [])
    ]
    return new, assets


def _identity(meta: Iterable[Raw]) -> Raw:
    """An identity that follows from the file, so that it is the same however often it is read."""
    said = {row.get("key"): row.get("value") for row in meta}
    digest = hashlib.sha256(f"strokeside-review:{said.get('revision')}".encode())
    return {"key": "review_id", "value": digest.hexdigest()[:32]}


def _paths(new: RawRows, assets: dict[str, bytes]) -> None:
    keys, unsure = (
        _by(new.pop("blur_key", []), "region_id"),
        _by(new.pop("blur_unsure", []), "region_id"),
    )
    new.pop("blur_content", None)
    regions: list[Raw] = []
    for region in new.get("blur_region", []):
        names = ("video_s", "x_px", "y_px", "w_px", "h_px", "by_hand")
        keyed, spanned = keys[region.get("id")], unsure[region.get("id")]
        lines: list[object] = [[_sayable(row.get(n)) for n in names] for row in keyed]
        spans = [[_sayable(row.get(n)) for n in ("from_s", "to_s")] for row in spanned]
        lines += [{"unsure": span} for span in spans]
        regions.append({**region, "path": _kept(to_lines(lines), assets)})
    new["blur_region"] = regions


def _courses(new: RawRows, assets: dict[str, bytes]) -> None:
    events = _by(new.pop("walkthrough_event", []), "score_id")
    courses: list[Raw] = []
    for walk in new.get("walkthrough", []):
        score_id = walk.get("score_id")
        lines = b"".join(_line(row) for row in events[score_id])
        course = {"walkthrough_id": walk.get("id"), "score_id": score_id}
        courses.append({**course, "events": _kept(lines, assets)})
    new["walkthrough_score"] = courses


def _line(row: Raw) -> bytes:
    """An event as a line; its detail was JSON already, and is no more trusted than before."""
    head = (
        f'{{"at_s":{json.dumps(_sayable(row.get("at_s")))},"is":{json.dumps(str(row.get("kind")))}'
    )
    detail = str(row.get("detail")).replace("\n", " ")
    return f'{head},"says":{detail}}}\n'.encode("utf-8", "replace")


def _sayable(value: object) -> object:
    """What JSON can say: a stranger's blob in place of a number becomes nothing, and is refused."""
    return None if isinstance(value, bytes) else value


def _kept(data: bytes, assets: dict[str, bytes]) -> str:
    asset_id = hashlib.sha256(data).hexdigest()
    assets[asset_id] = data
    return asset_id


def _by(rows: Iterable[Raw], parent: str) -> defaultdict[Any, list[Raw]]:
    found: defaultdict[Any, list[Raw]] = defaultdict(list)
    for row in sorted(rows, key=_place):
        found[row.get(parent)].append(row)
    return found


def _place(row: Raw) -> float:
    place = row.get("place")
    return place if isinstance(place, int | float) else 0
