"""What the analysis suggests to the coach, with its evidence."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

# Where a finding was seen.
FORCE, PICTURE = "force", "picture"

Phase = Literal["catch", "drive", "finish", "recovery", "piece"]


@dataclass(frozen=True)
class Evidence:
    """The number a finding rests on.

    Attributes
    ----------
    measure : what was measured, in plain words
    value : median over the strokes that show it
    threshold : what the value is held against
    percent_from, percent_to : span of the drive on the time axis to shade, percent; a recovery
        lies beyond 100. None for what concerns the whole piece
    stroke : index of the stroke that shows it most clearly, None for the whole piece
    sd : standard deviation the points of the body leave to `value`, in its unit; None where it was
        not read from points. The value passed its limit with this to spare
    """

    measure: str
    value: float
    unit: str
    threshold: float
    percent_from: float | None = None
    percent_to: float | None = None
    stroke: int | None = None
    sd: float | None = None


@dataclass(frozen=True)
class Where:
    """Where to look: seconds on either clock; None where there is no such recording."""

    trace_s: float | None = None
    video_s: float | None = None


@dataclass(frozen=True)
class Effect:
    """What the fault costs each stroke that shows it.

    Attributes
    ----------
    size : 0 or more, in `unit`
    what : "impulse lost", "peak force added", ...; "" where nothing can be said
    """

    size: float = 0.0
    unit: str = ""
    what: str = ""


@dataclass(frozen=True)
class Cause:
    """A likely cause, and what in the picture would confirm it."""

    cause: str
    look_for: str


@dataclass(frozen=True)
class Finding:
    """One finding.

    Attributes
    ----------
    strokes : indices of the strokes that show it
    share : their share of the strokes looked at, 0-1
    share_low, share_high : 95 % interval of the share
    severity : 0 just at the threshold, 1 as strong as the thresholds' table calls strong
    remarks : sentences about how far this can be trusted
    lead : among the two or three a coach should see first
    rank_reason : why it stands where it stands
    explained_by : codes of findings that are likely behind this one
    good : a good sign, not a fault
    seen_in : `FORCE` or `PICTURE`
    """

    code: str
    title: str
    phase: Phase
    strokes: tuple[int, ...]
    share: float
    share_low: float
    share_high: float
    severity: float
    effect: Effect
    evidence: Evidence
    where: Where
    what: str = ""
    causes: tuple[Cause, ...] = ()
    cue: str = ""
    drill: str = ""
    caution: str = ""
    remarks: tuple[str, ...] = field(default=())
    rank_reason: str = ""
    explained_by: tuple[str, ...] = ()
    lead: bool = False
    good: bool = False
    seen_in: str = FORCE

    def as_dict(self) -> dict[str, Any]:
        """Give the finding as plain values, ready for JSON."""
        e = self.evidence
        return {
            "code": self.code,
            "title": self.title,
            "phase": self.phase,
            "strokes": list(self.strokes),
            "share": round(self.share, 3),
            "share_95": [round(self.share_low, 3), round(self.share_high, 3)],
            "severity": round(self.severity, 3),
            "evidence": {
                "measure": e.measure,
                "value": round(e.value, 4),
                "unit": e.unit,
                "threshold": e.threshold,
                "percent": None
                if e.percent_from is None or e.percent_to is None
                else [round(e.percent_from, 1), round(e.percent_to, 1)],
                "stroke": e.stroke,
                "sd": None if e.sd is None else round(e.sd, 4),
            },
            "effect": {
                "what": self.effect.what,
                "size": round(self.effect.size, 2),
                "unit": self.effect.unit,
            },
            "where": {
                "video_s": _seconds(self.where.video_s),
                "trace_s": _seconds(self.where.trace_s),
            },
            "seen_in": self.seen_in,
            "good": self.good,
            "lead": self.lead,
            "what": self.what,
            "causes": [{"cause": c.cause, "look_for": c.look_for} for c in self.causes],
            "cue": self.cue,
            "drill": self.drill,
            "caution": self.caution,
            "remarks": list(self.remarks),
            "explained_by": list(self.explained_by),
            "rank_reason": self.rank_reason,
        }


def _seconds(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
