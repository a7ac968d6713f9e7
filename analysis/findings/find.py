"""From a piece and what the body does to ranked findings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.body.angles import BodySeries
from analysis.body.strokes import body_strokes
from analysis.clocks.alignment import Alignment
from analysis.findings.body_rules import BODY_RULES, BodyCycles, body_cycles, rushed_recovery_seen
from analysis.findings.body_rules import PCT as BODY_PCT
from analysis.findings.by_section import by_section
from analysis.findings.catalogue import Catalogue, read_catalogue
from analysis.findings.doubt import judge_of
from analysis.findings.finding import FORCE, PICTURE, Evidence, Finding, Where
from analysis.findings.force_rules import CURVE_RULES
from analysis.findings.good_signs import BODY_SIGNS, FORCE_SIGNS, SHARE_FROM, SPOILT_BY
from analysis.findings.piece_rules import PIECE_RULES, SECTION_RULES
from analysis.findings.raised import Raised
from analysis.findings.ranking import rank
from analysis.findings.shapes import Shapes, drive_shapes
from analysis.findings.thresholds import Thresholds
from analysis.force.piece import PieceAnalysis
from analysis.sections.finding_sections import find_sections
from analysis.sections.section import Section
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke
from analysis.statistics import wilson

NOT_TOGETHER = (
    "No stroke of the picture meets one of the force; line them up. Strokes are counted in the "
    "picture."
)


def find(
    piece: PieceAnalysis | None,
    alignment: Alignment | None = None,
    body: BodySeries | None = None,
    thresholds: Thresholds | None = None,
    catalogue: Catalogue | None = None,
    sections: Sequence[Section] | None = None,
) -> tuple[Finding, ...]:
    """Raise the findings of a piece, the most important first, good signs at the end.

    Parameters
    ----------
    piece : the force side, or None when there is none
    alignment : how the two clocks stand to each other. None: there is no footage, and findings
        have no video time
    body : what the picture tells, or None
    thresholds, catalogue : the built-in ones if None
    sections : within which steadiness and trend are told; those found in the piece if None

    Returns
    -------
    Empty when there is nothing to look at or nothing to say.
    """
    limits = thresholds or Thresholds()
    words = catalogue or read_catalogue()
    found: list[Finding] = []
    shapes = None if piece is None else drive_shapes(piece)
    if shapes is not None:
        indices = tuple(s.index for s in shapes.strokes)
        remarks = _force_remarks(shapes)
        parts = find_sections(piece) if sections is None and piece is not None else sections or ()
        for raised in _raise_force(shapes, limits, parts):
            found += _finding(raised, indices, limits, words, alignment, remarks, piece is not None)
    if body is not None:
        known = {f.code for f in found}
        more = _from_body(body, piece, shapes, alignment, limits, words)
        found += [f for f in more if f.code not in known]
    faults = {f.code for f in found if not f.good}
    found = [f for f in found if not faults.intersection(SPOILT_BY.get(f.code, ()))]
    return rank(found, limits)


def _raise_force(shapes: Shapes, limits: Thresholds, sections: Sequence[Section]) -> list[Raised]:
    raised = [rule(shapes, limits) for rule in (*CURVE_RULES, *FORCE_SIGNS)]
    told = [by_section(rule, shapes, limits, sections) for rule in SECTION_RULES]
    told += [rule(shapes, limits) for rule in PIECE_RULES]
    return raised + [r for r in told if r is not None]


def _from_body(
    body: BodySeries,
    piece: PieceAnalysis | None,
    shapes: Shapes | None,
    alignment: Alignment | None,
    limits: Thresholds,
    words: Catalogue,
) -> list[Finding]:
    strokes = body_strokes(body)
    if not strokes:
        return []
    line = alignment or Alignment()
    cycles = None if shapes is None else _matched(body, strokes, shapes, line)
    remarks: tuple[str, ...] = ()
    if cycles is None:
        if shapes is not None:
            remarks = (NOT_TOGETHER,)
        shapes, cycles = None, body_cycles(body, strokes)
    rules = [*BODY_RULES, *BODY_SIGNS]
    if piece is None or piece.trace.position_m is None:
        rules.append(rushed_recovery_seen)
    indices = tuple(s.index for s in cycles.strokes)
    found: list[Finding] = []
    judge = judge_of(cycles, body, limits)
    for rule in rules:
        raised, sd = judge(rule)
        if shapes is not None:
            raised = _on_force_axis(raised, cycles, shapes, line)
        one = _finding(raised, indices, limits, words, alignment, remarks, shapes is not None)
        found += [_with_doubt(finding, raised, sd) for finding in one]
    return found


def _with_doubt(finding: Finding, raised: Raised, sd: FloatArray | None) -> Finding:
    """Say how sure the points are of the value."""
    if sd is None:
        return finding
    own = float(np.median(sd[raised.shows]))
    return replace(finding, evidence=replace(finding.evidence, sd=own))


def _on_force_axis(raised: Raised, cycles: BodyCycles, shapes: Shapes, line: Alignment) -> Raised:
    """Spans of the body's drive, from turn to turn, as percent of the drive of the force."""
    by_index = {s.index: s for s in shapes.strokes}
    spans = []
    for i, stroke in enumerate(cycles.strokes):
        own = by_index.get(stroke.index)
        ends = np.array([raised.percent_from[i], raised.percent_to[i]])
        if own is not None and not (ends >= 100.0).all():
            at = stroke.catch_s + ends / 100.0 * (stroke.finish_s - stroke.catch_s)
            trace_s = np.array([line.trace_time(float(t)) for t in at])
            ends = 100.0 * (trace_s - own.catch_s) / (own.finish_s - own.catch_s)
        spans.append(np.clip(ends, 0.0, 100.0))
    first, last = np.array(spans).T
    return replace(raised, percent_from=first, percent_to=last)


