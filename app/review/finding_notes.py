"""A finding the coach keeps, as a note: what was seen, then the cue, the drill and the caution."""

from __future__ import annotations

import re
from typing import Final

from analysis.findings.finding import Finding
from app.review.parts.notes import PHASES, Note, new_note

# A line of a note that begins so is set apart wherever the note is shown.
CUE: Final = "Cue:"
DRILL: Final = "Drill:"
CAUTION: Final = "With care:"
# So does what makes a prescription whole; these may stand in the words on the next session as well.
DOSE: Final = "Dose:"
UNTIL: Final = "Until:"
FILM: Final = "Film:"

_LOW_BACK = re.compile(r"\blow(er)?[-\s]backs?\b|\blumbar\b", re.IGNORECASE)


def finding_note(finding: Finding) -> Note:
    """Give the note a finding becomes when it is kept.

    It stands where the finding says to look, on the stroke that shows it most clearly. Without
    footage that is the trace's own second.
    """
    where = finding.where
    at_s = where.video_s if where.video_s is not None else where.trace_s
    return new_note(
        0.0 if at_s is None else at_s,
        finding_text(finding),
        phase=finding.phase if finding.phase in PHASES else "",
        body_part="back" if _LOW_BACK.search(finding.caution) else "",
        stroke=finding.evidence.stroke,
        on_force=where.trace_s is not None,
    )


def finding_text(finding: Finding) -> str:
    """Give the words of that note: the title, what was seen, and a line for each way out."""
    ways = ((CUE, finding.cue), (DRILL, finding.drill), (CAUTION, finding.caution))
    lines = [
        finding.title,
        finding.what,
        *(f"{word} {text}" for word, text in ways if text.strip()),
    ]
    return "\n".join(line.strip() for line in lines if line.strip())
