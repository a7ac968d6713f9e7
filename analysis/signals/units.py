"""Units as they stand in the headings of columns, and the SI unit a known multiple stands for."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

# Unit in a heading, the unit it is kept in, and the factor between them. One kilogram-force is
# 9.80665 N exactly (3rd CGPM 1901; ISO 80000-4), one pound-force 4.448 221 615 260 5 N exactly
# (NIST SP 811, appendix B).
_MULTIPLES: Final[dict[str, tuple[str, float]]] = {
    "m": ("m", 1.0), "cm": ("m", 0.01), "mm": ("m", 0.001), "km": ("m", 1000.0),
    "N": ("N", 1.0), "kN": ("N", 1000.0), "daN": ("N", 10.0),
    "kgf": ("N", 9.80665), "kp": ("N", 9.80665), "lbf": ("N", 4.4482216152605),
    "s": ("s", 1.0), "ms": ("s", 0.001),
    "W": ("W", 1.0), "kW": ("W", 1000.0), "J": ("J", 1.0), "kJ": ("J", 1000.0),
    "m/s": ("m/s", 1.0), "cm/s": ("m/s", 0.01), "mm/s": ("m/s", 0.001), "km/h": ("m/s", 1.0 / 3.6),
    "m/s2": ("m/s²", 1.0), "m/s^2": ("m/s²", 1.0), "m/s²": ("m/s²", 1.0),
    "Hz": ("Hz", 1.0), "kHz": ("Hz", 1000.0), "V": ("V", 1.0), "mV": ("V", 0.001),
    "Pa": ("Pa", 1.0), "kPa": ("Pa", 1000.0), "Nm": ("N m", 1.0), "N m": ("N m", 1.0),
    "rad": ("rad", 1.0), "mrad": ("rad", 0.001), "rad/s": ("rad/s", 1.0),
}  # fmt: skip
# Known to be units, and kept as they are.
_AS_THEY_ARE: Final = (
    "bpm", "1/min", "/min", "spm", "rpm", "%", "°", "deg", "°/s", "deg/s", "°C", "kg", "g", "lb",
)  # fmt: skip
KNOWN: Final[dict[str, tuple[str, float]]] = {
    **_MULTIPLES,
    **{unit: (unit, 1.0) for unit in _AS_THEY_ARE},
}
# Headings are often all small or all large. These mean something else then: knots, nanometres,
# the acceleration of free fall.
_CASE_MATTERS: Final = ("kN", "Nm", "g")
_ANY_CASE: Final = {u.lower(): kept for u, kept in KNOWN.items() if u not in _CASE_MATTERS}

# What may stand between a name and its unit; a blank alone only where no word can follow.
_BEFORE_UNIT: Final = re.compile(r"_|\s+in\s+|\s*,\s+|\s*/\s*|\s+(?=\S*[^\w\s]\S*$)")

LONGEST_TITLE: Final = 40
LONGEST_UNIT: Final = 12


def known_unit(written: str) -> tuple[str, float] | None:
    """Give the unit one is kept in and the factor to it; None for one that is not known."""
    unit = written.strip()
    return KNOWN.get(unit) or _ANY_CASE.get(unit.lower())


def heading(written: str) -> tuple[str, str]:
    """Split the heading of a column into its title and its unit, "" where it names none.

    "Seat (mm)", "HR [bpm]", "Power_W", "power/W", "Force in N" and "Speed m/s" name theirs. What
    stands in brackets is a unit whatever it is; elsewhere it must be a known one.
    """
    name = plain(written)
    found = re.fullmatch(r"(.*?)[\s_]*[\[(]\s*([^\[\]()]+?)\s*[\])]", name)
    if found and len(found[2]) <= LONGEST_UNIT:
        return _title(found[1]) or found[2], found[2]
    for between in _BEFORE_UNIT.finditer(name):
        title, unit = name[: between.start()], name[between.end() :]
        if title and known_unit(unit):
            return _title(title), unit
    return _title(name), name if known_unit(name) else ""


def plain(text: str) -> str:
    """Give a text on one line without control and format characters."""
    seen = (" " if unicodedata.category(c)[0] in "CZ" else c for c in text)
    return " ".join("".join(seen).split())


def _title(name: str) -> str:
    title = " ".join(name.replace("_", " ").split())
    return title if len(title) <= LONGEST_TITLE else title[: LONGEST_TITLE - 1].rstrip() + "…"


def slug(title: str) -> str:
    """Give a title as a name: small letters and figures of any script, joined by hyphens."""
    return "-".join(re.findall(r"[^\W_]+", title.lower()))
