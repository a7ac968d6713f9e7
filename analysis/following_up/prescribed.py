"""What a prescription aims at: by which measure it is followed, and which way it should go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Way = Literal["more", "less", ""]
# A finding counts as gone when it shows in one stroke of five at most. Common practice, no source.
GONE_SHARE: Final = 0.2
# Findings of a piece as a whole: no stroke shows them by itself.
OF_PIECE: Final = frozenset({"uneven", "fading"})
# Findings whose measure is one of every stroke: where it should go. Others are followed by the
# share of strokes that show them.
AIMS: Final[dict[str, tuple[tuple[str, Way], ...]]] = {
    "hard-catch": (("rfd_n_per_s", "less"),),
    "soft-catch": (("rfd_n_per_s", "more"),),
    "peaky": (("mean_to_peak", "more"),),
    "late-peak": (("time_to_peak_pct", "less"),),
    "rushed-recovery": (("rhythm", "more"),),
}


@dataclass(frozen=True)
class Prescribed:
    """Something an athlete was told to change.

    Attributes
    ----------
    finding : code of the finding it answers, "" for none
    title : what to call it in a sentence
    key : measure it is followed by besides, "" for none
    way : which way that measure should go
    target : value it should reach, None where none was set
    """

    finding: str = ""
    title: str = ""
    key: str = ""
    way: Way = ""
    target: float | None = None


def aims_of(code: str, title: str) -> tuple[Prescribed, ...]:
    """What is followed of a prescription for a finding: its share of strokes, and its measure."""
    measures = (Prescribed(code, title, key, way) for key, way in AIMS.get(code, ()))
    return (Prescribed(code, title), *measures)
