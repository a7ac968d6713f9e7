"""Sound rowing at the limits, and prescribed work: neither is a fault, and what is one is found.

Curves, spreads and plans are those of `tests/benchmarks/limits_generator.py`; larger runs:
`python -m tests.benchmarks.findings_limits`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.findings.find import find
from analysis.findings.finding import Finding
from analysis.force.piece import analyse
from analysis.sections.section import Section
from analysis.statistics import spread_share
from tests.benchmarks.findings_limits import counted, faults_of
from tests.benchmarks.limits_generator import PRESCRIBED, SHAPES, Rowing, prescribed, row, steady
from tests.helpers.dependent import rows

PLAIN = Rowing(plan=((30, 24.0, 0.9),), spread=0.03, alike=0.0, noise=0.003)


def finding(how: Rowing, code: str, seed: int = 1) -> Finding | None:
    return next((f for f in find(analyse(row(how, seed))) if f.code == code), None)


@pytest.mark.parametrize("name", PRESCRIBED)
def test_prescribed_work_is_neither_uneven_nor_fading(name: str) -> None:
    pieces, seen = counted(lambda seed: prescribed(name, seed), range(3))
    assert seen["uneven"] + seen["fading"] <= 1, f"{seen} in {pieces}"


def test_sound_pieces_at_the_limits_raise_hardly_anything() -> None:
    pieces, seen = counted(steady, range(30))
    # 1.33 a piece before there was a margin.
    assert sum(seen.values()) <= 0.25 * pieces, seen


@pytest.mark.parametrize("spread", [0.034, 0.040, 0.048])
def test_the_spread_of_trained_rowers_is_not_uneven(spread: float) -> None:
    make = lambda seed: replace(steady(seed), spread=spread, loss=0.0)  # noqa: E731
    pieces, seen = counted(make, range(12))
    assert seen["uneven"] <= 2, f"{seen['uneven']} of {pieces}; 5 % at the limit itself"


def test_twice_the_usual_spread_is_uneven_and_the_sentence_says_what_is_usual() -> None:
    found = finding(replace(PLAIN, spread=0.10), "uneven")
    assert found is not None
    said = " ".join(found.remarks)
    assert "3.4 to 4.8 %" in said and "(90 %)" in said
    low = float(said.split("between ")[1].split(" and")[0])
    assert low > found.evidence.threshold, "the lower end of its interval has passed the limit"


def test_the_lower_end_of_a_spread_holds_what_it_says() -> None:
    for kind in ("unrelated", "AR(1) 0.3"):
        drawn = 100.0 + 5.0 * rows(kind, 400, 20, np.random.default_rng(6))
        above = np.mean([spread_share(r, 0.9)[1] > 0.05 for r in drawn])
        assert above < 0.09, "5 % are promised"


def test_the_one_uneven_section_is_named() -> None:
    trace = row(replace(PLAIN, plan=((20, 20.0, 0.7), (20, 28.0, 1.0)), spread=0.02), 3)
    strokes = analyse(trace).strokes
    rng = np.random.default_rng(1)
    force_n = trace.force_n.copy()
    for stroke in strokes[20:]:
        inside = slice(*np.searchsorted(trace.time_s, [stroke.catch_s, stroke.finish_s]))
        force_n[inside] *= 1.0 + 0.1 * rng.normal()
    found = next(f for f in find(analyse(replace(trace, force_n=force_n))) if f.code == "uneven")
    assert min(found.strokes) >= 20
    assert found.remarks[0].startswith("Strokes 21 to 40 (20 strokes at 28, about ")


def test_a_loss_of_force_at_one_rate_is_still_fading_and_an_easing_piece_is_not() -> None:
    fading = finding(replace(PLAIN, loss=0.25), "fading")
    assert fading is not None and fading.evidence.value == pytest.approx(25.0, abs=5.0)
    rates, levels = np.linspace(26.0, 18.0, 30), np.linspace(0.9, 0.55, 30)
    easing = tuple((1, float(r), float(p)) for r, p in zip(rates, levels, strict=True))
    assert "fading" not in faults_of(replace(PLAIN, plan=easing), 1)


@pytest.mark.parametrize(("halfway", "rushed"), [(0.49, False), (0.50, False), (0.505, False),
                                                 (0.53, True), (0.58, True)])  # fmt: skip
def test_an_even_recovery_is_not_rushed(halfway: float, rushed: bool) -> None:
    assert ("rushed-recovery" in faults_of(replace(PLAIN, halfway=halfway), 2)) is rushed


@pytest.mark.parametrize("kind", SHAPES)
@pytest.mark.parametrize("peak", [0.30, 0.33, 0.36])
def test_an_early_peak_alone_is_no_early_loss(kind: str, peak: float) -> None:
    assert "early-loss" not in faults_of(replace(PLAIN, kind=kind, peak=peak), 3)


def test_a_curve_that_is_spent_at_half_the_drive_is_an_early_loss() -> None:
    assert "early-loss" in faults_of(replace(PLAIN, kind="two-sines", peak=0.15), 3)


def test_sections_that_are_given_count() -> None:
    piece = analyse(row(Rowing(plan=((15, 20.0, 0.7), (15, 28.0, 1.0)), spread=0.02), 1))
    whole = Section(0, 29, 30, 0.0, 1.0, None, None)
    assert "uneven" in {f.code for f in find(piece, sections=(whole,))}
    assert "uneven" not in {f.code for f in find(piece)}
