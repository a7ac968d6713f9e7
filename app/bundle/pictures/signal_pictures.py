"""The further signals a coach ticked as pictures: over each note's stroke, and their mean."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from analysis.force.trace import FloatArray
from analysis.measures.rowed_piece import RowedPiece
from analysis.signals.along import PERCENT
from analysis.signals.curves import CurveSet
from analysis.signals.stroke import Stroke
from app.bundle.pictures.clip_store import ClipStore, key_of
from app.bundle.pictures.content import drawn_by, of_words
from app.bundle.pictures.curves import LETTER, write_figure
from app.bundle.sources.recordings import Sources
from app.bundle.wording.signal_words import signal_words
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.review.parts.state import ReviewState
from app.scene.figure import Figure, drive_ticks
from app.scene.force_curve import Band, Curve, over_drive
from app.scene.plot import Pen
from app.submission.shown_signals import ShownSignal, shown

SIZE = (331.0, 173.0)
_ROOM = 0.12  # over and under the lines, as a share of their reach
_DASHED = Pen(1.4, (5.0, 2.2))


@dataclass(frozen=True)
class SignalPicture:
    """One picture: its paths inside the bundle, what it shows, how its file is called."""

    svg: str
    png: str
    alt: str
    label: str

    @property
    def file(self) -> str:
        """The name of the file alone."""
        return self.png.rpartition("/")[2]


@dataclass(frozen=True)
class SignalPictures:
    """All of a bundle.

    Attributes
    ----------
    means : one a signal, of the whole piece
    by_stroke : those of a stroke that a note is about, by its index
    """

    shown: tuple[ShownSignal, ...] = ()
    means: tuple[SignalPicture, ...] = ()
    by_stroke: dict[int, tuple[SignalPicture, ...]] = field(default_factory=dict)

    @property
    def page(self) -> dict[str, Any]:
        """What the page's templates ask for."""
        return {"signals": self.means, "stroke_signals": self.by_stroke}


