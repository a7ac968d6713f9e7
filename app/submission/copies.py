"""Films that were sent twice: the better one stays."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from app.review.values.text import clean_name

# Sounds are compared where they overlap for five seconds, and a stroke takes up to five: in less,
# nothing is there to say that a stroke later would fit as well.
_SHORTEST_S: Final = 10.0
_SOUND_APART_S: Final = 0.15  # what compressing again delays a sound by, at most


def without_copies(
    films: Sequence[Path], first_stays: bool = False
) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Leave out films that show the same as another one, and say so, a sentence each.

    Of two the one with the larger picture stays, of equal ones the larger file; in the place of the
    one that came first.

    Parameters
    ----------
    first_stays : the first one is in the review already, and stays whatever comes

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    from app.media.index import read_index
    from app.media.same_film import LENGTHS_APART_S

    length_s = {path: read_index(path).end_s for path in films}

    def alike(one: Path, other: Path) -> bool:
        near = abs(length_s[one] - length_s[other]) <= LENGTHS_APART_S
        return near and _same(one, other, min(length_s[one], length_s[other]))

    kept: list[Path] = []
    said: list[str] = []
    for path in films:
        twin = next((at for at, other in enumerate(kept) if alike(other, path)), None)
        if twin is None:
            kept.append(path)
            continue
        held = kept[twin]
        stays = first_stays and twin == 0
        better, worse = (held, path) if stays else sorted((held, path), key=_worth, reverse=True)
        kept[twin] = better
        said.append(
            f"{clean_name(worse.name)} shows the same film as {clean_name(better.name)} and was "
            "left out."
        )
    return tuple(kept), tuple(said)


def _same(one: Path, other: Path, length_s: float) -> bool:
    """Whether both were recorded at once by one camera: the same pictures, the same sound.

    Strokes are alike, so pictures alone may be those of a stroke later; the sound tells. Without
    it, and of a few strokes alone, only a file that is the same to the byte is said to be the same.
    """
    from app.media.same_film import same_film
    from app.media.sound import has_sound

    if one.resolve() == other.resolve():
        return False  # one that is named twice is refused elsewhere
    if _digest(one) == _digest(other):
        return True
    if length_s < _SHORTEST_S:
        return False
    if not (has_sound(one) and has_sound(other)) or not same_film(one, other):
        return False
    from analysis.clocks.films import sound_offset
    from app.submission.lining_up import footage_signals

    heard = [footage_signals(path, use=("sound",)).sound for path in (one, other)]
    apart_s = sound_offset(*heard)
    return apart_s is not None and abs(apart_s) <= _SOUND_APART_S


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _worth(path: Path) -> tuple[int, int]:
    from app.media.video import VideoFile

    with VideoFile.open(path) as film:
        return film.width * film.height, path.stat().st_size
