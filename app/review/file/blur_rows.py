"""Blurred regions as rows of their tables, and back."""

from __future__ import annotations

import hashlib
import sqlite3
from collections import defaultdict
from functools import lru_cache

from app.review.blur import BlurKey, BlurRegion
from app.review.state import ReviewState

BLUR_TABLES = ("blur_region",)  # emptied at every saving; the places of a region are not


def write_blurs(connection: sqlite3.Connection, state: ReviewState) -> None:
    """Insert the rows of a state; the caller emptied `blur_region`.

    A region may have thousands of places, and stays the same while the coach types: those that the
    file holds already, by their fingerprint, are left alone.
    """
    held = dict(connection.execute("SELECT region_id, fingerprint FROM blur_content"))
    wanted = {region.id: fingerprint(region) for region in state.blurs}
    for id_ in held.keys() - {i for i, mark in wanted.items() if held.get(i) == mark}:
        for table in ("blur_key", "blur_unsure", "blur_content"):
            connection.execute(f"DELETE FROM {table} WHERE region_id = ?", (id_,))
    connection.executemany(
        "INSERT INTO blur_region VALUES (?, ?, ?, ?)",
        [(i, r.id, r.start_s, r.end_s) for i, r in enumerate(state.blurs)],
    )
    new = [r for r in state.blurs if held.get(r.id) != wanted[r.id]]
    connection.executemany(
        "INSERT INTO blur_content VALUES (?, ?)", [(r.id, wanted[r.id]) for r in new]
    )
    connection.executemany(
        "INSERT INTO blur_key VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        [(r.id, place, *key) for r in new for place, key in enumerate(r.keyframes)],
    )
    connection.executemany(
        "INSERT INTO blur_unsure VALUES (?, ?, ?, ?)",
        [(r.id, place, *span) for r in new for place, span in enumerate(r.unsure)],
    )


@lru_cache(maxsize=64)
def fingerprint(region: BlurRegion) -> str:
    """What tells the places and unsure spans of a region from others, in hexadecimal."""
    said = repr((region.keyframes, region.unsure))
    return hashlib.sha256(said.encode()).hexdigest()


def read_blurs(connection: sqlite3.Connection) -> tuple[BlurRegion, ...]:
    """Read the regions in the order they were marked."""
    keys: dict[str, list[BlurKey]] = defaultdict(list)
    for id_, *numbers, by_hand in connection.execute(
        "SELECT region_id, video_s, x_px, y_px, w_px, h_px, by_hand FROM blur_key"
        " ORDER BY region_id, place"
    ):
        video_s, x, y, w, h = map(float, numbers)
        keys[str(id_)].append(BlurKey(video_s, x, y, w, h, bool(by_hand)))
    unsure: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for id_, from_s, to_s in connection.execute(
        "SELECT region_id, from_s, to_s FROM blur_unsure ORDER BY region_id, place"
    ):
        unsure[str(id_)].append((float(from_s), float(to_s)))
    return tuple(
        BlurRegion(
            str(id_),
            tuple(keys[str(id_)]),
            None if start_s is None else float(start_s),
            None if end_s is None else float(end_s),
            tuple(unsure[str(id_)]),
        )
        for id_, start_s, end_s in connection.execute(
            "SELECT id, start_s, end_s FROM blur_region ORDER BY place"
        )
    )
