"""Names of a deleted review that this machine remembers beside the library: they go with it."""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any, Final

from app.review.recordings.forgetting import forget
from app.review.recordings.small_json import change_json, section

SETTINGS: Final = "settings.json"
PLACES: Final = "places.json"  # where each review was left
BATCH: Final = ".batch.json"  # in a folder of drafts


def forget_reviews(
    data: Path,
    config: Path | None,
    review_ids: Collection[str],
    reviews: Collection[Path],
    recordings: Iterable[Path],
) -> None:
    """Take reviews out of the recent ones, the places they were left at, and lists of drafts.

    Parameters
    ----------
    data, config : folders of this user; no settings are looked for without the second
    reviews : every place they lie or lay at
    """
    forget(data, reviews, recordings)
    names = {name for path in reviews for name in (str(path), _resolved(path))}

    def of_settings(told: dict[str, Any]) -> None:
        recent = told.get("recent")
        if isinstance(recent, list):
            told["recent"] = [name for name in recent if name not in names]
        titles = section(told, "told_of_recent")
        for name in names & titles.keys():
            del titles[name]

    def of_places(told: dict[str, Any]) -> None:
        places = section(told, "places")
        for review_id in set(review_ids) & places.keys():
            del places[review_id]

    if config is not None:
        _change(config / SETTINGS, of_settings)
    _change(data / PLACES, of_places)
    for folder in {path.parent for path in reviews}:
        _change(folder / BATCH, _without_drafts({p.name for p in reviews if p.parent == folder}))


def _without_drafts(names: set[str]) -> Any:
    def change(told: dict[str, Any]) -> None:
        named, rows = section(told, "reviews"), section(told, "rows")
        for key in [key for key, name in named.items() if name in names]:
            del named[key]
            rows.pop(key, None)

    return change


def _change(path: Path, change: Any) -> None:
    if path.is_file() and not path.is_symlink():
        change_json(path, change)


def _resolved(path: Path) -> str:
    with contextlib.suppress(OSError, ValueError, RuntimeError):
        return str(path.resolve())
    return str(path)
