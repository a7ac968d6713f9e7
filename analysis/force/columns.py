"""What the columns of a force file mean, as far as their names and spacing say."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from analysis.force.delimited import Layout
from analysis.force.force_units import (
    FORCE_UNITS,
    SURE_UNITS,
    headed_calibration,
    unit_of_force,
)
from analysis.force.notation import is_clock
from analysis.force.trace import ColumnMapping
from analysis.signals.units import heading

TIME_UNITS = {
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "sek": "s", "sekunden": "s",
    "ms": "ms", "msec": "ms", "millis": "ms", "millisecond": "ms", "milliseconds": "ms",
    "us": "us", "µs": "us", "μs": "us", "usec": "us", "micros": "us", "microsecond": "us",
    "microseconds": "us", "mikrosekunden": "us",
}  # fmt: skip
POSITION_UNITS = {
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "cm": "cm", "mm": "mm",
}  # fmt: skip
# Names a column may have, in the languages its makers write. Whole words only.
FORCE_WORDS = {
    "force", "forces", "kraft", "griffkraft", "handleforce", "zugkraft", "fuerza", "forza",
    "força", "forca", "kracht", "voima", "f",
}  # fmt: skip
TIME_WORDS = {
    "time", "timestamp", "times", "elapsed", "zeit", "zeitstempel", "tiempo", "temps", "tempo",
    "tijd", "aika", "t", "clock",
}  # fmt: skip
POSITION_WORDS = {
    "position", "pos", "travel", "displacement", "handleposition", "weg", "griffweg", "x",
    "posición", "posizione", "positie", "posição",
}  # fmt: skip
# The two halves of what both hands pull.
LEFT = {"left", "l", "links", "linke", "linker", "gauche", "izquierda", "sinistra", "esquerda"}
RIGHT = {"right", "r", "rechts", "rechte", "rechter", "droite", "derecha", "destra", "direita"}
SIDES = LEFT | RIGHT
HANDLE_WORDS = {"handle", "griff", "griffkraft"}
# A position of one of these is not that of the handle.
OTHER_PLACES = {
    "seat", "sitz", "rollsitz", "asiento", "siège", "sedile", "sedia", "zitting", "istuin", "foot",
    "stretcher", "stemmbrett", "boat", "boot",
}  # fmt: skip
# Spacing of samples that a handle-force recorder has: 5 to 1000 a second.
SHORTEST_STEP_S, LONGEST_STEP_S = 0.001, 0.2
SHORTEST_PIECE_S, FEW_ROWS = 0.5, 250


@dataclass(frozen=True)
class Guess:
    """What is known about the columns so far; None where it must be asked."""

    force_column: int | None = None
    force_unit: str | None = None
    time_column: int | None = None
    time_unit: str | None = None
    interval_s: float | None = None
    position_column: int | None = None
    position_unit: str | None = None
    remarks: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of what must still be asked."""
        asked = []
        if self.force_column is None:
            asked.append("force_column")
        if self.force_unit is None:
            asked.append("force_unit")
        if self.time_column is None and self.interval_s is None:
            asked.append("interval_s")
        if self.time_column is not None and self.time_unit is None:
            asked.append("time_unit")
        if self.position_column is not None and self.position_unit is None:
            asked.append("position_unit")
        return tuple(asked)

    def mapping(self) -> ColumnMapping | None:
        """Give the mapping, None while anything is missing."""
        if self.missing or self.force_column is None or self.force_unit is None:
            return None
        return ColumnMapping(
            self.force_column,
            self.force_unit,
            self.time_column,
            self.time_unit or "s",
            None if self.time_column is not None else self.interval_s,
            self.position_column,
            self.position_unit or "m",
        )


@dataclass(frozen=True)
class _Named:
    column: int
    unit: str | None
    handle: bool
    words: frozenset[str]
    plain: bool  # its name says what it is, its unit, and nothing else


def guess_columns(layout: Layout) -> Guess:
    """Guess what can be told from names and spacing; units are never guessed from size."""
    remarks: list[str] = []
    force_column, force_unit = _force(layout)
    time_column, time_unit = _time(layout, force_column, remarks)
    if not layout.has_header and time_column is not None and force_column is None:
        others = [c for c in layout.numeric if c != time_column]
        force_column = others[0] if len(others) == 1 else None
    if not layout.has_header and force_column is None and len(layout.numeric) == 1:
        time_column, force_column = None, layout.numeric[0]
    position_column, position_unit = _position(layout, remarks)
    return Guess(
        force_column,
        force_unit,
        time_column,
        time_unit,
        _named_interval(layout, remarks) if time_column is None else None,
        position_column,
        position_unit,
        tuple(remarks),
    )


