"""How well curves are read from pictures of them: error and coverage by kind of picture.

`python -m tests.benchmarks.reading_pictures [PICTURES_A_KIND]` prints a table.
"""

from __future__ import annotations

import sys
from collections.abc import Callable

import numpy as np

from analysis.reading_pictures.corners import find_corners
from analysis.reading_pictures.flattening import Points, flat_of, whole_picture
from analysis.reading_pictures.ink import colour_at, ground_of, ink_map
from analysis.reading_pictures.line import follow_from
from analysis.reading_pictures.reading import HandErrors, Reading, read_line
from analysis.reading_pictures.scales import Ticks
from tests.helpers.pictured_curves import Pictured, by_matplotlib, by_pillow, photographed

CLICK_PX = 1.0
CORNER_PX = 1.5
FOUND_PX = 0.5
Draw = Callable[[np.random.Generator], Pictured]


def kinds() -> dict[str, Draw]:
    """What is drawn, by its name."""

    def mpl(dark: bool, count: int, width: float) -> Draw:
        return lambda rng: by_matplotlib(rng, dark, count, width)

    def pil(dark: bool, count: int, width: int) -> Draw:
        return lambda rng: by_pillow(rng, dark, count, width)

    drawn = {
        "plotted, light, thin": mpl(False, 1, 1.4),
        "plotted, light, thick": mpl(False, 1, 5.0),
        "plotted, light, three": mpl(False, 3, 2.0),
        "plotted, dark, thin": mpl(True, 1, 1.6),
        "plotted, dark, three": mpl(True, 3, 2.5),
        "drawn, light": pil(False, 1, 3),
        "drawn, light, two": pil(False, 2, 3),
        "drawn, dark, thick": pil(True, 1, 6),
    }

    def taken(draw: Draw) -> Draw:
        return lambda rng: photographed(rng, draw(rng))

    return drawn | {f"{name}, photographed": taken(draw) for name, draw in drawn.items()}


def read_all(seen: Pictured, rng: np.random.Generator) -> tuple[list[Reading], float]:
    """Read every curve of a picture as a coach would; also how far the corners are off."""
    off, corner_px = 0.0, 0.0
    if seen.corners is None:
        corners = whole_picture(seen.pixels.shape[1], seen.pixels.shape[0])
    else:
        found = find_corners(seen.pixels)
        if found is not None:
            off = float(np.sqrt(np.mean((found - seen.corners) ** 2)))
        corner_px = FOUND_PX
        if found is None or off > 8.0:  # then a coach drags them
            found, corner_px = seen.corners + CORNER_PX * rng.standard_normal((4, 2)), CORNER_PX
            off = np.nan
        corners = found
    flat = flat_of(corners)
    pixels = flat.picture(seen.pixels)
    ground = ground_of(pixels)
    errors = HandErrors(CLICK_PX, corner_px)
    along, force = (
        Ticks(tuple(map(tuple, places + CLICK_PX * rng.standard_normal((2, 2)))), values)
        for places, values in (
            (seen.along_places, seen.along_ticks),
            (seen.force_places, seen.force_ticks),
        )
    )
    readings = []
    for i in range(len(seen.lines)):
        spot = flat.to_flat(free_spot(seen, i)[None])
        ink = ink_map(pixels, ground, colour_at(pixels, ground, spot))
        followed = follow_from(ink, (float(spot[0, 0]), float(spot[0, 1])))
        readings.append(read_line(followed, flat, along, force, errors))
    return readings, off


def free_spot(seen: Pictured, which: int) -> Points:
    """A place on a line, away from the others, where a coach would click it."""
    line = seen.lines[which]
    others = [other for i, other in enumerate(seen.lines) if i != which]
    middle = line[30:-30]
    if not others:
        return middle[len(middle) // 2]
    away = [np.min([np.hypot(*(other - p).T).min() for other in others]) for p in middle]
    return middle[int(np.argmax(away))]


def scores(seen: Pictured, readings: list[Reading]) -> tuple[Points, Points, float]:
    """Errors as share of the full scale, whether the band holds the truth, and share read."""
    errors, held, columns = [], [], 0.0
    for curve, reading in zip(seen.curves, readings, strict=True):
        inside = (reading.along >= curve[0, 0]) & (reading.along <= curve[-1, 0])
        ok = inside & np.isfinite(reading.values)
        truth = np.interp(reading.along[ok], *curve.T)
        off = reading.values[ok] - truth
        errors.append(np.abs(off) / seen.full_n)
        low, high = reading.band
        held.append((low[ok] <= truth) & (truth <= high[ok]))
        span = np.ptp(reading.along[ok]) if ok.any() else 0.0
        columns += float(span / np.ptp(curve[:, 0]) * ok.sum() / max(inside.sum(), 1))
    return np.concatenate(errors), np.concatenate(held), columns / len(readings)


def main(pictures: int = 6) -> None:
    """Print the table."""
    print(f"{'kind':44}{'median %':>9}{'95th %':>8}{'band %':>8}{'read %':>8}{'corners px':>11}")
    of_group: dict[str, list[tuple[Points, Points]]] = {}
    for k, (name, draw) in enumerate(kinds().items()):
        errors, held, read, off = [], [], [], []
        for number in range(pictures):
            rng = np.random.default_rng([k, number])
            seen = draw(rng)
            readings, corner = read_all(seen, rng)
            e, h, share = scores(seen, readings)
            errors.append(e)
            held.append(h)
            read.append(share)
            off.append(corner)
        e, h = np.concatenate(errors), np.concatenate(held)
        group = "all photographed" if name.endswith("photographed") else "all screen shots"
        for of in (group, "all"):
            of_group.setdefault(of, []).append((e, h))
        print(
            f"{line_of(name, e, h)}{100 * np.mean(read):8.1f}{np.nanmean(off):11.2f}"
            f"  dragged {np.isnan(off).sum()} of {pictures}",
            flush=True,
        )
    for name, parts in of_group.items():
        e, h = (np.concatenate(part) for part in zip(*parts, strict=True))
        print(line_of(name, e, h))


def line_of(name: str, errors: Points, held: Points) -> str:
    """One line of the table."""
    median, most = np.percentile(errors, (50, 95))
    return f"{name:44}{100 * median:9.2f}{100 * most:8.2f}{100 * held.mean():8.1f}"


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
