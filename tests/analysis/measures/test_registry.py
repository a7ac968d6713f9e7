"""Every measure is whole: key, words, docs; and the value of all of them together."""

from __future__ import annotations

import pickle
from copy import deepcopy
from pathlib import Path

import numpy as np
import pytest

from analysis.force.measures import measure_stroke
from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.measures import Measures
from analysis.measures.registry import KEYS, MEASURES
from analysis.measures.spec import MeasureSpec
from analysis.signals.signal import TRACE, Signal, SignalSet
from tests.helpers.curves import one_drive

DOCS = Path(__file__).parents[3] / "docs" / "measures.md"
# The contract of the commands: these keys, in this order, whatever comes after them.
FIRST = (
    "drive_s", "recovery_s", "rhythm", "rate_spm", "peak_n", "mean_n", "impulse_ns",
    "mean_to_peak", "time_to_peak_pct", "length_to_peak_pct", "rfd_n_per_s", "plateau_pct",
    "length_m", "work_j",
)  # fmt: skip


def test_old_keys_stay_in_their_order() -> None:
    assert KEYS[: len(FIRST)] == FIRST
    assert len(set(KEYS)) == len(KEYS)


@pytest.mark.parametrize("spec", MEASURES, ids=lambda spec: spec.key)
def test_every_measure_is_in_the_docs_as_it_is_defined(spec: MeasureSpec) -> None:
    assert spec.line() in DOCS.read_text("utf-8").splitlines(), f"docs/measures.md: {spec.line()}"


def test_the_docs_have_no_measure_that_is_gone() -> None:
    table = DOCS.read_text("utf-8").split("## Definitions")[1].split("\n## ")[0]
    rows = [line for line in table.splitlines() if line.startswith("| `")]
    assert rows == [spec.line() for spec in MEASURES]


@pytest.mark.parametrize("spec", MEASURES, ids=lambda spec: spec.key)
def test_every_measure_has_its_words(spec: MeasureSpec) -> None:
    assert spec.title[0].isupper() and spec.meaning.endswith(".") and spec.source
    assert not spec.definition.endswith(".")


def test_measures_are_a_mapping_that_never_changes() -> None:
    found = measure_stroke(*one_drive("half sine"))
    assert tuple(found) == KEYS and len(found) == len(KEYS)
    assert found.peak_n == found["peak_n"] == pytest.approx(600.0)
    assert dict(found)["work_j"] == found.work_j
    with pytest.raises(AttributeError):
        found.peak_n = 3.0
    with pytest.raises(AttributeError):
        _ = found.peak
    with pytest.raises(KeyError):
        found["peak"]
    with pytest.raises(TypeError, match="no measure"):
        Measures(peak=3.0)
    for copy in (pickle.loads(pickle.dumps(found)), deepcopy(found)):
        assert copy == found and hash(copy) == hash(found)
    assert Measures() != found and set(Measures().values()) == {None}


def test_a_measure_of_any_signal_is_one_spec() -> None:
    """What a newcomer writes: heart rate at the finish, null where there is none."""

    def at_finish(m: MeasuredStroke) -> float | None:
        read = float(m.signals["hr"].at(np.array(m.stroke.finish_s)))
        return read if np.isfinite(read) else None

    spec = MeasureSpec("hr_bpm", "Heart rate", "bpm", 0, at_finish, "Beats.", "at the finish",
                       needs=("hr",))  # fmt: skip
    trace, stroke = one_drive("triangle")
    pulse = Signal("hr", "HR", "bpm", 0, TRACE, trace.time_s, 150.0 + 10.0 * trace.time_s)
    bare = MeasuredStroke(stroke, trace.force)
    assert spec.of(bare) is None
    assert spec.of(MeasuredStroke(stroke, trace.force, None, SignalSet((pulse,)))) == 159.0
