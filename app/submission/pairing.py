"""Several films and force files at once: which of them are probably of one piece.

Proposed by what the files say without being worked through: their names, when they were recorded,
how long they are. The coach picks; nothing is decided here.
"""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.submission.kinds import Kind, is_trace_name

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]

MOST_LOOKED_INTO: Final = 60  # of more only the names are gone by
# How much names, times and lengths count, and from where files are said to belong together: common
# practice, no source.
SAME_NAME, ALIKE, TIME, LENGTH, ENOUGH = 3.0, 2.0, 2.0, 1.0, 1.2
NEAR_S: Final = 600.0  # recorders are started and their files saved within some minutes
_ONE_COPYING_S: Final = 120.0  # times that differ by less tell of copying, not of recording
# What cameras and programs call everything.
_ANYBODYS: Final = frozenset(
    {"video", "film", "movie", "clip", "vid", "img", "dsc", "mov", "mvi", "force", "kraft",
     "curve", "data", "log", "trace", "export", "session", "recording", "aufnahme", "piece"}
)  # fmt: skip


@dataclass(frozen=True)
class SentFile:
    """A file as far as it was looked into.

    Attributes
    ----------
    ended_at : when its recording ended, seconds since 1970; None where that cannot be told
    length_s : seconds, None where it does not say
    """

    path: Path
    kind: Kind
    ended_at: float | None = None
    length_s: float | None = None


@dataclass(frozen=True)
class Proposal:
    """What could be opened as one review.

    Attributes
    ----------
    review : begun before for these files
    why : what speaks for the pair, "" where it is none
    more : further films of the same piece, in the order they were recorded
    joins : force files that are joined into one before it is opened; `trace` is None then
    """

    video: Path | None = None
    trace: Path | None = None
    review: Path | None = None
    why: str = ""
    more: tuple[Path, ...] = ()
    joins: tuple[Path, ...] = ()

    @property
    def paths(self) -> tuple[Path, ...]:
        """What to open: the review begun before, else the recordings."""
        if self.review is not None:
            return (self.review,)
        return tuple(path for path in (self.video, self.trace) if path is not None)


def look_into(
    paths: Sequence[Path],
    progress: Progress = lambda _share, _words: None,
    cancelled: Cancelled = lambda: False,
) -> tuple[SentFile, ...]:
    """Read what the heads of the files say; one that cannot be read goes by its name."""
    found = []
    for at, path in enumerate(paths):
        kind: Kind = "trace" if is_trace_name(path) else "video"
        if cancelled() or at >= MOST_LOOKED_INTO:
            found.append(SentFile(path, kind))
            continue
        progress(at / len(paths), f"Looking at {path.name}")
        found.append(_trace(path) if kind == "trace" else _film(path))
    return tuple(found)


def propose(files: Sequence[SentFile], reviews: Iterable[Path] = ()) -> tuple[Proposal, ...]:
    """Propose what belongs together, by name; each file stands in one proposal.

    Parameters
    ----------
    reviews : that lie beside them
    """
    from scipy.optimize import linear_sum_assignment

    films = [f for f in files if f.kind == "video"]
    traces = [f for f in files if f.kind == "trace"]
    by_time = _tells_of_recording(files)
    said = [[_speaks_for(film, trace, by_time) for trace in traces] for film in films]
    partner: dict[int, int] = {}
    if films and traces:
        scores = [[sum(weight for weight, _why in one) for one in row] for row in said]
        rows, columns = linear_sum_assignment(scores, maximize=True)
        pairs = zip(rows.tolist(), columns.tolist(), strict=True)
        partner = {r: c for r, c in pairs if scores[r][c] >= ENOUGH}
    begun = {review.stem.casefold(): review for review in reviews}
    made = []
    for row, film in enumerate(films):
        column = partner.get(row)
        trace = None if column is None else traces[column]
        why = "" if column is None else ", ".join(w for _weight, w in said[row][column] if w)
        made.append(_proposal(film, trace, why, begun))
    alone = set(range(len(traces))) - set(partner.values())
    made += [_proposal(None, traces[column], "", begun) for column in sorted(alone)]
    made += [Proposal(review=review) for review in begun.values()]
    return tuple(sorted(made, key=lambda p: str(p.paths[0].name).casefold()))


