"""The order in which a coach sees the findings, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analysis.findings.finding import FORCE, PICTURE, Finding
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

    What hangs together, a fault of the body and what it does to the force, is one story and stands
    together, its cause first.

    The weight is the share of strokes times severity, with 0.25 added to severity so that a
    light fault in every stroke comes before a strong one in a few. A cause weighs as much as the
    heaviest of what it explains.
    """
    faults = [f for f in findings if not f.good]
    explained = {f.code: _behind(f, faults) for f in faults}
    ordered = _causes_first(faults, explained)
    leads = {f.code for f in ordered[: int(t["leads"])]}
    ranked = [
        replace(
            f,
            explained_by=explained[f.code],
            lead=f.code in leads,
            rank_reason=_reason(place, f, explained, findings),
        )
        for place, f in enumerate(ordered, 1)
    ]
    good = sorted((f for f in findings if f.good), key=lambda f: (-weight(f), f.code))
    return (*ranked, *(replace(f, rank_reason="What works, to start with.") for f in good))


def _causes_first(
    faults: Sequence[Finding], explained: dict[str, tuple[str, ...]]
) -> list[Finding]:
    carried = {f.code: weight(f) for f in faults}
    for _ in faults:  # as many rounds as the longest chain could need
        for f in faults:
            for cause in explained[f.code]:
                carried[cause] = max(carried[cause], carried[f.code])
    left: list[Finding] = list(faults)
    ordered: list[Finding] = []
    story: set[str] = set()
    while left:
        waiting = {f.code for f in left}
        free = [f for f in left if not waiting.intersection(explained[f.code])] or left
        # What the picture and the force show of one story is told without another in between.
        goes_on = [f for f in free if story.intersection(explained[f.code])]
        ordered.append(min(goes_on or free, key=lambda f: (-carried[f.code], -weight(f), f.code)))
        story = story | {ordered[-1].code} if goes_on else {ordered[-1].code}
        left.remove(ordered[-1])
    return ordered


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


def _reason(
    place: int,
    finding: Finding,
    explained: dict[str, tuple[str, ...]],
    findings: Sequence[Finding],
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
    causes = explained[finding.code]
    if causes:
        names = " and ".join(f"“{titles[c]}”" for c in causes)
        likely = "is likely its cause" if len(causes) == 1 else "are likely its causes"
        reason += f" It stands behind {names}, which {likely}."
        seen = {f.code: f.seen_in for f in findings}
        if finding.seen_in == FORCE and any(seen[c] == PICTURE for c in causes):
            reason += " The picture shows the cause at the moment the force shows the effect."
    symptoms = [titles[code] for code, behind in explained.items() if finding.code in behind]
    if symptoms:
        reason += f" It may explain {' and '.join(f'“{s}”' for s in symptoms)}."
    return reason
