"""Several force files of one piece made one table: cut in two by the recorder, or left and right.

Only files whose columns and units are alike, and only where their own times tell how they lie: what
was not recorded between two stays a gap. Nothing is guessed from names but which hand it was.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np

from analysis.force.columns import LEFT, RIGHT
from analysis.force.trace import FloatArray, ForceTrace, IntakeReport, TraceError

LONGEST_GAP_S: Final = 6 * 3600.0  # longer apart is another piece
_SHARED: Final = 0.8  # of the shorter file, what both hands pulled at the same time
_ALIKE_STEP: Final = 0.05
_NO_GAP_STEPS: Final = 1.5  # the next file begins with the next sample
_HOLE_STEPS: Final = 5.0  # beyond so many samples nothing is known of the other hand
DO: Final = "nothing was joined: give one of them, or the piece exported as one file"


@dataclass(frozen=True)
class ForceFile:
    """One of the files, as it was read.

    Attributes
    ----------
    name : as the coach knows it
    """

    name: str
    trace: ForceTrace


@dataclass(frozen=True)
class JoinedForce:
    """What came of them.

    Attributes
    ----------
    table : comma separated text that a force file may hold; "" where one of them says it all
    said : a sentence: what was joined, and how far apart it lies
    """

    table: str
    said: str


def join_force(files: Sequence[ForceFile]) -> JoinedForce:
    """Join force files of one piece.

    Raises
    ------
    TraceError
        They are not alike, or nothing tells how they lie, in one sentence.
    """
    files, copies = _without_copies(files)
    if len(files) == 1:
        return JoinedForce("", copies)
    joined = _joined(_on_one_clock(files))
    return replace(joined, said=f"{joined.said} {copies}".strip())


def _without_copies(files: Sequence[ForceFile]) -> tuple[list[ForceFile], str]:
    """Each content once, and what there is to say of those left out."""
    kept: list[ForceFile] = []
    said: list[str] = []
    for file in files:
        twin = next((other for other in kept if _is_same(other.trace, file.trace)), None)
        if twin is None:
            kept.append(file)
        else:
            said.append(f"{file.name} holds the same as {twin.name} and was left out.")
    return kept, " ".join(said)


def _on_one_clock(files: Sequence[ForceFile]) -> list[ForceFile]:
    """Traces that count from one date once more: each became zero at its own beginning."""
    began_s = [0.0 if f.trace.intake is None else f.trace.intake.began_s for f in files]
    shifts = [began - min(began_s) for began in began_s]
    return [
        ForceFile(file.name, _later(file.trace, by_s))
        for file, by_s in zip(files, shifts, strict=True)
    ]


def _later(trace: ForceTrace, by_s: float) -> ForceTrace:
    further = tuple(replace(each, time_s=each.time_s + by_s) for each in trace.further)
    return replace(trace, time_s=trace.time_s + by_s, further=further)


def _joined(files: Sequence[ForceFile]) -> JoinedForce:
    first = files[0]
    hands = _hands(files)
    if hands is not None and _overlap(*(file.trace for file in hands)) >= _SHARED:
        return _both_hands(*hands)
    for other in files[1:]:
        _check_alike(first, other)
    return _one_after_other(sorted(files, key=lambda file: float(file.trace.time_s[0])))


def _one_after_other(files: Sequence[ForceFile]) -> JoinedForce:
    gaps: list[str] = []
    for before, after in pairwise(files):
        gap_s = float(after.trace.time_s[0] - before.trace.time_s[-1])
        names = f"{before.name} and {after.name}"
        if gap_s <= 0.0:
            raise TraceError(
                f"{names} run over the same seconds on their own clocks, so that nothing tells "
                f"which comes first or how long it was between them; {DO}."
            )
        if gap_s > LONGEST_GAP_S:
            raise TraceError(
                f"{names} lie {gap_s / 3600.0:.0f} hours apart, so they are of two pieces; {DO}."
            )
        if gap_s > _NO_GAP_STEPS * before.trace.interval_s:
            gaps.append(f"{gap_s:.2f} s")
    table = _table([_columns(file.trace) for file in files])
    lacks = f"{' and '.join(gaps)} {'was' if len(gaps) == 1 else 'were'} not recorded"
    return JoinedForce(
        table,
        f"{_listed([file.name for file in files])} were joined by their times; between them "
        f"{lacks if gaps else 'nothing is missing'}.",
    )


def _both_hands(left: ForceFile, right: ForceFile) -> JoinedForce:
    steps = [file.trace.interval_s for file in (left, right)]
    if abs(steps[0] - steps[1]) > _ALIKE_STEP * max(steps):
        raise TraceError(
            f"{left.name} and {right.name} look like the left and the right hand, but are sampled "
            f"every {1000 * steps[0]:.0f} and {1000 * steps[1]:.0f} ms; {DO}."
        )
    own, other = left.trace, right.trace
    at = np.clip(np.searchsorted(other.time_s, own.time_s), 1, len(other.time_s) - 1)
    hole_s = other.time_s[at] - other.time_s[at - 1]
    inside = (own.time_s >= other.time_s[0]) & (own.time_s <= other.time_s[-1])
    use = inside & (hole_s <= _HOLE_STEPS * steps[1])
    time_s = own.time_s[use]
    columns = {
        "time s": time_s,
        "force left N": own.force_n[use],
        "force right N": np.interp(time_s, other.time_s, other.force_n),
    }
    if own.position_m is not None:
        columns["handle position m"] = own.position_m[use]
    return JoinedForce(
        _table([columns]),
        f"{left.name} and {right.name} were taken for the left and the right hand of one piece, "
        "and added up.",
    )


def _columns(trace: ForceTrace) -> dict[str, FloatArray]:
    found = {"time s": trace.time_s, "force N": trace.force_n}
    if trace.position_m is not None:
        found["handle position m"] = trace.position_m
    for signal in trace.further:
        unit = f" ({signal.unit})" if signal.unit else ""
        found[f"{signal.title}{unit}"] = signal.at(trace.time_s)
    return found


def _table(parts: Sequence[dict[str, FloatArray]]) -> str:
    """Rows of all parts under one heading; what one of them lacks stays empty."""
    names = list(dict.fromkeys(name for part in parts for name in part))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    for part in parts:
        count = len(part["time s"])
        columns = [part.get(name, np.full(count, np.nan)) for name in names]
        writer.writerows([_cell(v) for v in row] for row in zip(*columns, strict=True))
    return out.getvalue()


def _cell(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".") if np.isfinite(value) else ""


def _check_alike(first: ForceFile, other: ForceFile) -> None:
    one, two = _intake(first), _intake(other)
    names = f"{first.name} and {other.name}"
    if one.mapping.time_column is None or two.mapping.time_column is None:
        raise TraceError(f"{names} hold no times, so nothing tells how they lie; {DO}.")
    if not first.trace.timed or not other.trace.timed:
        raise TraceError(f"{names} hold single strokes without the time between them; {DO}.")
    if _headings(one) != _headings(other.trace.intake) or one.mapping != two.mapping:
        raise TraceError(f"{names} have different columns or units; {DO}.")


def _intake(file: ForceFile) -> IntakeReport:
    if file.trace.intake is None:
        raise TraceError(f"{file.name} does not say how it was recorded; {DO}.")
    return file.trace.intake


def _headings(intake: IntakeReport | None) -> tuple[str, ...]:
    return () if intake is None else tuple(name.strip().casefold() for name in intake.columns)


def _is_same(one: ForceTrace, two: ForceTrace) -> bool:
    return np.array_equal(one.time_s, two.time_s) and np.array_equal(one.force_n, two.force_n)


def _hands(files: Sequence[ForceFile]) -> tuple[ForceFile, ForceFile] | None:
    """The left and the right one of two, by the heading of the force or the file's name."""
    if len(files) != 2:
        return None
    sides = [_hand(file) for file in files]
    if sides == ["left", "right"]:
        return files[0], files[1]
    return (files[1], files[0]) if sides == ["right", "left"] else None


def _hand(file: ForceFile) -> str:
    intake = file.trace.intake
    heading = "" if intake is None else intake.columns[intake.mapping.force_column]
    for said in (heading, file.name.rpartition(".")[0]):
        words = set(re.findall(r"[^\W\d_]+", said.casefold()))
        if bool(words & LEFT) != bool(words & RIGHT):
            return "left" if words & LEFT else "right"
    return ""


def _overlap(one: ForceTrace, two: ForceTrace) -> float:
    """How much of the shorter one both cover, 0 to 1."""
    shared = min(one.time_s[-1], two.time_s[-1]) - max(one.time_s[0], two.time_s[0])
    shorter = min(one.duration_s, two.duration_s)
    return float(shared / shorter) if shorter > 0.0 else 0.0


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
