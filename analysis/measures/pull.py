"""How hard the handle is pulled."""

from __future__ import annotations

from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.spec import MeasureSpec


def _mean_n(m: MeasuredStroke) -> float:
    return m.impulse_ns / m.drive_s


def _mean_to_peak(m: MeasuredStroke) -> float | None:
    return _mean_n(m) / m.peak_n if m.peak_n > 0.0 else None


PEAK_N = MeasureSpec(
    key="peak_n", title="Peak force", short="peak N", unit="N", digits=0,
    compute=lambda m: m.peak_n,
    meaning="The hardest pull on the handle in the drive.",
    definition="highest force of the drive",
)  # fmt: skip
MEAN_N = MeasureSpec(
    key="mean_n", title="Mean force", short="mean N", unit="N", digits=0,
    compute=_mean_n,
    meaning="The pull on the handle averaged over the drive.",
    definition="impulse divided by drive time",
)  # fmt: skip
IMPULSE_NS = MeasureSpec(
    key="impulse_ns", title="Impulse", short="impulse Ns", unit="N s", digits=0,
    compute=lambda m: m.impulse_ns,
    meaning="Force times time, added up over the drive.",
    definition="force integrated over time from catch to finish",
)  # fmt: skip
MEAN_TO_PEAK = MeasureSpec(
    key="mean_to_peak", title="Mean-to-peak ratio", short="mean/peak",
    unit="", shown_unit="%", factor=100.0, digits=0,
    compute=_mean_to_peak,
    meaning="Mean force as a share of peak force: the fuller the curve, the higher.",
    definition="mean force divided by peak force",
)  # fmt: skip
