"""The findings the coach kept. What was dropped, or not decided, never leaves the review."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.findings.catalogue import read_catalogue
from analysis.findings.finding import Finding
from app.submission.submission import LoadedSubmission


@dataclass(frozen=True)
class Kept:
    """One finding that became a note.

    Attributes
    ----------
    rank : its place among those kept: good signs first, then as the analysis ranks them
    good : a good sign, not a fault
    finding : with its evidence; None where the recordings no longer show it
    """

    code: str
    note_id: str
    rank: int
    good: bool = False
    finding: Finding | None = None


def kept_findings(sent: LoadedSubmission) -> tuple[Kept, ...]:
    """Give the findings that were kept and whose notes are still there, in order of rank."""
    notes = {note.id for note in sent.state.notes}
    kept = [d for d in sent.state.decisions if d.kept and d.note_id in notes]
    if not kept:
        return ()
    found = sent.findings
    place = {finding.code: i for i, finding in enumerate(found)}
    entries = read_catalogue().entries

    def order(code: str) -> tuple[bool, int]:
        return not _is_good(code), place.get(code, len(found))

    def _is_good(code: str) -> bool:
        return code in entries and entries[code].good

    kept.sort(key=lambda decision: order(decision.code))
    return tuple(
        Kept(
            d.code,
            d.note_id,
            rank,
            _is_good(d.code),
            found[place[d.code]] if d.code in place else None,
        )
        for rank, d in enumerate(kept)
    )
