"""What has to be asked about a force file, and the reading that answers make of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.force.column_curves import ColumnCurve
from analysis.force.columns import (
    POSITION_UNITS,
    TIME_UNITS,
    Guess,
    words_and_unit,
)
from analysis.force.columns import force_unit as force_unit_of
from analysis.force.force_units import (
    NEWTONS,
    is_raw,
    two_cells_said,
    unit_of_force,
    written_unit,
)
from analysis.force.trace import ColumnMapping, TraceError

SECONDS = {"s": 1.0, "ms": 0.001, "us": 1e-6}
METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001}


_QUESTIONS = {
    "force_unit": ("the unit of force", "--force-unit N|kN|daN|kgf|lbf"),
    "force_column": ("which column is the handle force", "--force-column NAME_OR_NUMBER"),
    "time_unit": ("the unit of time", "--time-unit s|ms|us"),
    "interval_s": (
        "the time of the samples",
        "--interval SECONDS or --time-column NAME_OR_NUMBER",
    ),
    "position_unit": ("the unit of handle position", "--position-unit m|cm|mm"),
}


@dataclass(frozen=True)
class Preview:
    """What can be told about a force file before it is read.

    Attributes
    ----------
    columns : (C,) names, "column 1" ... where there is no header
    rows : the first rows as written
    guess : what is known about the columns so far
    mapping : the whole mapping, None while `missing` names something
    missing : what must be asked: "force_column", "force_unit", "time_unit", "interval_s" (when
        there is no time column) or "position_unit"
    hands : columns of the left and the right force that are added, none where there are not both
    signature : the same for files laid out alike by the same source
    curves : what the columns of numbers look like, where something must be asked
    """

    name: str
    encoding: str
    delimiter: str
    decimal: str
    has_header: bool
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    guess: Guess
    mapping: ColumnMapping | None
    missing: tuple[str, ...]
    signature: str
    hands: tuple[int, ...] = ()
    curves: tuple[ColumnCurve, ...] = ()


class MappingNeeded(TraceError):
    """The file can be read once the questions in `missing` are answered."""

    def __init__(self, preview: Preview, missing: tuple[str, ...]):
        super().__init__(_question(preview, missing))
        self.preview = preview
        self.missing = missing


def _question(preview: Preview, missing: tuple[str, ...]) -> str:
    unit = unit_of_no_force(preview) if "force_unit" in missing else ""
    if unit and is_raw(unit) and preview.hands:
        first, second = (preview.columns[c] for c in sorted(preview.hands))
        return two_cells_said(first, second, preview.name)
    if unit:
        return _no_force(preview, unit)
    asked = " and ".join(_QUESTIONS[name][0] for name in missing)
    options = " and ".join(_QUESTIONS[name][1] for name in missing)
    columns = ", ".join(f"{i + 1} “{name}”" for i, name in enumerate(preview.columns))
    shown = f" (columns: {columns})" if "column" in options else ""
    return f"{preview.name} does not say {asked}; give {options}{shown}."


def unit_of_no_force(preview: Preview) -> str:
    """The unit its heading gives the force, where that is one of something else; "" otherwise."""
    at = preview.guess.force_column
    if at is None or not preview.has_header or preview.guess.force_unit is not None:
        return ""
    return written_unit(preview.columns[at])


def _no_force(preview: Preview, unit: str) -> str:
    at = preview.guess.force_column or 0
    told = f"“{preview.columns[at]}” in {preview.name} is in {unit}, which is no unit of force; "
    if is_raw(unit):
        return told + (
            "give what it is worth: --force-unit 'NUMBER N/V', or --load READING:NEWTONS for two "
            "known loads."
        )
    return told + "choose another column with --force-column, or name its unit with --force-unit."


def mapping_from_options(
    looked: Preview,
    *,
    force_column: str | int | None = None,
    force_unit: str | None = None,
    time_column: str | int | None = None,
    time_unit: str | None = None,
    interval_s: float | None = None,
    position_column: str | int | None = None,
    position_unit: str | None = None,
    keep_rest: bool = False,
) -> ColumnMapping:
    """Complete the guess by what a person says; what is said outweighs what was guessed.

    Parameters
    ----------
    force_column, time_column, position_column : a name from the header, or a number from 1; a
        force named so is taken alone, where left and right would be added
    interval_s : seconds between samples; then a time column is not used unless named too
    keep_rest : leave in the force what is read while nobody pulls

    Raises
    ------
    MappingNeeded
        Something is still missing.
    TraceError
        There is no such column or unit, or the interval is no positive number.
    """
    guess = looked.guess
    if force_column is not None:
        at = _column(looked, force_column, "--force-column")
        unit = force_unit_of(looked.columns[at]) if looked.has_header else None
        guess = replace(guess, force_column=at, force_unit=unit)
    if time_column is not None:
        at = _column(looked, time_column, "--time-column")
        unit = _unit_named(looked, at, TIME_UNITS)
        unit = unit or (guess.time_unit if at == guess.time_column else None)
        guess = replace(guess, time_column=at, time_unit=unit)
    elif interval_s is not None:
        guess = replace(guess, time_column=None, time_unit=None)
    if position_column is not None:
        at = _column(looked, position_column, "--position-column")
        unit = _unit_named(looked, at, POSITION_UNITS)
        guess = replace(guess, position_column=at, position_unit=unit)
    if interval_s is not None:
        if not (np.isfinite(interval_s) and interval_s > 0.0):
            raise TraceError("The interval between samples must be a number of seconds above 0.")
        guess = replace(guess, interval_s=float(interval_s))
    guess = replace(
        guess,
        force_unit=_force_unit(force_unit) or guess.force_unit,
        time_unit=_unit(time_unit, TIME_UNITS, SECONDS, "time") or guess.time_unit,
        position_unit=_unit(position_unit, POSITION_UNITS, METRES, "position")
        or guess.position_unit,
    )
    mapping = guess.mapping()
    if mapping is None:
        raise MappingNeeded(looked, guess.missing)
    one_hand = force_column is not None and mapping.force_column in looked.hands
    return replace(mapping, keep_rest=keep_rest, one_hand=one_hand)


def _column(looked: Preview, said: str | int, option: str) -> int:
    names = [name.strip().lower() for name in looked.columns]
    if str(said).strip().lower() in names:
        return names.index(str(said).strip().lower())
    try:
        number = int(said)
    except ValueError:
        number = 0
    if not 1 <= number <= len(names):
        columns = ", ".join(f"{i + 1} “{name}”" for i, name in enumerate(looked.columns))
        raise TraceError(
            f"{looked.name} has no column “{said}” for {option}; its columns are {columns}."
        )
    return number - 1


def _unit_named(looked: Preview, column: int, units: dict[str, str]) -> str | None:
    return words_and_unit(looked.columns[column], units)[1] if looked.has_header else None


def _force_unit(said: str | None) -> str | None:
    unit = None if said is None else unit_of_force(said)
    if said is not None and unit is None:
        raise TraceError(
            f"“{said}” is no unit of force known here; use {', '.join(NEWTONS)}, or a calibration "
            "such as '245 N/V'."
        )
    return unit


def _unit(
    said: str | None, spellings: dict[str, str], known: dict[str, float], what: str
) -> str | None:
    if said is None:
        return None
    unit = spellings.get(said.strip().lower())
    if unit is None:
        raise TraceError(f"“{said}” is no unit of {what} known here; use {', '.join(known)}.")
    return unit
