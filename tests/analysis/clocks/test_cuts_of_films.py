"""A cut within one of several films: each stretch has the line that is known of it, or none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.clocks.alignment import Alignment
from analysis.clocks.cuts import said_of_sides
from analysis.clocks.cuts_of_films import with_cuts
from analysis.clocks.films import FilmFacts, FilmPlace, place_film
from analysis.clocks.matching import LineUp, Side
from tests.helpers.line_ups import laid


def cut(early_s: float, late_s: float, at_s: float, length_s: float, sure: bool = True) -> LineUp:
    """A film with a cut, lined up on both sides, or on the first alone."""
    early, late = laid({early_s: 1.0}), laid({late_s: 1.0})
    before = replace(early, alignment=replace(early.alignment, until_s=at_s))
    after = replace(late, alignment=replace(late.alignment, from_s=at_s))
    sides = Side(0.0, at_s, before), Side(at_s, length_s, after if sure else None)
    further = (after.alignment,) if sure else ()
    return replace(before, alignment=replace(before.alignment, further=further), sides=sides)


def test_a_film_after_a_cut_one_is_laid_by_the_side_it_follows() -> None:
    """Nine seconds are left out at 20 s; the next film begins 41 s after the first in the force."""
    first = FilmFacts(30.0, line_up=cut(4.0, -5.0, 20.0, 30.0))
    place = place_film(first, FilmFacts(20.0, line_up=laid({-37.0: 1.0})))
    assert place.offset_s == pytest.approx(32.0) and place.sure
    line = first.line_up.alignment if first.line_up else Alignment()
    assert line.trace_time(place.offset_s) == pytest.approx(37.0)
    earlier = place_film(first, FilmFacts(5.0, line_up=laid({16.0: 1.0})))
    assert earlier.offset_s == pytest.approx(-12.0), "before the cut its first side counts"


@pytest.mark.parametrize("sure", [True, False])
def test_a_cut_in_a_later_film_is_known_on_the_clock_of_the_first(sure: bool) -> None:
    first, other = laid({4.0: 1.0}), cut(-36.0, -41.0, 10.0, 25.0, sure)
    place = place_film(FilmFacts(30.0, line_up=first), FilmFacts(25.0, line_up=other))
    assert place.offset_s == pytest.approx(40.0)
    line = with_cuts(first.alignment, [(place, 25.0, other)])
    assert line.trace_time(20.0) == 16.0 and line.trace_time(45.0) == pytest.approx(41.0)
    assert line.holds(60.0) is sure and line.holds(49.9) and line.holds(70.0)
    if sure:
        assert line.trace_time(55.0) == pytest.approx(56.0)
    said = said_of_sides(replace(first, alignment=line))
    assert said.startswith("A film is cut within: the line-up holds to 40.0 s")


def test_without_a_cut_nothing_changes() -> None:
    first, other = laid({4.0: 1.0}), laid({-36.0: 1.0})
    place = FilmPlace(40.0, 0.02, "force", True)
    assert with_cuts(first.alignment, [(place, 25.0, other), (place, 9.0, None)]) == first.alignment
