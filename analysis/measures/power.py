"""Power of the drive at the handle."""

from __future__ import annotations

import numpy as np

from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.spec import FORCE, HANDLE, MeasureSpec


def _peak_power_w(m: MeasuredStroke) -> float | None:
    motion = m.motion
    if motion is None:
        return None
    speed_m_s = np.interp(m.time_s, motion.time_s, motion.speed_m_s)
    return float((m.calm_n * speed_m_s).max())


MEAN_POWER_W = MeasureSpec(
    key="mean_power_w", title="Mean power", short="power W", unit="W", digits=0,
    # The mean of force times speed over the drive, exactly, and no speed has to be found for it.
    compute=lambda m: m.work_j / m.drive_s, needs=(FORCE, HANDLE),
    meaning="Work of the drive divided by the time it took.",
    definition="work divided by drive time: power of the drive alone, not of the whole stroke",
)  # fmt: skip
PEAK_POWER_W = MeasureSpec(
    key="peak_power_w", title="Peak power", short="peak W", unit="W", digits=0,
    compute=_peak_power_w, needs=(FORCE, HANDLE),
    meaning="Force times speed of the handle where that is highest.",
    definition=(
        "highest force times handle speed of the drive; speed is the slope of a cubic through each "
        "0.2 s of handle position; null below 20 samples a second"
    ),
    source="slope: Savitzky & Golay 1964, Anal Chem 36:1627–1639; window: common practice",
)  # fmt: skip
