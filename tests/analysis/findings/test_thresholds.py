import math
from pathlib import Path

import pytest

import analysis.findings
from analysis.findings.thresholds import TABLE, ThresholdError, Thresholds


def test_every_row_says_where_it_comes_from():
    assert len({row.name for row in TABLE}) == len(TABLE)
    for row in TABLE:
        assert row.source and row.does and row.unit
        assert row.low <= row.value <= row.high


def test_only_changes_are_kept():
    t = Thresholds().with_changes({"give.depth": 9.0, "leads": 2})
    assert t["give.depth"] == 9.0
    assert t["peaky.plateau"] == Thresholds()["peaky.plateau"]
    assert t.as_dict() == {"give.depth": 9.0, "leads": 2.0}
    back = t.with_changes({"give.depth": Thresholds()["give.depth"]})
    assert back.as_dict() == {"leads": 2.0}
    assert Thresholds().with_changes(t.as_dict()) == t


@pytest.mark.parametrize(
    "change", [{"nothing": 1.0}, {"give.depth": -1.0}, {"give.depth": math.nan}]
)
def test_impossible_changes_are_refused_in_one_sentence(change):
    with pytest.raises(ThresholdError, match="left"):
        Thresholds().with_changes(change)


def test_no_row_without_a_rule_that_reads_it():
    folder = Path(analysis.findings.__path__[0])
    rules = "".join(p.read_text("utf-8") for p in folder.glob("*.py") if p.stem != "thresholds")
    assert [row.name for row in TABLE if f'"{row.name}"' not in rules] == []
