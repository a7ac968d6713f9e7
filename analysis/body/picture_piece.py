"""Strokes of a film alone with the signals of its picture, as a force recording has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from analysis.body.angles import METRES, TITLES, BodySeries
from analysis.measures.measures import Measures
from analysis.signals.along import CurveAxis, Part
from analysis.signals.curves import CurveSet, curve_set, signal_curve
from analysis.signals.signal import FloatArray, Signal, SignalSet
from analysis.signals.stroke import Stroke

PREFIX: Final = "picture-"  # a force file may have a column called "knee"
# What a stroke of a film is known by where there is no force: the first of these that was seen.
LEADING: Final = ("handle_speed_m_s", "handle_m")
HANDLE: Final = "handle_m"
# Ways only the findings need: beside seat and handle they would be two more alike.
NOT_SHOWN: Final = frozenset(("hip_m", "shoulder_m", "hip_height_m"))


def signal_name(series: str) -> str:
    """By what name a series of the body is kept as a signal: "picture-knee"."""
    for ending in ("_rad", "_m_s", "_m"):
        series = series.removesuffix(ending)
    return PREFIX + series.replace("_", "-")


def picture_signals(body: BodySeries) -> SignalSet:
    """What is known of the body as signals to be shown: degrees, on the clock of the film.

    Each has its standard deviation where one is known, and gaps that stay gaps.
    """
    known = (n for n in TITLES if n not in NOT_SHOWN and np.isfinite(body.values(n)).any())
    return SignalSet(tuple(_shown(body, name) for name in known))


def _shown(body: BodySeries, name: str) -> Signal:
    signal, sd = body.signal(name), body.sd.get(name)
    title = signal.title.removesuffix(" in the picture") + " (picture)"
    shown = replace(signal, name=signal_name(name), title=title, sd=sd)
    if signal.unit != "rad":
        return shown
    sd_deg = None if sd is None else np.degrees(sd)
    return replace(shown, unit="°", digits=0, values=np.degrees(signal.values), sd=sd_deg)


@dataclass(frozen=True, eq=False)
class PicturePiece:
    """Strokes of a film with their measures and signals; a `RowedPiece`.

    Attributes
    ----------
    lead : what the strokes are known by: the handle's speed, or its way where none is known
    handle : its way along the rail; None where it is not known
    by_length : None; over the handle's way nothing was tried on a film
    """

    strokes: tuple[Stroke, ...]
    measures: tuple[Measures, ...]
    signals: SignalSet
    lead: Signal | None
    handle: Signal | None
    by_length: CurveSet | None = None

    @classmethod
    def of(
        cls, body: BodySeries, strokes: tuple[Stroke, ...], measures: tuple[Measures, ...]
    ) -> PicturePiece:
        """Make it of what a film shows."""
        signals = picture_signals(body)
        leads = (signals.get(signal_name(name)) for name in LEADING)
        lead = next((signal for signal in leads if signal is not None), None)
        return cls(strokes, measures, signals, lead, signals.get(signal_name(HANDLE)))

    @property
    def from_picture(self) -> bool:
        """Yes: its strokes run from turn to turn of the hands."""
        return True

    @property
    def handle_m(self) -> Signal | None:
        """The handle's way where it is in metres."""
        return self.handle if self.handle is not None and self.handle.unit == METRES else None

    @cached_property
    def by_time(self) -> CurveSet | None:
        """The leading signal over the drives."""
        return None if self.lead is None else self.curves(self.lead)

    @property
    def typical(self) -> Stroke | None:
        """The stroke nearest the mean curve, None when there is no mean."""
        if self.by_time is None:
            return None
        return next((s for s in self.strokes if s.index == self.by_time.typical), None)

    def curve(
        self, signal: Signal, stroke: Stroke, axis: CurveAxis = "time", part: Part = "drive"
    ) -> FloatArray | None:
        """Any signal over a part of a stroke, as `signals.curves.signal_curve` gives it."""
        return signal_curve(signal, stroke, axis, part, self.handle)

    def curves(
        self, signal: Signal, axis: CurveAxis = "time", part: Part = "drive"
    ) -> CurveSet | None:
        """Any signal over all whole strokes, as `signals.curves.curve_set` gives it."""
        return curve_set(signal, self.strokes, axis, part, self.handle)

    def only(self, rows: Sequence[int]) -> PicturePiece:
        """The piece with some of its strokes alone, by their place among them."""
        return replace(
            self,
            strokes=tuple(self.strokes[i] for i in rows),
            measures=tuple(self.measures[i] for i in rows),
        )
