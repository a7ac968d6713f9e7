"""All measures, listed once. Keys are a contract: they keep their order, new ones come last."""

from __future__ import annotations

from typing import Final

from analysis.measures.curve_shape import (
    LENGTH_TO_PEAK_PCT,
    PLATEAU_PCT,
    RFD_N_PER_S,
    TIME_TO_PEAK_PCT,
)
from analysis.measures.power import MEAN_POWER_W, PEAK_POWER_W
from analysis.measures.pull import IMPULSE_NS, MEAN_N, MEAN_TO_PEAK, PEAK_N
from analysis.measures.slip import SLIP_S
from analysis.measures.spec import MeasureSpec
from analysis.measures.timing import DRIVE_S, RATE_SPM, RECOVERY_S, RHYTHM
from analysis.measures.travel import LENGTH_M, WORK_J

MEASURES: Final[tuple[MeasureSpec, ...]] = (
    DRIVE_S,
    RECOVERY_S,
    RHYTHM,
    RATE_SPM,
    PEAK_N,
    MEAN_N,
    IMPULSE_NS,
    MEAN_TO_PEAK,
    TIME_TO_PEAK_PCT,
    LENGTH_TO_PEAK_PCT,
    RFD_N_PER_S,
    PLATEAU_PCT,
    LENGTH_M,
    WORK_J,
    MEAN_POWER_W,
    PEAK_POWER_W,
    SLIP_S,
)
KEYS: Final[tuple[str, ...]] = tuple(spec.key for spec in MEASURES)
SPEC_OF: Final[dict[str, MeasureSpec]] = {spec.key: spec for spec in MEASURES}
