"""The order in which a coach sees the findings, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analysis.findings.finding import Finding
from analysis.findings.thresholds import Thresholds

# What is likely behind what; a symptom stands behind its cause. Common practice, no source.
EXPLAINS: dict[str, tuple[str, ...]] = {
    "thrown-catch": ("hard-catch", "seat-first"),
    "rushed-recovery": ("thrown-catch", "hard-catch"),
    "seat-first": ("back-rounds", "late-peak", "give"),
    "back-rounds": ("give",),
    "early-arms": ("give", "early-loss", "hands-off-level"),
    "early-trunk": ("hands-off-level", "early-loss", "late-peak"),
    "hard-catch": ("peaky", "early-loss"),
    "give": ("peaky", "stepped-build-up", "late-peak"),
    "stepped-build-up": ("late-peak", "peaky"),
    "early-loss": ("peaky", "empty-finish"),
    "peaky": ("empty-finish",),
    "empty-lean-back": ("empty-finish",),
    "fading": ("uneven",),
}
SHARE_OVERLAP = 0.5  # of a symptom's strokes must show the cause too


def rank(findings: Sequence[Finding], t: Thresholds) -> tuple[Finding, ...]:
    """Put causes before symptoms, then by weight; good signs last; flag the first few.

    The weight is the share of strokes times severity, with 0.25 added to severity so that a
    light fault in every stroke comes before a strong one in a few.
    """
    faults = [f for f in findings if not f.good]
    explained = {f.code: _behind(f, faults) for f in faults}
    ordered = sorted(faults, key=lambda f: (_depth(f.code, explained), -weight(f), f.code))
    leads = {f.code for f in ordered[: int(t["leads"])]}
    ranked = [
        replace(
            f,
            explained_by=explained[f.code],
            lead=f.code in leads,
            rank_reason=_reason(place, f, explained[f.code], findings),
        )
        for place, f in enumerate(ordered, 1)
    ]
    good = sorted((f for f in findings if f.good), key=lambda f: (-weight(f), f.code))
    return (*ranked, *(replace(f, rank_reason="What works, to start with.") for f in good))


def weight(finding: Finding) -> float:
    """How much a finding counts, 0 to 1.25."""
    return finding.share * (0.25 + finding.severity)


def _behind(symptom: Finding, findings: Sequence[Finding]) -> tuple[str, ...]:
    return tuple(
        f.code
        for f in findings
        if symptom.code in EXPLAINS.get(f.code, ()) and _overlap(symptom, f) >= SHARE_OVERLAP
    )


def _overlap(symptom: Finding, cause: Finding) -> float:
    mine = set(symptom.strokes)
    return len(mine & set(cause.strokes)) / len(mine) if mine else 0.0


def _depth(code: str, explained: dict[str, tuple[str, ...]], seen: tuple[str, ...] = ()) -> int:
    """How many causes stand behind one another before this one; a ring counts once."""
    causes = [c for c in explained.get(code, ()) if c not in seen]
    if not causes:
        return 0
    return 1 + max(_depth(c, explained, (*seen, code)) for c in causes)


def _reason(
    place: int, finding: Finding, causes: tuple[str, ...], findings: Sequence[Finding]
) -> str:
    titles = {f.code: f.title for f in findings}
    n = len(finding.strokes)
    parts = [
        f"Place {place}: {n} {'stroke' if n == 1 else 'strokes'} ({100.0 * finding.share:.0f} %), "
        f"severity {100.0 * finding.severity:.0f} of 100"
    ]
    if finding.effect.what:
        effect = finding.effect
        parts.append(f"{effect.size:.0f} {effect.unit} {effect.what} a stroke")
    reason = "; ".join(parts) + "."
    if causes:
        names = " and ".join(f"“{titles[c]}”" for c in causes)
        reason += f" It stands behind {names}, which is likely the cause."
    return reason
