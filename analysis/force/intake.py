"""Force files in: delimited text to a trace. Format and rules: docs/force-files.md."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from analysis.force.columns import (
    FORCE_UNITS,
    POSITION_UNITS,
    TIME_UNITS,
    Guess,
    guess_columns,
    is_written_clock,
    words_and_unit,
)
from analysis.force.decoding import TextHead, read_head
from analysis.force.delimited import Layout, find_layout, is_cut_short, read_columns
from analysis.force.further_columns import (
    FurtherColumn,
    as_signals,
    further_columns,
    worth_keeping,
)
from analysis.force.notation import over_midnight
from analysis.force.repair import Samples, repair
from analysis.force.trace import ColumnMapping, FloatArray, ForceTrace, IntakeReport, TraceError

# One kilogram-force is 9.80665 N exactly: standard acceleration of free fall, 3rd CGPM 1901,
# ISO 80000-4. One pound-force is 4.448 221 615 260 5 N exactly: NIST SP 811, appendix B.
NEWTONS = {"N": 1.0, "kgf": 9.80665, "lbf": 4.4482216152605}
SECONDS = {"s": 1.0, "ms": 0.001}
METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001}

PREVIEW_ROWS = 8
_QUESTIONS = {
    "force_unit": ("the unit of force", "--force-unit N|kgf|lbf"),
    "force_column": ("which column is the handle force", "--force-column NAME_OR_NUMBER"),
    "time_unit": ("the unit of time", "--time-unit s|ms"),
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
    signature : the same for files laid out alike by the same source
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


class MappingNeeded(TraceError):
    """The file can be read once the questions in `missing` are answered."""

    def __init__(self, preview: Preview, missing: tuple[str, ...]):
        super().__init__(_question(preview, missing))
        self.preview = preview
        self.missing = missing


def _question(preview: Preview, missing: tuple[str, ...]) -> str:
    asked = " and ".join(_QUESTIONS[name][0] for name in missing)
    options = " and ".join(_QUESTIONS[name][1] for name in missing)
    columns = ", ".join(f"{i + 1} “{name}”" for i, name in enumerate(preview.columns))
    shown = f" (columns: {columns})" if "column" in options else ""
    return f"{preview.name} does not say {asked}; give {options}{shown}."


def preview(path: str | Path) -> Preview:
    """Look at a force file: its layout, its columns, and what must be asked.

    Raises
    ------
    TraceError
        The file cannot be used, in one sentence.
    """
    return _look(Path(path))[0]


def _look(path: Path) -> tuple[Preview, TextHead, Layout]:
    head = read_head(path)
    layout = find_layout(head, path.name)
    guess = guess_columns(layout)
    looked = Preview(
        path.name,
        head.encoding,
        layout.delimiter,
        layout.decimal,
        layout.has_header,
        layout.columns,
        layout.rows[:PREVIEW_ROWS],
        guess,
        guess.mapping(),
        guess.missing,
        _signature(layout),
    )
    return looked, head, layout


def _signature(layout: Layout) -> str:
    names = "\x1f".join(layout.columns).lower()
    text = f"{layout.delimiter}\x1e{layout.decimal}\x1e{layout.has_header}\x1e{names}"
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:16]


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
    force_column, time_column, position_column : a name from the header, or a number from 1
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
        guess = replace(guess, force_column=at, force_unit=_unit_named(looked, at, FORCE_UNITS))
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
        force_unit=_unit(force_unit, FORCE_UNITS, NEWTONS, "force") or guess.force_unit,
        time_unit=_unit(time_unit, TIME_UNITS, SECONDS, "time") or guess.time_unit,
        position_unit=_unit(position_unit, POSITION_UNITS, METRES, "position")
        or guess.position_unit,
    )
    mapping = guess.mapping()
    if mapping is None:
        raise MappingNeeded(looked, guess.missing)
    return replace(mapping, keep_rest=keep_rest)


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


def _unit(
    said: str | None, spellings: dict[str, str], known: dict[str, float], what: str
) -> str | None:
    if said is None:
        return None
    unit = spellings.get(said.strip().lower())
    if unit is None:
        raise TraceError(f"“{said}” is no unit of {what} known here; use {', '.join(known)}.")
    return unit


def read_trace(path: str | Path, mapping: ColumnMapping | None = None) -> ForceTrace:
    """Read a force file into a trace in SI units.

    Parameters
    ----------
    mapping : how to read the columns; None to go by the file's own header

    Raises
    ------
    MappingNeeded
        No mapping was given and the file does not say all that is needed.
    TraceError
        The file cannot be used, in one sentence.
    """
    path = Path(path)
    looked, head, layout = _look(path)
    as_guessed = mapping is None or replace(mapping, keep_rest=False) == looked.mapping
    remarks = list(looked.guess.remarks) if as_guessed else []
    mapping = mapping or looked.mapping
    if mapping is None:
        raise MappingNeeded(looked, looked.missing)
    _check_mapping(mapping, layout, path.name)
    columns = further_columns(layout, mapping, remarks)
    samples, rows, passed_over = _samples(path, head, layout, mapping, columns)
    columns, samples.further = worth_keeping(columns, samples.further, remarks)
    if is_cut_short(path, head, layout) and len(samples.time_s) > 1:
        samples.force_n[-1] = np.nan
        samples.remarks.append("The last line is cut short; it was dropped.")
    repair(samples)
    samples.missing += passed_over
    if passed_over:
        remarks.append(passed_over_said(passed_over))
    _check_samples(samples, layout, mapping, path.name)
    report = IntakeReport(
        rows=rows,
        samples=len(samples.time_s),
        encoding=head.encoding,
        delimiter=layout.delimiter,
        decimal=layout.decimal,
        has_header=layout.has_header,
        columns=layout.columns,
        mapping=mapping,
        missing=samples.missing,
        repeated=samples.repeated,
        backward=samples.backward,
        gaps_s=samples.gaps_s,
        remarks=(*remarks, *samples.remarks),
    )
    further = as_signals(columns, samples.further, samples.time_s)
    return ForceTrace(samples.time_s, samples.force_n, samples.position_m, report, further)


def passed_over_said(count: int) -> str:
    """Say that rows had cells too many: thousands parted by the delimiter, for one."""
    rows = "1 row has" if count == 1 else f"{count} rows have"
    return (
        f"{rows} more cells than the table has columns and could not be read; look for thousands "
        "parted by the mark that parts the columns."
    )


def _check_mapping(mapping: ColumnMapping, layout: Layout, name: str) -> None:
    columns = [mapping.force_column, mapping.time_column, mapping.position_column]
    if any(c is not None and not 0 <= c < len(layout.columns) for c in columns):
        raise TraceError(
            f"{name} has {len(layout.columns)} columns, fewer than the remembered reading of them "
            "needs; choose its columns again."
        )
    if mapping.force_unit not in NEWTONS or mapping.time_unit not in SECONDS:
        raise TraceError("Force is read in N, kgf or lbf and time in s or ms; choose one of them.")
    if mapping.position_unit not in METRES:
        raise TraceError("Handle position is read in m, cm or mm; choose one of them.")
    interval = mapping.interval_s
    if mapping.time_column is None and not (
        interval is not None and np.isfinite(interval) and interval > 0.0
    ):
        raise TraceError(f"{name} needs a time column or seconds between samples (--interval).")


def _samples(
    path: Path,
    head: TextHead,
    layout: Layout,
    mapping: ColumnMapping,
    further: Sequence[FurtherColumn],
) -> tuple[Samples, int, int]:
    """Samples in SI units as they stand in the file, rows, and lines passed over."""
    wanted = [mapping.force_column]
    if mapping.time_column is not None:
        wanted.append(mapping.time_column)
    if mapping.position_column is not None:
        wanted.append(mapping.position_column)
    own = len(wanted)
    wanted += [f.column for f in further]
    columns, passed_over = read_columns(path, head, layout, wanted)
    force_n = columns[0] * NEWTONS[mapping.force_unit]
    if mapping.time_column is not None:
        if is_written_clock(layout, mapping.time_column):
            time_s = over_midnight(columns[1])  # in seconds, whatever was remembered
        else:
            time_s = columns[1] * SECONDS[mapping.time_unit]
    else:
        time_s = np.arange(len(force_n), dtype=np.float64) * np.float64(mapping.interval_s or 0.0)
    position_m: FloatArray | None = None
    if mapping.position_column is not None:
        position_m = columns[own - 1] * METRES[mapping.position_unit]
    samples = Samples(time_s, force_n, position_m, further=columns[own:])
    return samples, len(force_n) + passed_over, passed_over


def _check_samples(samples: Samples, layout: Layout, mapping: ColumnMapping, name: str) -> None:
    force = layout.columns[mapping.force_column]
    if len(samples.time_s) == 0:
        raise TraceError(f"{name} has no row with both a time and a number in “{force}”.")
    if len(samples.time_s) == 1:
        raise TraceError(f"{name} holds a single usable row; a stroke needs many.")
    if not samples.force_n.any():
        raise TraceError(f"Force is zero throughout {name}; choose another column or file.")
    if samples.force_n.min() == samples.force_n.max():
        raise TraceError(f"Force never changes in {name}; choose another column or file.")
