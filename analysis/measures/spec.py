"""What a measure is: its name, its words, and how it is computed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from analysis.measures.measured_stroke import MeasuredStroke

COMMON_PRACTICE = "common practice, no source"
# What a measure can need, as `MeasuredStroke.has` knows it.
FORCE = "force"
HANDLE = "handle"  # a handle position that is known and runs one way through the drive
RECOVERY = "recovery"


@dataclass(frozen=True)
class MeasureSpec:
    """One measure. Tables, comparisons, bundle, commands and docs are made from it.

    Attributes
    ----------
    key : its name in data, with its unit where it could be mistaken ("peak_n")
    title : its name for people
    unit : of the value as it is stored, "" for none
    digits : decimals shown
    compute : gives the value of one stroke, None where it cannot be told; only asked where all it
        needs is there
    meaning : one sentence for the athlete
    definition : how exactly it is taken, for docs/measures.md
    needs : what must be known of the stroke: `FORCE`, `HANDLE`, `RECOVERY`
    source : where definition and bounds come from
    shown_unit, factor : unit on screen and on the page and what a value is multiplied by for it;
        None: as it is stored
    short : heading in a narrow table of values as they are stored; "" keeps it out of one
    """

    key: str
    title: str
    unit: str
    digits: int
    compute: Callable[[MeasuredStroke], float | None]
    meaning: str
    definition: str
    needs: tuple[str, ...] = (FORCE,)
    source: str = COMMON_PRACTICE
    shown_unit: str | None = None
    factor: float = 1.0
    short: str = ""

    @property
    def unit_shown(self) -> str:
        """Unit on screen and on the page."""
        return self.unit if self.shown_unit is None else self.shown_unit

    @property
    def stored_digits(self) -> int:
        """Decimals that show as much of the value as it is stored."""
        return self.digits + max(0, len(str(int(self.factor))) - 1)

    def of(self, stroke: MeasuredStroke) -> float | None:
        """Take the measure of a stroke; None where it cannot be told."""
        if not stroke.drive_s > 0.0 or not all(stroke.has(need) for need in self.needs):
            return None
        return self.compute(stroke)

    def line(self) -> str:
        """Give its line in the table of docs/measures.md."""
        return f"| `{self.key}` | {self.unit or '–'} | {self.definition} | {self.source} |"
