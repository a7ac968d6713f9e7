"""How far the handle goes, and the work that takes."""

from __future__ import annotations

from analysis.measures.spec import FORCE, HANDLE, MeasureSpec

LENGTH_M = MeasureSpec(
    key="length_m", title="Drive length", short="length m", unit="m", digits=2,
    compute=lambda m: m.length_m, needs=(HANDLE,),
    meaning="How far the handle travels in the drive.",
    definition="handle position at the finish minus at the catch",
)  # fmt: skip
WORK_J = MeasureSpec(
    key="work_j", title="Work per stroke", short="work J", unit="J", digits=0,
    compute=lambda m: m.work_j, needs=(FORCE, HANDLE),
    meaning="Force times travel, added up over the drive.",
    definition="force integrated over handle position from catch to finish",
)  # fmt: skip
