"""How long drive and recovery take."""

from __future__ import annotations

from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.spec import RECOVERY, MeasureSpec


def _recovery_s(m: MeasuredStroke) -> float | None:
    span = m.stroke.recovery
    return None if span is None else span[1] - span[0]


def _rhythm(m: MeasuredStroke) -> float | None:
    recovery_s = _recovery_s(m)
    return None if recovery_s is None else recovery_s / m.drive_s


def _rate_spm(m: MeasuredStroke) -> float | None:
    span = m.stroke.recovery
    return None if span is None else 60.0 / (span[1] - m.stroke.catch_s)


DRIVE_S = MeasureSpec(
    key="drive_s", title="Drive time", short="drive s", unit="s", digits=2,
    compute=lambda m: m.drive_s, needs=(),
    meaning="From the catch to the finish.",
    definition="finish minus catch",
)  # fmt: skip
RECOVERY_S = MeasureSpec(
    key="recovery_s", title="Recovery time", short="recov. s", unit="s", digits=2,
    compute=_recovery_s, needs=(RECOVERY,),
    meaning="From the finish to the next catch.",
    definition="next catch minus finish",
)  # fmt: skip
RHYTHM = MeasureSpec(
    key="rhythm", title="Rhythm", short="rhythm", unit="", digits=2,
    compute=_rhythm, needs=(RECOVERY,),
    meaning="Recovery time divided by drive time: 2 means twice as long.",
    definition="recovery time divided by drive time",
)  # fmt: skip
RATE_SPM = MeasureSpec(
    key="rate_spm", title="Stroke rate", short="rate /min",
    unit="1/min", shown_unit="/min", digits=1,
    compute=_rate_spm, needs=(RECOVERY,),
    meaning="Strokes per minute, catch to catch.",
    definition="60 divided by the time from catch to next catch",
)  # fmt: skip