def signal_pictures(
    state: ReviewState,
    sources: Sources,
    strokes: Iterable[Stroke],
    folder: Path,
    words: Words,
    store: ClipStore,
) -> SignalPictures:
    """Draw the signals that are shown into the folder `curves`.

    Parameters
    ----------
    strokes : those that notes are about

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    piece = sources.submission.rowed
    signals = shown(sources.submission)
    if piece is None or not signals:
        return SignalPictures()
    (folder / "curves").mkdir(exist_ok=True)
    painter = _Painter(piece, folder, words, store)
    means = [painter.mean(number, s) for number, s in enumerate(signals, start=1)]
    by_stroke = {
        stroke.index: [painter.stroke(i, s, stroke) for i, s in enumerate(signals, start=1)]
        for stroke in {stroke.index: stroke for stroke in strokes}.values()
    }
    return SignalPictures(
        signals,
        tuple(made for made in means if made is not None),
        {index: tuple(m for m in many if m is not None) for index, many in by_stroke.items()},
    )


class _Painter:
    """Draws for one bundle; the curves over all strokes are made once a signal."""

    def __init__(self, piece: RowedPiece, folder: Path, words: Words, store: ClipStore) -> None:
        self._piece, self._folder, self._words, self._store = piece, folder, words, store
        self._curves: dict[str, CurveSet | None] = {}
        # Of strokes from the picture nobody knows when the force comes.
        seen = any(stroke.source == "body" for stroke in piece.strokes)
        self._turns = ("hands_turn", "finish_turn") if seen else ("catch", "finish")

    def mean(self, number: int, s: ShownSignal) -> SignalPicture | None:
        """Draw mean, spread and typical stroke; None where nothing is known of any drive."""
        curves = self._over_all(s)
        if curves is None:
            return None
        typical = curves.rows[curves.stroke_indices.index(curves.typical)]
        name = f"curves/signal-{number}"
        self._write(name, s, typical, curves, own="legend_typical")
        words = one_line(signal_words(s, self._words))
        return self._picture(
            name,
            self._words["signal_mean_alt"].format(signal=words),
            self._words["files_signal"].format(signal=words),
        )

    def stroke(self, number: int, s: ShownSignal, stroke: Stroke) -> SignalPicture | None:
        """Draw one stroke with the mean; None where nothing is known of its drive."""
        own = self._piece.curve(s.signal, stroke)
        if own is None or not np.isfinite(own).any():
            return None
        name = f"curves/signal-{number}-stroke-{stroke.index + 1:02d}"
        doubt = None if s.signal.doubt is None else self._piece.curve(s.signal.doubt, stroke)
        self._write(name, s, own, self._over_all(s), own="own_curve", doubt=doubt)
        said = {"signal": one_line(signal_words(s, self._words)), "number": stroke.index + 1}
        return self._picture(
            name,
            self._words["signal_alt"].format(**said),
            self._words["files_signal_stroke"].format(**said),
        )

    def _over_all(self, s: ShownSignal) -> CurveSet | None:
        if s.name not in self._curves:
            self._curves[s.name] = self._piece.curves(s.signal)
        return self._curves[s.name]

    def _picture(self, name: str, alt: str, label: str) -> SignalPicture:
        return SignalPicture(f"{name}.svg", f"{name}.png", alt, label)

    def _write(
        self,
        name: str,
        s: ShownSignal,
        line: FloatArray,
        curves: CurveSet | None,
        own: str,
        doubt: FloatArray | None = None,
    ) -> None:
        png, svg = (self._folder / f"{name}.{ending}" for ending in ("png", "svg"))
        drawn = [line] if curves is None else [line, curves.mean, curves.sd]
        drawn += [] if doubt is None else [doubt]
        key = key_of(
            {
                "signal": hashlib.sha256(np.ascontiguousarray(drawn).tobytes()).hexdigest(),
                "named": (s.words, s.signal.digits, own, len(drawn), self._turns),
                "words": of_words(self._words),
                "drawn_by": drawn_by(),
            }
        )
        if self._store.fetch(key, png) and self._store.fetch(key, svg):
            return
        draw_signal(s, line, curves, own, png, svg, self._words, doubt, self._turns)
        self._store.keep(key, png)
        self._store.keep(key, svg)


def draw_signal(
    s: ShownSignal,
    line: FloatArray,
    curves: CurveSet | None,
    own: str,
    png: Path,
    svg: Path,
    words: Words,
    doubt: FloatArray | None = None,
    turns: tuple[str, str] = ("catch", "finish"),
) -> None:
    """Draw one signal over the drive as PNG and SVG; the same curves give the same bytes.

    Parameters
    ----------
    line : (101,) of one stroke, in the signal's unit, NaN where it is not known: left open
    curves : its mean and, where `line` is the typical stroke, the spread about it
    own : the word for the stroke, "own_curve" or "legend_typical"
    doubt : (101,) standard deviation of `line`: shown as a band about it
    turns : the words for the ends of the drive
    """
    of_stroke, lines, band = own == "own_curve", [], None
    if curves is not None:
        low, high = curves.mean - curves.sd, curves.mean + curves.sd
        if not of_stroke and len(curves.stroke_indices) > 1:
            band = Band(PERCENT.astype(float), low, high, words["legend_spread"])
        name = words["legend_mean"]
        lines.append(
            over_drive("mean", curves.mean, name, _DASHED)
            if of_stroke
            else over_drive("lead mean", curves.mean, name)
        )
    if doubt is not None and of_stroke:
        band = Band(PERCENT.astype(float), line - doubt, line + doubt, words["legend_doubt"])
    lines.append(over_drive("own" if of_stroke else "typical", line, words[own]))
    figure = Figure(
        SIZE, LETTER, lines, (0.0, 100.0), _reach(lines, band),
        drive_ticks(*(words[turn] for turn in turns)),
        title=one_line(signal_words(s, words)), band=band, decimal=words["decimal"], most_levels=4,
    )  # fmt: skip
    write_figure(figure, png, svg)


def _reach(lines: Sequence[Curve], band: Band | None) -> tuple[float, float]:
    """Lowest and highest value drawn, with room over and under them."""
    drawn = [curve.values for curve in lines]
    drawn += [] if band is None else [band.low, band.high]
    drawn = [values for values in drawn if np.isfinite(values).any()]
    low, high = (float(f([f(values) for values in drawn])) for f in (np.nanmin, np.nanmax))
    if not high > low:
        low, high = low - 0.5, high + 0.5
    room = _ROOM * (high - low)
    return low - room, high + room
