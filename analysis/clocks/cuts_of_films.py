"""Cuts within further films of a piece: their sides on the clock of the first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from analysis.clocks.alignment import Alignment
from analysis.clocks.films import FilmPlace, shifted
from analysis.clocks.matching import LineUp


def with_cuts(
    line: Alignment, others: Sequence[tuple[FilmPlace, float, LineUp | None]]
) -> Alignment:
    """A line-up of the first film that has the sides of further films with cuts as well.

    Parameters
    ----------
    line : of the first film, not ambiguous
    others : where each further part begins, how long it is, and how it lies over the force by
        itself; what of it is not sure is not lined up
    """
    for place, length_s, found in others:
        if found is None or not found.sides or line.ambiguous:
            continue
        begin_s, end_s = place.offset_s, place.offset_s + length_s
        sides = () if found.alignment.ambiguous else shifted(found, place).alignment.parts
        inside = [
            replace(
                side,
                from_s=begin_s if side.from_s is None else side.from_s,
                until_s=end_s if side.until_s is None else side.until_s,
            )
            for side in sides
        ]
        parts = [rest for part in line.parts for rest in _without(part, begin_s, end_s)]
        own, *further = sorted((*parts, *inside), key=lambda part: not _is_line(part, line))
        line = replace(own, further=tuple(further))
    return line


def _is_line(part: Alignment, line: Alignment) -> bool:
    return (part.offset_s, part.drift_ppm) == (line.offset_s, line.drift_ppm)


def _without(part: Alignment, begin_s: float, end_s: float) -> Iterator[Alignment]:
    """What of a side lies before and after a stretch."""
    if part.from_s is None or part.from_s < begin_s:
        until_s = begin_s if part.until_s is None else min(begin_s, part.until_s)
        yield replace(part, until_s=until_s)
    if part.until_s is None or part.until_s > end_s:
        from_s = end_s if part.from_s is None else max(end_s, part.from_s)
        yield replace(part, from_s=from_s)
