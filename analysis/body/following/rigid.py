"""A rigid feature, clicked once, followed by its picture: the handle, the seat."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from analysis.body.following.frames import Image
from analysis.body.following.opencv import opencv
from analysis.signals.signal import FloatArray

_GOOD, _SURE = 0.72, 0.85  # correlation to go on with, and to look no further
_AGAIN = 0.90  # correlation to find something again by
_ALONE = 0.80  # correlation with anything else in its own frame, above which it is not the only one
_RIVAL = 0.12  # a second place this close in correlation makes the first uncertain
_UNSURE_AFTER = 1  # frames without a match, after which the next must be a good one
_LOST_AFTER = 6  # frames without a match, after which it is looked for everywhere it ever was
_WAY_KNOWN = 60  # frames found, after which it is looked for only about where it has been
_REFINE_ROUNDS = 6
_ALIKE, _UNLIKE = 0.95, 12.0  # below this correlation the uncertainty grows, this steeply
_SMALLEST_SD, _LARGEST_STEP = 0.12, 1.5  # px


@dataclass(frozen=True, eq=False)
class Template:
    """A patch of a frame around a clicked place.

    Attributes
    ----------
    patch : (2r+1, 2r+1) float32, centred on the clicked place
    weight : same shape, falls off towards the rim, where something else may pass behind
    only_one : nothing else in its frame looks much like it, so that it can be found again
    """

    patch: FloatArray
    weight: FloatArray
    only_one: bool = True

    @property
    def radius(self) -> int:
        """Half the side, px."""
        return len(self.patch) // 2

    @cached_property
    def step(self) -> tuple[FloatArray, FloatArray, FloatArray] | None:
        """How the patch changes with a shift and with light (N, 4), that weighted, the inverse.

        None where the patch shows an edge alone: it could slide along it.
        """
        slope_y, slope_x = np.gradient(self.patch.astype(np.float64))
        w = self.weight.astype(np.float64)
        design = np.stack((slope_x, slope_y, np.ones_like(w), self.patch), axis=-1).reshape(-1, 4)
        weighted = design * w.reshape(-1, 1)
        normal = weighted.T @ design
        if np.linalg.cond(normal[:2, :2]) > 1e4:
            return None
        return design, weighted, np.linalg.inv(normal + 1e-6 * np.eye(4))


def cut_template(
    image: Image, x_px: float, y_px: float, radius: int, room_px: float | None = None
) -> Template | None:
    """Cut a template from a grey frame; None where it would reach beyond the frame or is plain.

    Parameters
    ----------
    room_px : how far up and down from here it can ever be; None for anywhere
    """
    cv2 = opencv()
    height, width = image.shape
    inside = radius <= x_px <= width - 1 - radius and radius <= y_px <= height - 1 - radius
    if not inside:
        return None
    side = 2 * radius + 1
    patch = cv2.getRectSubPix(image.astype(np.float32), (side, side), (x_px, y_px))
    if float(patch.std()) < 3.0:
        return None
    at = np.arange(-radius, radius + 1)
    near = np.exp(-0.5 * (at / (0.5 * radius)) ** 2)
    far = height if room_px is None else round(room_px) + radius
    top, bottom = max(round(y_px) - far, 0), min(round(y_px) + far + 1, height)
    strip = image[top:bottom].astype(np.float32)
    alike = cv2.matchTemplate(strip, patch, cv2.TM_CCOEFF_NORMED)
    px, py = round(x_px) - radius, round(y_px) - radius - top
    only_one = _best_other(alike, px, py, radius) < _ALONE
    return Template(patch, np.outer(near, near).astype(np.float32), only_one)


@dataclass(frozen=True)
class Match:
    """Where a template was found: px, standard deviation of each coordinate, correlation."""

    x_px: float
    y_px: float
    sd_px: float
    correlation: float


class RigidFollower:
    """Finds one feature in frame after frame.

    Parameters
    ----------
    templates : at least one; the nearest in likeness is taken, so that each further click helps
    reach_px : how far from where it is expected it may be in the next frame
    home_px : x0, y0, x1, y1 of the region it is looked for in while nothing is known of it; None
        for the whole frame
    """

    def __init__(
        self,
        templates: list[Template],
        reach_px: float,
        home_px: tuple[float, float, float, float] | None = None,
    ) -> None:
        self.templates, self.reach_px, self.home_px = templates, reach_px, home_px
        self.best = 0
        self.place: FloatArray | None = None
        self.speed = np.zeros(2)  # px a second
        self.time_s = -np.inf
        self.missed = 0
        self.usual = 1.0  # correlation of late
        self.been: list[FloatArray] = []

    def put(self, time_s: float, x_px: float, y_px: float, template: int) -> None:
        """Say where it is in a frame, because somebody clicked it there."""
        self.place = np.array((x_px, y_px))
        self.speed = np.zeros(2)
        self.time_s, self.best, self.missed = time_s, template, 0

    def step(self, time_s: float, image: Image) -> Match | None:
        """Find it in the next frame; None where it is hidden or not sure."""
        lost = self.place is None or self.missed > _LOST_AFTER
        if self.place is None or (lost and any(t.only_one for t in self.templates)):
            found = self._again(image)
        else:
            gap_s = time_s - self.time_s
            expected = self.place + self.speed * min(gap_s, 0.15)
            reach = self.reach_px * (1.0 + 0.5 * min(self.missed, _LOST_AFTER))
            found = self._near(image, expected, reach)
        if found is None:
            self.missed += 1
            return None
        self._learn(time_s, found)
        return found

    def _learn(self, time_s: float, found: Match) -> None:
        place = np.array((found.x_px, found.y_px))
        gap_s = time_s - self.time_s
        known = self.place is not None and self.missed <= _LOST_AFTER and 0.0 < gap_s < 0.3
        self.speed = (place - self.place) / gap_s if known else np.zeros(2)
        self.place, self.time_s, self.missed = place, time_s, 0
        self.usual += 0.1 * (found.correlation - self.usual)
        self.been.append(place)

    def _near(self, image: Image, expected: FloatArray, reach: float) -> Match | None:
        box = (*(expected - reach), *(expected + reach))
        order = sorted(range(len(self.templates)), key=lambda k: k != self.best)
        unsure = self.missed > _UNSURE_AFTER
        best: Match | None = None
        for k in order:
            match = _search(image, self.templates[k], box, rivals=unsure)
            if match is not None and (best is None or match.correlation > best.correlation):
                best, self.best = match, k
            if best is not None and best.correlation >= _SURE:
                break
        least = max(min(_SURE, self.usual - 0.05), _GOOD) if unsure else _GOOD
        return best if best is not None and best.correlation >= least else None

    def _again(self, image: Image) -> Match | None:
        """Look for it everywhere it may be; only a match without a rival counts."""
        height, width = image.shape
        box = self.home_px or (0.0, 0.0, width - 1.0, height - 1.0)
        if len(self.been) >= _WAY_KNOWN:
            low, high = np.percentile(self.been, (1.0, 99.0), axis=0)
            room = self.reach_px + 0.1 * float((high - low).max())
            box = (*(low - room), *(high + room))
        for k, template in enumerate(self.templates):
            if not template.only_one:
                continue  # it would be found where it is not
            match = _search(image, template, box, rivals=True)
            if match is not None and match.correlation >= _AGAIN:
                self.best = k
                return match
        return None


def _search(image: Image, template: Template, box: tuple[float, ...], rivals: bool) -> Match | None:
    """Best place of a template with its centre in a box."""
    cv2 = opencv()
    r = template.radius
    height, width = image.shape
    x0, y0 = (max(int(np.floor(v)) - r, 0) for v in box[:2])
    x1, y1 = min(int(np.ceil(box[2])) + r + 1, width), min(int(np.ceil(box[3])) + r + 1, height)
    if x1 - x0 < 2 * r + 3 or y1 - y0 < 2 * r + 3:
        return None
    window = image[y0:y1, x0:x1].astype(np.float32)
    map_ = cv2.matchTemplate(window, template.patch, cv2.TM_CCOEFF_NORMED)
    _, top, _, (px, py) = cv2.minMaxLoc(map_)
    if top < _GOOD or (rivals and _best_other(map_, px, py, r) > top - _RIVAL):
        return None
    if not (0 < px < map_.shape[1] - 1 and 0 < py < map_.shape[0] - 1):
        return None  # on the rim of the window: the top may lie beyond
    start = np.array((x0 + px + r, y0 + py + r), dtype=np.float64)
    return _refine(image, template, start, float(top))


def _best_other(map_: FloatArray, px: int, py: int, radius: int) -> float:
    """Best correlation anywhere but near a place."""
    others = map_.copy()
    near = max(radius // 2, 3)
    others[max(py - near, 0) : py + near + 1, max(px - near, 0) : px + near + 1] = -1.0
    return float(others.max())


def _refine(image: Image, template: Template, start: FloatArray, top: float) -> Match | None:
    """Shift by fractions of a pixel until the patches agree (Lucas-Kanade, brightness free)."""
    cv2 = opencv()
    if template.step is None:
        return None
    side, w = len(template.patch), template.weight.reshape(-1)
    design, weighted, inverse = template.step
    place = start.copy()
    residual = np.zeros(side * side)
    for _ in range(_REFINE_ROUNDS):
        patch = cv2.getRectSubPix(image, (side, side), tuple(place), patchType=cv2.CV_32F)
        wrong = (patch.astype(np.float64) - template.patch).reshape(-1)
        change = inverse @ (weighted.T @ wrong)
        residual = wrong - design @ change
        # The patch lies where the template's content came from, shifted by minus the change.
        place = place - change[:2]
        if np.hypot(*change[:2]) < 0.01:
            break
    if np.hypot(*(place - start)) > _LARGEST_STEP:
        return None
    noise2 = float((w * residual**2).sum() / w.sum())
    # Neighbouring pixels of a compressed picture err together: about nine of them count as one.
    sd = float(np.sqrt(9.0 * noise2 * np.trace(inverse[:2, :2]) / 2.0))
    # A picture that changed says less than its noise makes believe.
    sd = max(sd, _SMALLEST_SD) * (1.0 + _UNLIKE * max(_ALIKE - top, 0.0))
    return Match(float(place[0]), float(place[1]), sd, top)
