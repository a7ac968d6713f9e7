"""Headings of columns: a title and a unit, whatever they are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.signals.units import KNOWN, LONGEST_TITLE, heading, known_unit, slug


@pytest.mark.parametrize(
    ("written", "title", "unit"),
    [
        ("Seat (mm)", "Seat", "mm"),
        ("HR [bpm]", "HR", "bpm"),
        ("Power_W", "Power", "W"),
        ("Rower 2 force (N)", "Rower 2 force", "N"),
        ("oarlock_angle_deg", "oarlock angle", "deg"),
        ("power/W", "power", "W"),
        ("Speed m/s", "Speed", "m/s"),
        ("left_arm/N", "left arm", "N"),
        ("Sensor A", "Sensor A", ""),
        ("Channel s", "Channel s", ""),
        ("Boat speed [m/s]", "Boat speed", "m/s"),
        ("Acceleration in m/s2", "Acceleration", "m/s2"),
        ("Lactate (mmol/l)", "Lactate", "mmol/l"),
        ("force_left", "force left", ""),
        ("Wind (from the side, as felt)", "Wind (from the side, as felt)", ""),
        ("[W]", "W", "W"),
        ("bpm", "bpm", "bpm"),
        ("Puls\x00\u202e\t[1/min]", "Puls", "1/min"),
        ("", "", ""),
    ],
)
def test_a_heading_names_title_and_unit(written: str, title: str, unit: str) -> None:
    assert heading(written) == (title, unit)


@given(st.text(max_size=120))
def test_any_heading_gives_a_title_that_can_be_shown(written: str) -> None:
    title, unit = heading(written)
    assert len(title) <= LONGEST_TITLE and title.isprintable() and unit.isprintable()


def test_multiples_are_the_units_they_say() -> None:
    # SI prefixes, and the kilogram-force of the 3rd CGPM 1901.
    assert known_unit("mm") == ("m", 1e-3)
    assert known_unit("KW") == ("W", 1e3)
    assert known_unit("kp") == ("N", 9.80665)
    assert known_unit("km/h") == ("m/s", pytest.approx(1.0 / 3.6))
    assert known_unit("bpm") == ("bpm", 1.0)
    assert known_unit("furlong") is None


def test_knots_are_no_kilonewtons() -> None:
    assert known_unit("kN") == ("N", 1e3)
    assert known_unit("kn") is None and known_unit("nm") is None and known_unit("G") is None


def test_what_a_unit_becomes_stays_as_it_is() -> None:
    for kept, _ in KNOWN.values():
        again = known_unit(kept)
        assert again is None or again == (kept, 1.0)


def test_names_are_small_and_joined() -> None:
    assert slug("Rower 2 force") == "rower-2-force"
    assert slug("Kraft_Füße") == "kraft-füße"
    assert slug("?!") == ""