def one_piece(files: Sequence[SentFile]) -> Proposal | None:
    """What would be opened if all the films were of one piece, the earliest first.

    None where they cannot be: there is one film at most, or force of several pieces.
    """
    films = [f for f in files if f.kind == "video"]
    traces = [f for f in files if f.kind == "trace"]
    if len(films) < 2 or len(traces) > 1:
        return None
    begins = [_began(f) for f in films]
    if _tells_of_recording(films) and all(b is not None for b in begins):
        films.sort(key=lambda f: _began(f) or 0.0)
        why = "one piece in several films, in the order they were recorded"
    else:
        films.sort(key=lambda f: _by_number(f.path.name))
        why = "one piece in several films, in the order of their names"
    first, *more = (f.path for f in films)
    return Proposal(first, traces[0].path if traces else None, None, why, tuple(more))


def in_order(films: Sequence[Path]) -> tuple[Path, ...]:
    """Films of one piece as they follow each other."""
    if len(films) < 2:
        return tuple(films)
    found = one_piece(look_into(films))
    return tuple(films) if found is None or found.video is None else (found.video, *found.more)


def _began(film: SentFile) -> float | None:
    return None if film.ended_at is None else film.ended_at - (film.length_s or 0.0)


def _by_number(name: str) -> tuple[tuple[int, str], ...]:
    """Part 10 comes after part 9."""
    parts = re.findall(r"\d+|\D+", name.casefold())
    return tuple((int(p), "") if p.isdigit() else (-1, p) for p in parts)


def _proposal(
    film: SentFile | None, trace: SentFile | None, why: str, begun: dict[str, Path]
) -> Proposal:
    first = film or trace
    assert first is not None
    review = begun.pop(first.path.stem.casefold(), None)
    video = None if film is None else film.path
    return Proposal(video, None if trace is None else trace.path, review, why)


def _speaks_for(film: SentFile, trace: SentFile, by_time: bool) -> list[tuple[float, str]]:
    """What speaks for a pair, each with its weight and its words."""
    said = [_by_name(film.path.stem, trace.path.stem)]
    if by_time and film.ended_at is not None and trace.ended_at is not None:
        apart_s = abs(film.ended_at - trace.ended_at)
        words = f"recorded {_minutes(apart_s)} apart" if apart_s < NEAR_S else ""
        said.append((TIME * math.exp(-apart_s / NEAR_S), words))
    if film.length_s and trace.length_s:
        one, other = sorted((film.length_s, trace.length_s))
        alike = one / other > 0.8
        words = f"{film.length_s:.0f} s and {trace.length_s:.0f} s long"
        said.append((LENGTH * one / other if alike else 0.0, words))
    return said


def _by_name(one: str, other: str) -> tuple[float, str]:
    if one.casefold() == other.casefold():
        return SAME_NAME, "same name"
    a, b = _words(one), _words(other)
    share = len(a & b) / len(a | b) if a | b else 0.0
    return ALIKE * share, "names alike" if share >= 0.5 else ""


def _words(stem: str) -> frozenset[str]:
    """The words and numbers of a name that tell it from others."""
    found = re.findall(r"\d+|[^\W\d_]+", stem.casefold())
    return frozenset(word.lstrip("0") or "0" for word in found) - _ANYBODYS


def _tells_of_recording(files: Sequence[SentFile]) -> bool:
    """Whether their times tell one piece from another: copied together, all have one."""
    times = [f.ended_at for f in files if f.ended_at is not None]
    return len(times) > 1 and max(times) - min(times) > _ONE_COPYING_S


def _minutes(seconds: float) -> str:
    return "less than a minute" if seconds < 60.0 else f"{seconds / 60.0:.0f} min"


def _film(path: Path) -> SentFile:
    from app.media.sent.told import told_by

    told = told_by(path)
    if told.began_at is not None:
        return SentFile(path, "video", told.began_at + (told.length_s or 0.0), told.length_s)
    return SentFile(path, "video", _changed_at(path), told.length_s)


def _trace(path: Path) -> SentFile:
    from analysis.force.intake import read_trace

    length_s = None
    with contextlib.suppress(ValueError, OSError):
        time_s = read_trace(path).time_s
        length_s = float(time_s[-1] - time_s[0])
    return SentFile(path, "trace", _changed_at(path), length_s)


def _changed_at(path: Path) -> float | None:
    try:
        return path.stat().st_mtime
    except OSError:
        return None