def words_and_unit(name: str, units: dict[str, str]) -> tuple[set[str], str | None]:
    """Split a column's name into its words and the unit it names, if any.

    "Force (N)", "Kraft [N]", "force/kgf", "handle_force_lbf" and "force in N" all name theirs.
    """
    words = _words(name)
    unit = next((units[w] for w in reversed(words[1:]) if w in units), None)
    if unit is None and len(words) == 1 and words[0] in units:
        unit = units[words[0]]
    joined = {"".join(words[i : i + 2]) for i in range(len(words) - 1)}
    return set(words) | joined, unit


def _words(name: str) -> list[str]:
    return [w for w in re.split(r"[^\w]+|_", name.strip().lower()) if w]


def _named(layout: Layout, words: set[str], units: dict[str, str]) -> list[_Named]:
    """Columns whose name has one of the words, or is nothing but the unit."""
    if not layout.has_header:
        return []
    found = []
    for column in range(len(layout.columns)):
        own, unit = words_and_unit(layout.columns[column], units)
        if (
            own & words
            or (len(own) == 1 and own <= units.keys() and len(min(own)) > 1 and own != {"kn"})
            or (own == {"n"} and "n" in units)
        ):
            found.append(
                _Named(
                    column,
                    unit,
                    bool(own & HANDLE_WORDS),
                    frozenset(own),
                    _is_plain(layout.columns[column], words, units),
                )
            )
    # A column of that name without numbers is still what was meant when there is no other.
    return [n for n in found if n.column in layout.numeric] or found


def _is_plain(name: str, words: set[str], units: dict[str, str]) -> bool:
    return all(word in words or word in units or word == "in" for word in _words(name))


def _force(layout: Layout) -> tuple[int | None, str | None]:
    named = [n for n in _named(layout, FORCE_WORDS, FORCE_UNITS) if not n.words & OTHER_PLACES]
    if len(named) > 1:
        named = [n for n in named if n.handle] or named
    if len(named) == 2 and other_hand(layout, named[0].column) is not None:
        return named[0].column, force_unit(layout.columns[named[0].column])
    if len(named) > 1:
        # "Force (N)" beside "Rower 2 force (N)": the one that is nothing else.
        named = [n for n in named if n.plain]
    if len(named) > 1:
        return None, None
    if named:
        return named[0].column, force_unit(layout.columns[named[0].column])
    # "pull kgf": no name of a force, yet nothing else has such a unit.
    sure = [(c, _sure_unit(layout.columns[c])) for c in layout.numeric if layout.has_header]
    elsewhere = {c for c, _ in sure if set(_words(layout.columns[c])) & OTHER_PLACES}
    by_unit = [(c, unit) for c, unit in sure if unit and c not in elsewhere]
    if len(by_unit) == 2 and other_hand(layout, by_unit[0][0]) is not None:
        return by_unit[0]
    return by_unit[0] if len(by_unit) == 1 else (None, None)


def other_hand(layout: Layout, column: int) -> int | None:
    """The column that holds the other hand's half of a force, where the two are all there is.

    Two columns, alike but for "left" and "right". Where a third force stands beside them it may be
    their sum, and each is taken for what it is.
    """
    if not layout.has_header:
        return None
    forces = [
        c
        for c in layout.numeric
        if set(_words(layout.columns[c])) & FORCE_WORDS or _sure_unit(layout.columns[c])
    ]
    if len(forces) != 2 or column not in forces:
        return None
    own, other = (_without_unit(layout.columns[c]) for c in forces)
    sides = [word for word in (*own, *other) if word in SIDES]
    alike = [w for w in own if w not in SIDES] == [w for w in other if w not in SIDES]
    if len(sides) != 2 or not alike or len({word in LEFT for word in sides}) != 2:
        return None
    return forces[1] if column == forces[0] else forces[0]


