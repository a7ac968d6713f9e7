from __future__ import annotations

from analysis.force.piece import Spread
from analysis.measures.measures import Measures
from analysis.measures.registry import KEYS
from app.bundle.wording.measure_words import BY_NAME, MEASURES, sentences


def test_every_measure_has_its_words() -> None:
    assert [m.name for m in MEASURES] == list(KEYS)
    assert all(m.meaning.endswith(".") for m in MEASURES)


def test_figures_as_they_are_shown() -> None:
    assert BY_NAME["rfd_n_per_s"].with_unit(2885.6) == "2\u202f886\u00a0N/s"
    assert BY_NAME["mean_to_peak"].with_unit(0.584) == "58\u00a0%"
    assert BY_NAME["rhythm"].with_unit(1.9) == "1.90"
    assert BY_NAME["peak_n"].show(-0.2, signed=True) == "+0"
    assert BY_NAME["peak_n"].show(-35.0, signed=True) == "−35"
    assert BY_NAME["work_j"].show(None) == "–"
    assert BY_NAME["drive_s"].show_spread(0.004) == "<\u00a00.01"
    assert BY_NAME["mean_to_peak"].show_spread(0.004) == "<\u00a01"
    assert BY_NAME["peak_n"].show_spread(6.7) == "7"
    assert BY_NAME["peak_n"].show_spread(0.0) == "0"
    assert BY_NAME["peak_n"].show_spread(None) == "–"


def test_one_stroke_in_sentences() -> None:
    own = Measures(
        drive_s=0.93, recovery_s=1.74, rate_spm=22.4, peak_n=601.2, time_to_peak_pct=46.3,
        plateau_pct=15.2, mean_to_peak=0.58,
    )  # fmt: skip
    said = " ".join(sentences(own, {"peak_n": Spread(589.0, 7.0, 7)})).replace("\u00a0", " ")
    assert said == (
        "Your hardest pull was 601 N, 12 N above your mean; it came 46 % of the way through the "
        "drive. You held close to it for 15 % of the drive and your mean pull was 58 % of it. "
        "The drive took 0.93 s and the recovery 1.74 s, at 22 strokes a minute."
    )


def test_what_was_not_measured_is_not_said() -> None:
    assert sentences(Measures(), {}) == ()
    (only,) = sentences(Measures(peak_n=500.0), {"peak_n": Spread(500.0, None, 1)})
    assert only.replace("\u00a0", " ") == "Your hardest pull was 500 N."
