"""Force files in: delimited text to a trace. Format and rules: docs/force-files.md."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from analysis.force.column_curves import column_curves
from analysis.force.columns import force_unit, guess_columns, is_written_clock, other_hand
from analysis.force.decoding import TextHead, read_head
from analysis.force.delimited import Layout, find_layout, is_cut_short, read_columns
from analysis.force.force_units import (
    NEWTONS,
    headed_calibration,
    newtons,
    two_cells_said,
)
from analysis.force.further_columns import (
    FurtherColumn,
    as_signals,
    further_columns,
    worth_keeping,
)
from analysis.force.notation import over_midnight
from analysis.force.packed import Unpacked, unpacked
from analysis.force.questions import (
    METRES,
    SECONDS,
    MappingNeeded,
    Preview,
    mapping_from_options,
)
from analysis.force.repair import Samples, repair
from analysis.force.single_strokes import SingleStrokes, find_single_strokes, too_far_apart
from analysis.force.trace import ColumnMapping, FloatArray, ForceTrace, IntakeReport, TraceError

__all__ = ["MappingNeeded", "Preview", "mapping_from_options", "preview", "read_trace"]

PREVIEW_ROWS = 8
FAINTEST_N = 50.0  # of a peak nobody doubts
LONGEST_APART_S = 0.5  # between samples of a curve; a stroke lasts two seconds


def preview(path: str | Path) -> Preview:
    """Look at a force file: its layout, its columns, and what must be asked.

    Raises
    ------
    TraceError
        The file cannot be used, in one sentence.
    """
    with unpacked(Path(path)) as plain:
        return _look(plain.path)[0]


def _look(path: Path) -> tuple[Preview, TextHead, Layout, SingleStrokes | None]:
    head = read_head(path)
    layout = find_layout(head, path.name)
    single = find_single_strokes(path, head, layout)
    if single is not None:
        layout = single.layout
    guess = guess_columns(layout) if single is None else single.guess
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
        _hands(layout, guess.force_column) if single is None else (),
        column_curves(layout, head.lines if single is None else ()) if guess.missing else (),
    )
    return looked, head, layout, single


def _hands(layout: Layout, column: int | None) -> tuple[int, ...]:
    other = None if column is None else other_hand(layout, column)
    return () if column is None or other is None else (column, other)


def _signature(layout: Layout) -> str:
    names = "\x1f".join(layout.columns).lower()
    text = f"{layout.delimiter}\x1e{layout.decimal}\x1e{layout.has_header}\x1e{names}"
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:16]


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
    with unpacked(Path(path)) as plain:
        return _read(plain, mapping)


def _read(plain: Unpacked, mapping: ColumnMapping | None) -> ForceTrace:
    path = plain.path
    looked, head, layout, single = _look(path)
    as_guessed = mapping is None or looked.mapping == replace(
        mapping, keep_rest=False, one_hand=False
    )
    remarks = [*plain.remarks, *(looked.guess.remarks if as_guessed else ())]
    mapping = mapping or looked.mapping
    if mapping is None:
        raise MappingNeeded(looked, looked.missing)
    _check_mapping(mapping, layout, path.name)
    columns = further_columns(layout, mapping, remarks) if single is None else ()
    if single is None:
        samples, rows, passed_over = _samples(path, head, layout, mapping, columns, remarks)
    else:
        samples, rows, passed_over = _of_single(single, mapping), len(single.curves), 0
        remarks.append(single.said)
    columns, samples.further = worth_keeping(columns, samples.further, remarks)
    if single is None and is_cut_short(path, head, layout) and len(samples.time_s) > 1:
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
        gaps_s=samples.gaps_s if single is None else (),
        remarks=(*remarks, *samples.remarks, *_doubts(samples)),
        began_s=samples.began_s,
    )
    further = as_signals(columns, samples.further, samples.time_s)
    return ForceTrace(
        samples.time_s, samples.force_n, samples.position_m, report, further, timed=single is None
    )


def _of_single(single: SingleStrokes, mapping: ColumnMapping) -> Samples:
    """Single strokes on a clock of their own, each in rest."""
    factor = newtons(mapping.force_unit) or 1.0
    return Samples(*single.samples(mapping.interval_s or 1.0, factor), None)


def _doubts(samples: Samples) -> tuple[str, ...]:
    """Doubt a force that no rower pulls so lightly: mostly its unit is another."""
    if len(samples.force_n) < 2:
        return ()
    low, high = np.percentile(
        samples.force_n[:: max(1, len(samples.force_n) // 200_000)], [5, 99.5]
    )
    if high - low >= FAINTEST_N:
        return ()
    return (
        f"The highest force is {high - low:.3g} N above rest, where a rower pulls hundreds; look "
        "whether column and unit are right.",
    )


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
    if newtons(mapping.force_unit) is None or mapping.time_unit not in SECONDS:
        raise TraceError(
            f"Force is read in {', '.join(NEWTONS)} or by a calibration, and time in s, ms or us; "
            "choose one of them."
        )
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
    remarks: list[str],
) -> tuple[Samples, int, int]:
    """Samples in SI units as they stand in the file, rows, and lines passed over."""
    wanted = [mapping.force_column]
    if mapping.time_column is not None:
        wanted.append(mapping.time_column)
    if mapping.position_column is not None:
        wanted.append(mapping.position_column)
    own = len(wanted)
    wanted += [f.column for f in further]
    other = other_hand(layout, mapping.force_column)
    if mapping.one_hand and other is not None:
        own_name, other_name = layout.columns[mapping.force_column], layout.columns[other]
        remarks.append(f"“{own_name}” was taken alone, as asked, without “{other_name}”.")
        other = None
    others_factor = 0.0 if other is None else _others_factor(layout, mapping, other, path.name)
    wanted += [] if other is None else [other]
    columns, passed_over = read_columns(path, head, layout, wanted)
    force_n = columns[0] * (newtons(mapping.force_unit) or 1.0)
    if other is not None:
        force_n = force_n + columns.pop() * others_factor
        both = (layout.columns[c] for c in sorted((mapping.force_column, other)))
        remarks.append("{} and {} were added.".format(*(f"“{name}”" for name in both)))
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


def _others_factor(layout: Layout, mapping: ColumnMapping, other: int, name: str) -> float:
    """Newtons of one in the other hand's column: its own heading's, or what was said of both."""
    first, second = layout.columns[mapping.force_column], layout.columns[other]
    as_headed = force_unit(first) == mapping.force_unit
    unit = (force_unit(second) if as_headed else None) or mapping.force_unit
    # No two load cells are worth the same, so one calibration is never used for both.
    if unit not in NEWTONS and headed_calibration(second) != unit:
        raise TraceError(two_cells_said(first, second, name))
    return newtons(unit) or 1.0


def _check_samples(samples: Samples, layout: Layout, mapping: ColumnMapping, name: str) -> None:
    force = layout.columns[mapping.force_column]
    if len(samples.time_s) == 0:
        raise TraceError(f"{name} has no row with both a time and a number in “{force}”.")
    if len(samples.time_s) == 1:
        raise TraceError(f"{name} holds a single usable row; a stroke needs many.")
    apart_s = float(np.median(np.diff(samples.time_s)))
    if apart_s > LONGEST_APART_S:
        raise too_far_apart(apart_s, name)
    if not samples.force_n.any():
        raise TraceError(f"Force is zero throughout {name}; choose another column or file.")
    if samples.force_n.min() == samples.force_n.max():
        raise TraceError(f"Force never changes in {name}; choose another column or file.")