def _force_remarks(shapes: Shapes) -> tuple[str, ...]:
    if shapes.together <= 1:
        return ()
    return (
        f"The force is noisy; each stroke was looked at together with its neighbours "
        f"({shapes.together} in all).",
    )


def _finding(
    raised: Raised,
    indices: tuple[int, ...],
    limits: Thresholds,
    words: Catalogue,
    alignment: Alignment | None,
    remarks: tuple[str, ...],
    has_trace: bool,
) -> list[Finding]:
    """Turn a rule's answer into a finding, or into nothing where too few strokes show it."""
    known = np.isfinite(raised.values)
    count, hits = int(known.sum()), int(raised.shows.sum())
    entry = words[raised.code]
    share_from = max(limits["share-from"], SHARE_FROM) if entry.good else limits["share-from"]
    if hits == 0 or (not raised.whole_piece and hits < share_from * count):
        return []
    clear = raised.clearest
    span = (float(raised.percent_from[clear]), float(raised.percent_to[clear]))
    low, high = wilson(hits, count)
    fewest = int(limits["fewest-strokes"])
    if count < fewest:
        word = "stroke" if count == 1 else "strokes"
        remarks = (f"Only {count} {word} could be looked at, fewer than {fewest}.", *remarks)
    return [
        Finding(
            code=raised.code,
            title=entry.title,
            phase=entry.phase,
            strokes=tuple(indices[int(i)] for i in np.flatnonzero(raised.shows)),
            share=hits / count,
            share_low=low,
            share_high=high,
            severity=raised.severity,
            effect=raised.effect,
            evidence=Evidence(
                raised.measure,
                raised.value,
                raised.unit,
                raised.threshold,
                None if np.isnan(span[0]) else span[0],
                None if np.isnan(span[1]) else span[1],
                indices[clear],
            ),
            where=_where(raised, clear, alignment, has_trace),
            what=entry.what,
            causes=entry.causes,
            cue=entry.cue,
            drill=entry.drill,
            caution=entry.caution,
            remarks=(*remarks, *raised.remarks),
            good=entry.good,
            seen_in=PICTURE if raised.on_video else FORCE,
        )
    ]


def _where(raised: Raised, clear: int, alignment: Alignment | None, has_trace: bool) -> Where:
    at = float(raised.look_s[clear])
    if raised.on_video:
        line = alignment or Alignment()
        return Where(line.trace_time(at) if has_trace and line.holds(at) else None, at)
    return Where(at, None if alignment is None else alignment.shown(at))


def _matched(
    body: BodySeries, strokes: tuple[Stroke, ...], shapes: Shapes, line: Alignment
) -> BodyCycles | None:
    """Strokes of the body numbered as those of the trace, with their force; None if none meet."""
    catches = np.array([line.video_time(s.catch_s) for s in shapes.strokes])
    finishes = np.array([line.video_time(s.finish_s) for s in shapes.strokes])
    shown = np.array([line.shows(s.catch_s, s.finish_s) for s in shapes.strokes])
    middle = np.where(shown, 0.5 * (catches + finishes), np.nan)
    share = np.linspace(0.0, 1.0, shapes.curves.shape[1])
    kept: list[Stroke] = []
    force: list[FloatArray] = []
    for stroke in strokes:
        # The one drive of the trace whose middle falls into the body's drive.
        inside = np.flatnonzero((middle > stroke.catch_s) & (middle < stroke.finish_s))
        if len(inside) != 1:
            continue
        i = int(inside[0])
        kept.append(replace(stroke, index=shapes.strokes[i].index))
        at = stroke.catch_s + BODY_PCT / 100.0 * (stroke.finish_s - stroke.catch_s)
        done = (at - catches[i]) / (finishes[i] - catches[i])
        force.append(np.interp(done, share, shapes.curves[i], left=0.0, right=0.0))
    return body_cycles(body, tuple(kept), np.array(force)) if kept else None
