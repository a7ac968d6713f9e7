import pytest

from analysis.findings.finding import Effect, Evidence, Finding, Where
from analysis.findings.ranking import EXPLAINS, rank
from analysis.findings.thresholds import Thresholds


def finding(code: str, share: float = 1.0, severity: float = 0.5, good: bool = False) -> Finding:
    strokes = tuple(range(round(10 * share)))
    return Finding(
        code, code, "drive", strokes, share, 0.0, 1.0, severity,
        Effect(4.0, "N s", "impulse lost"), Evidence("m", 1.0, "", 0.5), Where(1.0), good=good,
    )  # fmt: skip


def test_cause_comes_before_symptom_even_if_light():
    ranked = rank([finding("peaky", severity=1.0), finding("give", severity=0.05)], Thresholds())
    assert [f.code for f in ranked] == ["give", "peaky"]
    assert ranked[1].explained_by == ("give",)
    assert "likely its cause" in ranked[1].rank_reason
    assert "may explain" in ranked[0].rank_reason


def test_a_cause_in_other_strokes_is_none():
    symptom = finding("peaky")
    cause = finding("give", share=0.3)
    ranked = rank([symptom, cause], Thresholds())
    assert ranked[0].code == "peaky" and ranked[0].explained_by == ()


def test_a_cause_weighs_as_much_as_what_it_explains():
    light = [finding("back-rounds", severity=0.1), finding("give", severity=1.0)]
    ranked = rank([finding("empty-lean-back", severity=0.5), *light], Thresholds())
    assert [f.code for f in ranked] == ["back-rounds", "give", "empty-lean-back"]


def test_weight_orders_what_stands_alone():
    ranked = rank([finding("uneven", 0.4), finding("late-peak", 1.0)], Thresholds())
    assert [f.code for f in ranked] == ["late-peak", "uneven"]
    assert "10 strokes (100 %)" in ranked[0].rank_reason
    assert "4 N s impulse lost" in ranked[0].rank_reason


def test_three_lead_and_good_signs_do_not():
    codes = ("uneven", "late-peak", "hard-catch", "finish-snatch")
    ranked = rank([*map(finding, codes), finding("soft-catch", good=True)], Thresholds())
    assert [f.lead for f in ranked] == [True, True, True, False, False]
    fewer = rank([finding(c) for c in codes], Thresholds().with_changes({"leads": 1}))
    assert sum(f.lead for f in fewer) == 1


@pytest.mark.parametrize("code", sorted(EXPLAINS))
def test_no_fault_explains_itself_in_a_ring(code):
    seen, waiting = set(), [code]
    while waiting:
        for symptom in EXPLAINS.get(waiting.pop(), ()):
            assert symptom != code
            if symptom not in seen:
                seen.add(symptom)
                waiting.append(symptom)
