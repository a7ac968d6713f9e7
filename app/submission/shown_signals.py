"""The further signals of a submission, which of them are shown, and the line each is drawn with.

Nothing here or in those who draw knows a signal's name: what a recording holds besides the force,
and what a film shows of the body, can be shown, in whatever unit it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from analysis.force.trace import FORCE
from analysis.signals.signal import FloatArray, Signal

if TYPE_CHECKING:
    from app.submission.submission import LoadedSubmission

# On and off in widths of the line: a signal is known by its dashes also without its colour.
DASHES: Final[tuple[tuple[float, ...], ...]] = (
    (6.0, 2.0),
    (1.5, 1.8),
    (8.0, 2.0, 1.5, 2.0),
    (10.0, 4.0),
    (8.0, 2.0, 1.5, 2.0, 1.5, 2.0),
    (3.0, 2.0),
    (12.0, 2.0, 3.0, 2.0),
)
MOST_UNITS: Final = 2  # axes beside a curve


@dataclass(frozen=True)
class ShownSignal:
    """A signal that can be shown.

    Attributes
    ----------
    place : its number among those of the recording, from 0; its line follows from it, so that it
        stays when others come or go
    """

    signal: Signal
    place: int

    @property
    def name(self) -> str:
        """By which the review keeps it."""
        return self.signal.name

    @property
    def unit(self) -> str:
        """Of its values."""
        return self.signal.unit

    @property
    def words(self) -> str:
        """Title and unit: "Seat, m"."""
        return f"{self.signal.title}, {self.unit}" if self.unit else self.signal.title

    @property
    def dashes(self) -> tuple[float, ...]:
        """On and off in widths of its line."""
        return DASHES[self.place % len(DASHES)]

    @property
    def reach(self) -> tuple[float, float]:
        """Lowest and highest value, one unit apart where they are the same or there is none."""
        values = self.signal.known[1]
        if not len(values):
            return 0.0, 1.0
        low, high = float(values.min()), float(values.max())
        return (low, high) if high > low else (low - 0.5, high + 0.5)

    def share(self, values: FloatArray) -> FloatArray:
        """Values as shares of its reach: 0 at the lowest of the recording, 1 at the highest."""
        low, high = self.reach
        return (values - low) / (high - low)

    def said(self, value: float) -> str:
        """A value with as many decimals as are worth showing, without its unit."""
        return f"{value:.{self.signal.digits}f}".replace("-", "\N{MINUS SIGN}")

    @property
    def reach_words(self) -> str:
        """Its lowest and highest value: "0.02 to 0.71"."""
        low, high = self.reach
        return f"{self.said(low)} to {self.said(high)}"


def choosable(sent: LoadedSubmission) -> tuple[ShownSignal, ...]:
    """Give every signal of a submission but the force, whose curve is there already."""
    signals = sent.signals.without(FORCE)
    return tuple(ShownSignal(signal, place) for place, signal in enumerate(signals))


def shown(sent: LoadedSubmission) -> tuple[ShownSignal, ...]:
    """Give those that its review ticked and that are there, in the order they were ticked.

    Where there is no force and nothing is ticked, what the strokes of the picture are known by:
    their curve would be empty.
    """
    by_name = {choice.name: choice for choice in choosable(sent)}
    ticked = tuple(by_name[name] for name in sent.state.shown_signals if name in by_name)
    if ticked or not sent.from_picture or sent.body is None:
        return ticked
    lead = sent.body.piece.lead
    return () if lead is None else (by_name[lead.name],)


def units_of(signals: Sequence[ShownSignal]) -> tuple[str, ...]:
    """Give each unit once, in order."""
    return tuple(dict.fromkeys(choice.unit for choice in signals))
