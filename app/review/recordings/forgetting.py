"""Forgetting on this machine what was chosen and compared for reviews that are deleted."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from app.review.recordings import trust, verify
from app.review.recordings.small_json import change_json, section


def forget(data_folder: Path, reviews: Iterable[Path], recordings: Iterable[Path]) -> None:
    """Take the names of reviews and recordings out of what this machine remembers.

    Parameters
    ----------
    reviews, recordings : where they lie, or lay
    """
    gone = {os.path.realpath(path) for path in reviews}
    files = {os.path.realpath(path) for path in recordings}

    def of_choices(data: dict[str, Any]) -> None:
        for part in ("recordings", "reviews"):
            kept = section(data, part)
            for name in gone & kept.keys():
                del kept[name]
            for seen in kept.values():
                _without(seen, gone | files)

    def of_digests(data: dict[str, Any]) -> None:
        _without(section(data, "files"), files)

    for name, change in ((trust.FILE, of_choices), (verify.FILE, of_digests)):
        if (data_folder / name).is_file():
            change_json(data_folder / name, change)


def _without(entries: object, gone: set[str]) -> None:
    """Take out what is kept under a path that goes, or leads to one."""
    if not isinstance(entries, dict):
        return
    for key, value in list(entries.items()):
        if key in gone or (isinstance(value, str) and value in gone):
            del entries[key]
