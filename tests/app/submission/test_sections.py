"""Found sections and the coach's own, and what is judged by them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from analysis.force.piece import PieceAnalysis, analyse
from app.review.parts.sections import SectionBegin
from app.review.parts.state import ReviewState
from app.submission.sections import as_begins
from tests.benchmarks.limits_generator import Rowing, row
from tests.helpers.submissions import submission_of

PLAN = ((12, 20.0, 0.7), (14, 28.0, 1.0))


@cache
def piece() -> PieceAnalysis:
    return analyse(row(Rowing(plan=PLAN, spread=0.03), 3))


def cut(*begins: SectionBegin) -> list[tuple[int, int, str, str]]:
    sent = submission_of(ReviewState(sections=begins), piece())
    return [(s.first, s.last, s.name, s.origin) for s in sent.sections]


def test_without_the_coachs_own_those_found_count() -> None:
    (first, second) = submission_of(ReviewState(), piece()).sections
    assert (first.first, first.last, second.first, second.last) == (0, 11, 12, 25)
    assert first.name.startswith("12 strokes at 20, about ") and first.origin == "found"


def test_the_coachs_own_come_first_and_take_what_was_rowed_for_a_name() -> None:
    catch_s = piece().strokes[6].catch_s
    begins = SectionBegin("a", 3.0, name="warm up"), SectionBegin("b", catch_s - 0.3)
    found = cut(*begins)
    assert found[0] == (0, 5, "warm up", "coach"), "what lies before the first belongs to it"
    assert found[1][:2] == (6, 25) and found[1][2].startswith("20 strokes ")


def test_begins_that_cut_nothing_are_passed_over() -> None:
    catch_s = piece().strokes[6].catch_s
    late = SectionBegin("c", 1e6, name="never")
    twice = SectionBegin("a", catch_s - 0.4, name="x"), SectionBegin("b", catch_s - 0.3, name="y")
    assert [s[:2] for s in cut(SectionBegin("z", 0.0), *twice, late)] == [(0, 5), (6, 25)]


def test_found_sections_can_be_taken_over_to_be_changed() -> None:
    found = submission_of(ReviewState(), piece()).sections
    own = submission_of(ReviewState(sections=as_begins(piece(), found)), piece()).sections
    assert [replace(s, origin="found") for s in own] == list(found)


def test_findings_are_told_within_the_coachs_sections() -> None:
    one = ReviewState(sections=(SectionBegin("a", 0.0),))
    faults = {f.code for f in submission_of(one, piece()).findings if not f.good}
    assert "uneven" in faults, "cut by hand into one, two pressures are a spread"
    assert "uneven" not in {f.code for f in submission_of(ReviewState(), piece()).findings}


def test_no_piece_no_sections() -> None:
    assert submission_of(ReviewState(), None).sections == ()


def test_a_stroke_is_compared_with_its_own_section() -> None:
    sent = submission_of(ReviewState(), piece())
    one, two = sent.by_section
    first, last = one.strokes[0], two.strokes[-1]
    assert sent.around(first.index) == one and sent.around(last.index) == two
    means = [sent.usual_around(stroke)["mean_n"] for stroke in (first, last)]
    assert means[0] is not None and means[1] is not None and means[0].mean != means[1].mean
    longest = max(sent.sections, key=lambda section: section.count)
    usual = sent.usual["mean_n"]
    assert usual is not None and usual.count == longest.count


def test_odd_is_what_is_unlike_its_own_section() -> None:
    sent = submission_of(ReviewState(), piece())
    one_for_all = submission_of(ReviewState(sections=(SectionBegin("a", 0.0),)), piece())
    whole = sent.piece
    assert whole is not None and whole.by_time is not None
    taken_whole = {
        index
        for index, out in zip(whole.by_time.stroke_indices, whole.by_time.outlying, strict=True)
        if out
    }
    assert one_for_all.outlying == taken_whole
    light = {stroke.index for stroke in sent.by_section[0].strokes}
    assert not light <= sent.outlying, "light work is not odd among light strokes"
