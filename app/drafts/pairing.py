"""Which films and force recordings of a folder belong together; never a wrong pair in silence.

Names are believed where they say the same in words of their own and nothing else in the folder says
it, and so is a folder that holds one film and one force and nothing else. What only the time of
recording proposes must be shown by the strokes themselves. Whatever is put together is lined up
afterwards: two recordings whose strokes do not keep step are taken apart again (`prepare`).
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.submission.kinds import kind_of, recordings_in
from app.submission.pairing import in_order

# Words that say what a file is, not whose: two files that share nothing else share nothing.
_KIND_WORDS: Final = frozenset(
    {
        *("film", "video", "vid", "movie", "footage", "clip", "clips", "camera", "cam", "phone"),
        *("img", "mov", "dsc", "pxl", "side", "front", "force", "kraft", "trace", "curve", "data"),
        *("log", "export", "part", "teil", "recording", "rec", "handle"),
    }
)
_FEWEST_DIGITS: Final = 6  # a date, or a date and time; shorter numbers count by themselves
_PART_DIGITS: Final = 2
_SLACK_S: Final = 120.0  # clocks of two machines, and the time a file takes to be closed
MOST_IN_FOLDER: Final = 1_000_000  # beyond any disk of films: nothing is left out in silence
MOST_TRIALS: Final = 4  # forces a film is laid over, where only time proposes them


@dataclass(frozen=True)
class Recorded:
    """When a recording was made, seconds since 1970."""

    start_s: float
    end_s: float


@dataclass(frozen=True)
class Proposal:
    """Files that are proposed as one submission.

    Attributes
    ----------
    films : of one piece, in the order they follow each other; the first one's clock counts
    force : None for films alone
    athlete : the folder they lie in, "" at the top
    why : what puts them together: "names", "folder", "time", or "" for one file alone
    remark : what there is to say about it
    """

    films: tuple[Path, ...]
    force: Path | None
    athlete: str = ""
    why: str = ""
    remark: str = ""


Fits = Callable[[Path, Path], bool]
When = Callable[[Path], Recorded | None]


def proposals(
    folder: Path, fits: Fits, when: When, without: Iterable[Path] = ()
) -> tuple[Proposal, ...]:
    """Propose submissions of all recordings in a folder and those inside it.

    Parameters
    ----------
    fits : whether a film's and a force's strokes surely are of one piece; slow, and asked only
        where names say nothing
    when : when a recording was made
    without : folders that are passed over
    """
    found: list[Proposal] = []
    for place in _places(folder, without):
        there = recordings_in(place, MOST_IN_FOLDER)
        files = [path for path in there if path.suffix.lower() != ".review"]
        athlete = "" if place == folder else place.relative_to(folder).parts[0]
        found += _of_place(files, athlete, fits, when)
    return tuple(found)


def name_words(path: Path) -> tuple[str, ...]:
    """What a file's name says apart from what kind of file it is.

    Words and numbers in their order, without case and accents.
    """
    plain = unicodedata.normalize("NFKD", path.stem).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    words = re.findall(r"[^\W\d_]+|\d+", plain)
    return tuple(word for word in words if word not in _KIND_WORDS)


def says_something(words: tuple[str, ...]) -> bool:
    """Whether a name can be told from a counter of a camera: a word, or a date."""
    return any(word.isalpha() and len(word) > 1 for word in words) or (
        sum(len(w) for w in words if w.isdigit()) >= _FEWEST_DIGITS
    )


def _places(folder: Path, without: Iterable[Path]) -> Iterator[Path]:
    passed = {os.path.realpath(path) for path in without}
    for place, inside, _ in os.walk(folder):
        inside[:] = sorted(
            name
            for name in inside
            if not name.startswith(".") and os.path.realpath(Path(place) / name) not in passed
        )
        yield Path(place)


def _of_place(files: Sequence[Path], athlete: str, fits: Fits, when: When) -> Iterator[Proposal]:
    films = [path for path in files if kind_of(path) == "video"]
    forces = [path for path in files if path not in set(films)]
    if athlete and len(films) == len(forces) == 1:
        yield Proposal((films[0],), forces[0], athlete, "folder")
        return
    named = _by_name(films, forces)
    for force, own in named.items():
        yield Proposal(in_order(own), force, athlete, "names")
    left_films = [f for f in films if not any(f in own for own in named.values())]
    left_forces = [f for f in forces if f not in named]
    timed, doubts = _by_time(left_films, left_forces, fits, when)
    for film, force in timed.items():
        remark = "Put together by when they were recorded and how their strokes keep step."
        yield Proposal((film,), force, athlete, "time", remark)
    for film in left_films:
        if film not in timed:
            yield Proposal((film,), None, athlete, "", doubts.get(film, ""))
    for force in left_forces:
        if force not in timed.values():
            yield Proposal((), force, athlete, "", doubts.get(force, ""))


def _by_name(films: Sequence[Path], forces: Sequence[Path]) -> dict[Path, list[Path]]:
    """Give films whose names say what that of one force says, and of no other."""
    of_words: dict[tuple[str, ...], list[Path]] = defaultdict(list)
    for force in forces:
        of_words[name_words(force)].append(force)
    found: dict[Path, list[Path]] = defaultdict(list)
    for film in films:
        words = name_words(film)
        same = of_words.get(words, []) or of_words.get(without_part(words), [])
        if says_something(words) and len(same) == 1 and says_something(name_words(same[0])):
            found[same[0]].append(film)
    return found


def without_part(words: tuple[str, ...]) -> tuple[str, ...]:
    """The words of a name without the number of a part that a cut film ends in."""
    is_part = len(words) > 1 and words[-1].isdigit() and len(words[-1]) <= _PART_DIGITS
    return words[:-1] if is_part else words


def _by_time(
    films: Sequence[Path], forces: Sequence[Path], fits: Fits, when: When
) -> tuple[dict[Path, Path], dict[Path, str]]:
    """Pair what was recorded at one time and surely keeps step; what is left gets a word on it."""
    if not films or not forces:
        return {}, {}
    at = {path: when(path) for path in (*films, *forces)}
    fitting: dict[Path, list[Path]] = {}
    doubts: dict[Path, str] = {}
    for film in films:
        near = [force for force in forces if _meet(at[film], at[force])]
        if len(near) > MOST_TRIALS:
            names = ", ".join(path.name for path in near[:MOST_TRIALS])
            doubts[film] = f"Recorded at the time of {names} and more; say which by its name."
            continue
        fitting[film] = [force for force in near if fits(film, force)]
        if near and not fitting[film]:
            names = ", ".join(path.name for path in near)
            doubts[film] = f"Recorded at the time of {names}, but the strokes do not show it."
    taken: dict[Path, list[Path]] = defaultdict(list)
    for film, found in fitting.items():
        for force in found:
            taken[force].append(film)
    pairs: dict[Path, Path] = {}
    for film, found in fitting.items():
        if len(found) == 1 and len(taken[found[0]]) == 1:
            pairs[film] = found[0]
        elif found:
            names = ", ".join(path.name for path in found)
            doubts[film] = f"May belong to {names}; not put together."
    return pairs, doubts


def _meet(film: Recorded | None, force: Recorded | None) -> bool:
    if film is None or force is None:
        return False
    return film.start_s - _SLACK_S < force.end_s and force.start_s - _SLACK_S < film.end_s
