"""How much of a drill makes a session: sets, strokes, rate and pressure, by finding.

All of it is common practice of the trade: little, easy, and often, because a movement is changed by
strokes that are done well. What a drill says of itself, such as half pressure or five minutes at
rate 18, its dose says too; where the low back is concerned and the drill says nothing, pressure is
light.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Pressure = Literal["light", "half", "firm"]


@dataclass(frozen=True)
class Dose:
    """How much of one drill.

    Attributes
    ----------
    strokes : in a set
    rate_spm : strokes a minute
    """

    sets: int
    strokes: int
    rate_spm: int
    pressure: Pressure

    @property
    def said(self) -> str:
        """All of it in English, as a note would say it."""
        return (
            f"{self.sets} sets of {self.strokes} strokes, {self.rate_spm} a minute, "
            f"{self.pressure} pressure"
        )


# For a drill of the coach's own words that says no numbers itself, and what has no line below.
USUAL: Final = Dose(3, 10, 18, "half")
DOSES: Final[dict[str, Dose]] = {
    "hard-catch": Dose(3, 10, 18, "half"),
    "give": Dose(3, 10, 18, "half"),
    "stepped-build-up": Dose(3, 10, 16, "half"),
    "peaky": Dose(3, 20, 20, "half"),
    "early-loss": Dose(3, 15, 18, "half"),
    "empty-finish": Dose(3, 10, 20, "half"),
    "late-peak": Dose(3, 15, 18, "half"),
    "finish-snatch": Dose(3, 10, 18, "half"),
    "uneven": Dose(2, 90, 18, "half"),
    "rushed-recovery": Dose(3, 10, 18, "half"),
    "fading": Dose(3, 60, 20, "firm"),
    "thrown-catch": Dose(3, 10, 18, "light"),
    "seat-first": Dose(3, 10, 18, "light"),
    "back-rounds": Dose(3, 8, 16, "light"),
    "early-arms": Dose(3, 10, 18, "half"),
    "empty-lean-back": Dose(3, 15, 18, "half"),
    "hands-off-level": Dose(3, 10, 18, "half"),
    "early-trunk": Dose(3, 10, 18, "light"),
}
