"""Further films of a piece laid on the clock of the first: decoding and analysis joined."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.cuts import line_up_with_cuts
from analysis.clocks.films import FilmFacts, FilmPlace, How, joined, place_film
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke
from app.submission.copies import without_copies
from app.submission.lining_up import footage_signals

Progress = Callable[[float, str], None]
# Of the shorter film, what has to be shown by the other as well for it to be a second view.
_VIEW_SHARE = 0.5
_SAID: dict[How, str] = {
    "sound": "both heard the same",
    "picture": "both heard and saw the same",
    "force": "each lies over the force",
    "recorded": "only the times of recording say so",
    "order": "only its name says so: nothing tells how long the gap is",
}


@dataclass(frozen=True)
class PlacedFilm:
    """A film on the clock of the first.

    Attributes
    ----------
    length_s : of the film
    role : "part" where it shows another part of the piece, "view" where it is a second view
    """

    path: Path
    place: FilmPlace
    length_s: float
    role: str

    @property
    def said(self) -> str:
        """Where it lies and how sure that is, for the coach."""
        place = self.place
        where = f"{self.path.name} begins at {place.offset_s:.2f} s of the first film"
        if place.uncertainty_s is not None:
            where += f", within ±{_near(place.uncertainty_s)}"
        doubt = "" if place.sure else ". This is not sure: look at the seam"
        return f"{where} ({_SAID[place.how]}){doubt}."


def lay_films(
    first: Path,
    others: Sequence[Path],
    trace: ForceTrace | None,
    strokes: Sequence[Stroke],
    progress: Progress = lambda _share, _words: None,
) -> tuple[PlacedFilm, ...]:
    """Find where each film begins on the clock of the first, in the order of their beginnings.

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    paths = (first, *others)
    facts = []
    for at, path in enumerate(paths):
        progress(at / len(paths), f"Looking at {path.name}")
        facts.append(facts_of(path, trace, strokes))
    return placed(paths, facts)


def lay_new_films(
    first: Path,
    others: Sequence[Path],
    trace: ForceTrace | None,
    strokes: Sequence[Stroke],
    progress: Progress = lambda _share, _words: None,
) -> tuple[tuple[PlacedFilm, ...], tuple[str, ...]]:
    """As `lay_films`, without those that are sent twice; and a sentence for each of these.

    Raises
    ------
    MediaError
        One of them cannot be read.
    """
    kept, said = without_copies((first, *others), first_stays=True)
    if not kept[1:]:
        return (), said
    return lay_films(first, kept[1:], trace, strokes, progress), said


def placed(paths: Sequence[Path], facts: Sequence[FilmFacts]) -> tuple[PlacedFilm, ...]:
    """Place each film but the first one; as `lay_films`, of facts that are known already."""
    found: list[PlacedFilm] = []
    ends_s = facts[0].length_s
    for path, fact in zip(paths[1:], facts[1:], strict=True):
        place = place_film(facts[0], fact, ends_s)
        film = PlacedFilm(path, place, fact.length_s, _role(facts[0], fact, place))
        if film.role == "part":
            ends = [facts[0].length_s, *(f.place.offset_s + f.length_s for f in found)]
            near = min(ends, key=lambda end: abs(end - place.offset_s))
            film = replace(film, place=joined(place, near, 1.0 / 30.0))
        found.append(film)
        ends_s = max(ends_s, film.place.offset_s + film.length_s)
    return tuple(sorted(found, key=lambda film: film.place.offset_s))


def facts_of(
    path: Path,
    trace: ForceTrace | None,
    strokes: Sequence[Stroke],
    slow_motion: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> FilmFacts:
    """Measure a film: what it shows, what it sounds like, how it lies over the force.

    Raises
    ------
    MediaError
        It cannot be read.
    """
    from app.media.index import read_index
    from app.media.sent.told import told_by

    length_s = read_index(path).end_s
    signals = footage_signals(path, progress)
    facts = FilmFacts(length_s, told_by(path).began_at, signals.motion, signals.sound)
    if trace is None:
        return facts
    try:
        found = line_up_with_cuts(signals.motion, signals.sound, trace, strokes, slow_motion)
    except AlignmentError as error:
        return replace(facts, why_not=str(error))
    return replace(facts, line_up=found)


def _role(first: FilmFacts, other: FilmFacts, place: FilmPlace) -> str:
    if not place.sure:
        return "part"
    shared_s = min(first.length_s, place.offset_s + other.length_s) - max(0.0, place.offset_s)
    return "view" if shared_s > _VIEW_SHARE * min(first.length_s, other.length_s) else "part"


def _near(seconds: float) -> str:
    return f"{1000.0 * seconds:.0f} ms" if seconds < 1.0 else f"{seconds:.0f} s"