def force_unit(name: str) -> str | None:
    """The unit of force, or the calibration, that a heading carries; None where it has neither."""
    return headed_calibration(name) or words_and_unit(name, FORCE_UNITS)[1]


def _without_unit(name: str) -> list[str]:
    title, written = heading(name)
    words = _words(title if unit_of_force(written) else name)
    return [word for word in words if word not in FORCE_UNITS]


def _sure_unit(name: str) -> str | None:
    written = heading(name)[1] or name.rpartition(" ")[2]
    sure = SURE_UNITS.get(written) or SURE_UNITS.get(written.lower() if len(written) > 1 else "")
    return sure or headed_calibration(name)


def _time(
    layout: Layout, force_column: int | None, remarks: list[str]
) -> tuple[int | None, str | None]:
    named = [n for n in _named(layout, TIME_WORDS, TIME_UNITS) if n.column != force_column]
    with_unit = [n for n in named if n.unit] or named
    if with_unit:
        column, unit = with_unit[0].column, with_unit[0].unit
    else:
        climbing = [c for c in layout.numeric if c != force_column and _is_clock(layout.numbers(c))]
        if not climbing:
            return None, None
        column, unit = climbing[0], None
        if layout.has_header:
            remarks.append(f"“{layout.columns[column]}” only ever goes up and was taken as time.")
    if is_written_clock(layout, column):
        return column, "s"
    if unit is None:
        unit = _unit_of_spacing(layout.numbers(column), len(layout.rows) < FEW_ROWS)
        if unit is not None:
            full = "seconds" if unit == "s" else "milliseconds"
            remarks.append(f"Time is named without a unit; its spacing says {full}.")
    return column, unit


def is_written_clock(layout: Layout, column: int) -> bool:
    """Whether a column holds times of day, or minutes and seconds, with colons."""
    cells = [row[column] for row in layout.rows if column < len(row) and row[column]]
    return bool(cells) and sum(map(is_clock, cells)) > 0.5 * len(cells)


def _is_clock(values: np.ndarray) -> bool:
    """Whether numbers rise in about equal steps, a few lapses allowed; a row count is no clock."""
    known = values[np.isfinite(values)]
    if len(known) < 3:
        return False
    steps = np.diff(known)
    middle = float(np.median(steps))
    if middle == 1.0 and bool(np.all(known == np.round(known))):
        return False
    return middle > 0.0 and float(np.mean((steps > 0.0) & (steps < 4.0 * middle))) > 0.9


def _unit_of_spacing(values: np.ndarray, whole: bool) -> str | None:
    """Seconds or milliseconds, by what a recorder's samples can be apart.

    A few dozen rows some units apart are a summary of strokes in seconds, not half a second of
    samples in milliseconds.
    """
    known = values[np.isfinite(values)]
    if len(known) < 2:
        return None
    step = float(np.median(np.abs(np.diff(known))))
    if SHORTEST_STEP_S <= step <= LONGEST_STEP_S:
        return "s"
    if whole and abs(float(known[-1] - known[0])) < SHORTEST_PIECE_S * 1000.0:
        return None
    if SHORTEST_STEP_S * 1000.0 <= step <= LONGEST_STEP_S * 1000.0:
        return "ms"
    return None


def _position(layout: Layout, remarks: list[str]) -> tuple[int | None, str | None]:
    named = _named(layout, POSITION_WORDS, POSITION_UNITS)
    named = [n for n in named if n.handle or not n.words & OTHER_PLACES]
    if len(named) > 1:
        named = [n for n in named if n.handle]
    if len(named) != 1:
        return None, None
    if named[0].unit is None:
        remarks.append(
            f"“{layout.columns[named[0].column]}” looks like handle position but names no unit; "
            "it was left out (--position-column and --position-unit bring it in)."
        )
        return None, None
    return named[0].column, named[0].unit


def _named_interval(layout: Layout, remarks: list[str]) -> float | None:
    """Seconds between samples where the lines above the table name a sampling rate in Hz."""
    for line in layout.preamble:
        found = re.search(r"(\d+(?:[.,]\d+)?)\s*hz\b", line.lower())
        if found and float(found[1].replace(",", ".")) > 0.0:
            rate = float(found[1].replace(",", "."))
            remarks.append(f"There is no time column; the lines above name {rate:g} Hz.")
            return 1.0 / rate
    return None
