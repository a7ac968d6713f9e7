"""What is known of a picture so far: its corners, ticks and lines, and what follows from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.reading_pictures.corners import find_corners
from analysis.reading_pictures.drive import ReadDrive, drive_of
from analysis.reading_pictures.flattening import PictureError, Pixels, Points
from analysis.reading_pictures.line import FollowedLine
from analysis.reading_pictures.picking import LaidFlat, PickedLine, lay_flat, pick_line
from analysis.reading_pictures.reading import BAND, HandErrors, read_line
from analysis.reading_pictures.scales import AlongUnit, ForceUnit, Ticks
from app.review.parts.read_curves import ReadCurve, new_read_curve

Place = tuple[float, float]
TICKS: Final = ("along 1", "along 2", "force 1", "force 2")
FOUND_CORNER_PX: Final = 0.5  # how far corners are off that were found; see reading-pictures.md


@dataclass(frozen=True)
class Setting:
    """What the coach said of the picture.

    Attributes
    ----------
    corners : four places, None for a screen shot; `dragged` once a hand moved them
    places, values : of each tick, by its name in `TICKS`
    hand_px : how far a click may be off, pixels of the picture
    """

    corners: tuple[Place, ...] | None = None
    dragged: bool = False
    along: AlongUnit = "s"
    force: ForceUnit = "N"
    places: tuple[tuple[str, Place], ...] = ()
    values: tuple[tuple[str, float], ...] = (
        ("along 1", 0.0), ("along 2", 1.0), ("force 1", 0.0), ("force 2", 500.0)
    )  # fmt: skip
    hand_px: float = 1.0

    def needed(self) -> tuple[str, ...]:
        """The ticks that this choice of units asks for."""
        return (TICKS[:2] if self.along else ()) + (TICKS[2:] if self.force else TICKS[2:3])

    def missing(self) -> tuple[str, ...]:
        """Those of them that have no place yet."""
        placed = dict(self.places)
        return tuple(name for name in self.needed() if name not in placed)

    def with_place(self, name: str, place: Place) -> Setting:
        """The same with one tick at a place."""
        return replace(self, places=tuple({**dict(self.places), name: place}.items()))

    def with_value(self, name: str, value: float) -> Setting:
        """The same with another value of a tick."""
        return replace(self, values=tuple({**dict(self.values), name: value}.items()))

    def ticks(self, names: Sequence[str]) -> Ticks:
        """Place and value of some ticks; the only one of an axis without a scale is its zero."""
        placed, said = dict(self.places), dict(self.values)
        values = tuple(said[n] for n in names) if len(names) == 2 else (0.0,) * len(names)
        return Ticks(tuple(placed[n] for n in names), values)

    @property
    def errors(self) -> HandErrors:
        """How far the hand may be off."""
        if self.corners is None:
            return HandErrors(self.hand_px, 0.0)
        return HandErrors(self.hand_px, 1.5 * self.hand_px if self.dragged else FOUND_CORNER_PX)


@dataclass(frozen=True, eq=False)
class Stroke:
    """One line the coach pointed at.

    Attributes
    ----------
    places : where: a click, or a stroke of the pen, pixels of the picture
    picked, drive : what was found there, as far as it could be
    outline : line, lower and upper edge of its band, each (n, 2) pixels of the picture
    problem : one sentence, "" where there is none
    """

    places: Points
    name: str = ""
    picked: PickedLine | None = None
    drive: ReadDrive | None = None
    outline: tuple[Points, Points, Points] | None = None
    problem: str = ""


def first_corners(pixels: Pixels) -> tuple[Place, ...] | None:
    """The corners found in a picture."""
    found = find_corners(pixels)
    return None if found is None else as_places(found)


def as_places(points: Points) -> tuple[Place, ...]:
    """Points as pairs."""
    return tuple((float(x), float(y)) for x, y in points)


def lay_and_pick(
    pixels: Pixels,
    corners: tuple[Place, ...] | None,
    laid: LaidFlat | None,
    strokes: Sequence[Stroke],
    cancelled: Callable[[], bool],
) -> tuple[LaidFlat, tuple[Stroke, ...]]:
    """Lay the picture flat, unless it is, and pick the lines that are not yet picked.

    Raises
    ------
    PictureError
        The corners enclose nothing.
    """
    anew = laid is None
    laid = laid or lay_flat(pixels, None if corners is None else np.array(corners))
    done = []
    for stroke in strokes:
        known = stroke.picked is not None and not anew
        if known or cancelled():
            done.append(stroke)
            continue
        try:
            done.append(replace(stroke, picked=pick_line(laid, stroke.places), problem=""))
        except PictureError as error:
            done.append(replace(stroke, picked=None, drive=None, outline=None, problem=str(error)))
    return laid, tuple(done)


def measured(laid: LaidFlat, stroke: Stroke, setting: Setting) -> Stroke:
    """Read a picked line by the ticks, as far as they are there."""
    if stroke.picked is None:
        return stroke
    line = stroke.picked.line
    outlined = replace(stroke, drive=None, outline=_outline(laid, line, line.sd), problem="")
    if setting.missing():
        return outlined
    along = setting.ticks(TICKS[:2] if setting.along else ())
    force = setting.ticks(TICKS[2:] if setting.force else TICKS[2:3])
    try:
        read = read_line(line, laid.flat, along, force, setting.errors)
        drive = drive_of(read, setting.along, setting.force)
    except PictureError as error:
        return replace(outlined, problem=str(error))
    known = np.isfinite(read.values)
    steps = np.abs(np.diff(read.values[known]) / np.diff(line.y[known]))
    per_px = float(np.nanmedian(steps[np.isfinite(steps)])) if np.any(np.isfinite(steps)) else 1.0
    edge = _outline(laid, line, read.sd / max(per_px, 1e-12))
    return replace(outlined, drive=drive, outline=edge)


def _outline(laid: LaidFlat, line: FollowedLine, sd: Points) -> tuple[Points, Points, Points]:
    first, low, high = (
        laid.flat.to_picture(np.column_stack([line.x, line.y + side * BAND * sd]))
        for side in (0.0, 1.0, -1.0)
    )
    return first, low, high


def kept_curve(stroke: Stroke, source: str) -> ReadCurve | None:
    """The curve as the review keeps it; None where it was not read."""
    drive = stroke.drive
    if drive is None:
        return None
    points = tuple(
        (int(i), float(drive.values[i]), float(drive.sd[i]))
        for i in np.flatnonzero(np.isfinite(drive.values))
    )
    axis = drive.axis or "unknown"
    return new_read_curve(stroke.name, source, axis, drive.has_scale, drive.extent, points)


def words_of(stroke: Stroke) -> str:
    """What was read, in one line."""
    drive = stroke.drive
    if stroke.problem:
        return stroke.problem
    if drive is None:
        return "picked; place the ticks" if stroke.picked is not None else "…"
    top = int(np.nanargmax(drive.values))
    unit = " N" if drive.has_scale else " of its peak"
    digits = 0 if drive.has_scale else 2
    give = f"{BAND * drive.sd[top]:.{digits}f}{unit}"
    peak = (
        f"{drive.values[top]:.{digits}f} ± {give}" if drive.has_scale else f"shape only, ± {give}"
    )
    axis_unit = "m" if drive.axis == "length" else "s"
    extent = "" if drive.extent is None else f", drive {drive.extent:.2f} {axis_unit}"
    return " ".join((f"peak {peak} at {top} % of the drive{extent}.", *drive.remarks))
