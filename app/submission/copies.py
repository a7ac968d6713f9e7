"""Films that were sent twice: the better one stays."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.review.values.text import clean_name


def without_copies(films: Sequence[Path]) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Leave out films that show the same as another one, and say so, a sentence each.

    Of two the one with the larger picture stays, of equal ones the larger file; in the place of the
    one that came first.

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    kept: list[Path] = []
    said: list[str] = []
    for path in films:
        twin = next((at for at, other in enumerate(kept) if _same(other, path)), None)
        if twin is None:
            kept.append(path)
            continue
        better, worse = sorted((kept[twin], path), key=_worth, reverse=True)
        kept[twin] = better
        said.append(
            f"{clean_name(worse.name)} shows the same film as {clean_name(better.name)} and was "
            "left out."
        )
    return tuple(kept), tuple(said)


def _same(one: Path, other: Path) -> bool:
    from app.media.same_film import same_film

    return one.resolve() != other.resolve() and same_film(one, other)


def _worth(path: Path) -> tuple[int, int]:
    from app.media.video import VideoFile

    with VideoFile.open(path) as film:
        return film.width * film.height, path.stat().st_size
