"""The loft and the machine: what stands still is painted once, the rest every frame.

Both are invented: a wheel half sunk in a box of birch plywood, a wooden beam on a trestle.
"""

from __future__ import annotations

import numpy as np

from app.media.opencv import opencv
from samples.camera import SHIFT, Camera
from samples.flywheel import FloatArray
from samples.paint import Image, Tone, fill, ribbon, straight
from samples.rower import SEAT_TOP_M, STRETCHER_RAD

cv2 = opencv()

FLOOR_M = -0.22  # where the machine stands
SKIRTING_M = 0.03  # where the wall meets the floor behind it
WHEEL_M = np.array((-1.02, 0.20))
WHEEL_RADIUS_M = 0.285
PORT_M = np.array((-0.735, 0.395))  # where the chain leaves the housing
BLADES = 5
_FINE = 2  # the background is painted larger and shrunk

BEAM = Tone((70, 104, 146), (120, 164, 206))
BIRCH = Tone((128, 164, 190), (168, 204, 226))
EDGE = (84, 118, 152)
RUNNER = Tone((120, 120, 122), (216, 218, 220))
FRAME = Tone((40, 38, 36), (104, 100, 96))
PAD = Tone((58, 44, 34), (104, 84, 66))
BOX_TOP_M = 0.235
BOX = np.array(((-1.40, FLOOR_M), (-1.34, BOX_TOP_M), (-0.70, BOX_TOP_M), (-0.60, FLOOR_M)))


def paint_background(camera: Camera, seed: int) -> Image:
    """Wall, floor, light, shadows and the still parts of the machine: (height, width, 3) uint8."""
    big = Camera(camera.width * _FINE, camera.height * _FINE)
    image = _room(big, seed)
    _shadows(image, big)
    _machine(image, big)
    small = cv2.resize(image, (camera.width, camera.height), interpolation=cv2.INTER_AREA)
    fixed = np.random.default_rng([seed, 31]).normal(0.0, 1.1, small.shape[:2])
    lit = small.astype(np.float32) * _vignette(camera)[..., None] + fixed[..., None]
    return np.clip(lit, 0, 255).astype(np.uint8)


def _vignette(camera: Camera) -> np.ndarray:
    y, x = np.mgrid[0 : camera.height, 0 : camera.width].astype(np.float32)
    r2 = ((x / camera.width - 0.48) / 0.75) ** 2 + ((y / camera.height - 0.42) / 0.80) ** 2
    return 1.04 - 0.22 * r2


def _row(camera: Camera, height_m: float) -> int:
    return int(camera.pixels(np.array((0.0, height_m)))[1])


def _room(camera: Camera, seed: int) -> Image:
    w, h = camera.width, camera.height
    image = np.empty((h, w, 3), np.float32)
    wall_end = _row(camera, SKIRTING_M)
    t = np.linspace(0.0, 1.0, wall_end)[:, None, None]
    image[:wall_end] = np.array((196, 202, 204)) * (1 - t) + np.array((170, 178, 184)) * t
    rng = np.random.default_rng([seed, 32])
    _bricks(image, camera, wall_end, rng)
    depth = np.linspace(0.0, 1.0, h - wall_end)[:, None, None]
    image[wall_end:] = np.array((74, 98, 122)) * (1 - depth) + np.array((52, 70, 90)) * depth
    image[wall_end:] += _speckle(rng, h - wall_end, w)
    _floorboards(image, camera, wall_end, rng)
    for left in (-0.80, 0.42):
        _window(image, camera, left)
    _window_light(image, camera, wall_end)
    image[wall_end : wall_end + max(2, camera.length(0.012))] *= 0.62
    flat = np.clip(image, 0, 255).astype(np.uint8)
    _beams(flat, camera)
    return flat


def _speckle(rng: np.random.Generator, height: int, width: int) -> np.ndarray:
    coarse = rng.normal(0.0, 1.0, (height // 3 + 1, width // 5 + 1)).astype(np.float32)
    return 3.2 * cv2.resize(coarse, (width, height), interpolation=cv2.INTER_LINEAR)[..., None]


def _bricks(image: np.ndarray, camera: Camera, bottom: int, rng: np.random.Generator) -> None:
    """Whitewashed bricks, each a little lighter or darker than the next."""
    high, wide = max(4, camera.length(0.075)), max(8, camera.length(0.225))
    joint = max(1, camera.length(0.008))
    for course, top in enumerate(range(bottom - high, -high, -high)):
        first = -(wide // 2) * (course % 2)
        rows = slice(max(top, 0), top + high)
        for x in range(first, camera.width, wide):
            image[rows, max(x, 0) : x + wide] *= 1.0 + 0.013 * rng.standard_normal()
            image[rows, max(x, 0) : max(x + joint, 0)] *= 0.93
        image[max(top, 0) : max(top + joint, 0)] *= 0.94


def _floorboards(image: np.ndarray, camera: Camera, top: int, rng: np.random.Generator) -> None:
    """Boards along the wall, wider the nearer they lie."""
    y, wide = float(top), 0.035
    while y < camera.height:
        rows = slice(int(y), int(y + camera.length(wide)))
        image[rows] *= 1.0 + 0.05 * rng.standard_normal()
        image[rows.start : rows.start + max(1, camera.length(0.004))] *= 0.72
        for x in rng.integers(0, camera.width, 2):
            image[rows, x : x + max(1, camera.length(0.004))] *= 0.78
        y, wide = y + camera.length(wide), wide * 1.35


def _window(image: np.ndarray, camera: Camera, left_m: float) -> None:
    """A tall window of six panes, its sill above the athlete's shoulder."""
    pane = np.array(((0.0, 0.0), (0.19, 0.0), (0.19, 0.27), (0.0, 0.27)))
    frame = np.array(((-0.035, -0.035), (0.635, -0.035), (0.635, 0.62), (-0.035, 0.62)))
    corner = np.array((left_m, 1.03))
    cv2.fillPoly(image, [camera.fixed(corner + frame)], (150, 138, 120), cv2.LINE_AA, SHIFT)
    for column in range(3):
        for row in range(2):
            at = corner + pane + np.array((0.205 * column, 0.285 * row))
            sky = (238 - 8 * row, 226 - 10 * row, 206 - 14 * row)
            cv2.fillPoly(image, [camera.fixed(at)], sky, cv2.LINE_AA, SHIFT)


def _beams(image: Image, camera: Camera) -> None:
    """Two posts that carry the loft, far behind the machine."""
    for x in (-1.62, 1.62):
        _bar(image, camera, (x, SKIRTING_M + 0.06), (x, 1.9), 0.055, BEAM.dimmed(0.86))


def _window_light(image: np.ndarray, camera: Camera, wall_end: int) -> None:
    """Two slanted panes of daylight on the wall and a sheen on the floor."""
    mask = np.zeros(image.shape[:2], np.float32)
    for left in (-0.62, 0.02, 0.66):
        pane = np.array(
            ((left, 1.50), (left + 0.52, 1.50), (left + 0.80, 0.52), (left + 0.28, 0.52))
        )
        cv2.fillPoly(mask, [camera.fixed(pane)], 1.0, cv2.LINE_AA, SHIFT)
    mask = _blurred(mask, 0.5 * camera.length(0.05))
    image[:wall_end] *= 1.0 + 0.11 * mask[:wall_end, :, None] * np.array((0.88, 0.98, 1.06))
    rows, cols = image.shape[0] - wall_end, image.shape[1]
    y, x = np.mgrid[0:rows, 0:cols].astype(np.float32)
    sheen = np.exp(-(((x / cols - 0.56) / 0.26) ** 2)) * np.exp(-(((y / rows - 0.12) / 0.4) ** 2))
    image[wall_end:] += 26.0 * sheen[..., None]


def _blurred(mask: np.ndarray, sigma: float) -> np.ndarray:
    """A wide blur, done on a smaller picture because nobody can tell."""
    small = cv2.resize(mask, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), max(sigma / 4.0, 0.5))
    return cv2.resize(small, mask.shape[::-1], interpolation=cv2.INTER_LINEAR)


def _shadows(image: Image, camera: Camera) -> None:
    """Where the machine keeps the light from the floor."""
    shade = np.zeros(image.shape[:2], np.float32)
    for x, y, wide, high, dark in (
        (0.10, FLOOR_M - 0.015, 1.45, 0.055, 0.42),
        (-1.02, FLOOR_M - 0.005, 0.34, 0.040, 0.50),
        (1.22, FLOOR_M - 0.005, 0.20, 0.026, 0.50),
    ):
        centre = camera.pixels(np.array((x, y)))
        patch = np.zeros_like(shade)
        cv2.ellipse(
            patch, (int(centre[0]), int(centre[1])), (camera.length(wide), camera.length(high)),
            0.0, 0.0, 360.0, 1.0, -1,
        )  # fmt: skip
        shade = np.maximum(shade, dark * _blurred(patch, camera.length(0.022)))
    image[:] = (image * (1.0 - shade[..., None])).astype(np.uint8)


def _bar(
    image: Image,
    camera: Camera,
    a: tuple[float, float],
    b: tuple[float, float],
    r: float,
    tone: Tone,
) -> None:
    ribbon(image, camera, straight(np.array(a), np.array(b), 3), [r] * 3, [r] * 3, tone)


def _machine(image: Image, camera: Camera) -> None:
    _box(image, camera)
    for x, lean in ((1.16, 0.10), (1.16, -0.10)):
        _bar(image, camera, (x, 0.03), (x + lean, FLOOR_M + 0.02), 0.022, BEAM.dimmed(0.9))
    _bar(image, camera, (1.08, -0.10), (1.24, -0.10), 0.012, BEAM.dimmed(0.8))
    _bar(image, camera, (-0.62, 0.046), (1.33, 0.046), 0.044, BEAM)
    _bar(image, camera, (0.02, 0.092), (1.30, 0.092), 0.006, RUNNER)
    _bar(image, camera, (1.335, 0.075), (1.335, 0.115), 0.016, PAD)
    _wedge(image, camera)
    _pulley(image, camera)


def _box(image: Image, camera: Camera) -> None:
    """The front of the box the wheel runs in, with its plies at the edge."""
    fill(image, camera, BOX, EDGE)
    middle = BOX.mean(axis=0)
    for layer, share in enumerate(np.linspace(0.975, 0.90, 5)):
        fill(image, camera, middle + (BOX - middle) * share, BIRCH.steps()[min(2 + layer, 6)])
    for x in (-1.27, -0.77):
        centre = camera.fixed(np.array((x, -0.12)))
        radius = camera.length(0.012) << SHIFT
        cv2.circle(image, tuple(centre.tolist()), radius, EDGE, -1, cv2.LINE_AA, SHIFT)


def _wedge(image: Image, camera: Camera) -> None:
    """The stretcher: a solid block under a board."""
    along = np.array((-np.cos(STRETCHER_RAD), np.sin(STRETCHER_RAD)))
    under = np.array((-along[1], -along[0])) * 0.022
    heel, toe = under - along * 0.05, under + along * 0.34
    foot = heel + (toe - heel) * (0.06 - heel[1]) / (toe[1] - heel[1])
    block = np.array((foot, toe, (toe[0] - 0.06, 0.06)))
    fill(image, camera, block, BIRCH.dimmed(0.72).light)
    ribbon(image, camera, straight(heel, toe, 3), [0.013] * 3, [0.013] * 3, BEAM.dimmed(0.8))


def _pulley(image: Image, camera: Camera) -> None:
    """A post on the box with the roller over which the chain comes out."""
    _bar(image, camera, (-0.722, BOX_TOP_M - 0.05), (-0.722, 0.37), 0.018, BEAM)
    centre = PORT_M - np.array((0.006, 0.030))
    turn = np.linspace(0.0, 2.0 * np.pi, 40)
    circle = np.stack((np.cos(turn), np.sin(turn)), axis=1)
    fill(image, camera, centre + circle * 0.036, FRAME.dark)
    fill(image, camera, centre + circle * 0.026, (150, 156, 160))
    fill(image, camera, centre + circle * 0.008, FRAME.dark)


class Wheel:
    """The upper half of the flywheel, turned every frame; the box before it never changes."""

    def __init__(self, camera: Camera, background: Image) -> None:
        self.camera = camera
        radius = camera.length(WHEEL_RADIUS_M)
        self.size = 2 * radius + 1
        y, x = np.mgrid[-radius : radius + 1, -radius : radius + 1].astype(np.float32)
        r, angle = np.hypot(x, y) / radius, np.arctan2(y, x)
        self.disc = self._holes(r, angle)
        centre = camera.pixels(WHEEL_M)
        self.left, self.top = round(centre[0]) - radius, round(centre[1]) - radius
        behind = background[self.top : self.top + self.size, self.left : self.left + self.size]
        box_row = camera.pixels(np.array((0.0, BOX_TOP_M)))[1] - self.top - radius
        seen = np.clip((1.0 - r) * radius, 0.0, 1.0) * np.clip(box_row - y, 0.0, 1.0)
        self.still = (behind * (1.0 - seen[..., None])).astype(np.uint8)
        self.shows = np.repeat(np.round(255.0 * seen[..., None]), 3, axis=2).astype(np.uint8)

    @staticmethod
    def _holes(r: np.ndarray, angle: np.ndarray) -> Image:
        """A disc of cast iron with a hole a blade; the shutter softens what turns."""
        wave = 0.5 + 0.5 * np.cos(BLADES * angle)
        hole = np.clip((wave - 0.50) / 0.35, 0.0, 1.0) * np.exp(-(((r - 0.58) / 0.20) ** 4))
        grey = 128.0 - 66.0 * hole + 34.0 * np.exp(-(((r - 0.94) / 0.035) ** 2))
        grey = np.where(r < 0.16, 96.0 + 90.0 * (0.16 - r), grey)
        mark = np.exp(-(((r - 0.84) / 0.05) ** 2) - (angle / 0.16) ** 2)
        image = np.repeat(grey[..., None], 3, axis=2) * np.array((0.92, 0.84, 0.70))
        return np.clip(image + mark[..., None] * np.array((90, 110, 120)), 0, 255).astype(np.uint8)

    def paint(self, image: Image, turned_rad: float) -> None:
        """Paint the wheel at an angle."""
        middle = (self.size - 1) / 2.0
        spin = cv2.getRotationMatrix2D((middle, middle), float(np.degrees(turned_rad)) % 360.0, 1.0)
        disc = cv2.warpAffine(self.disc, spin, (self.size, self.size), flags=cv2.INTER_LINEAR)
        shown = cv2.multiply(disc, self.shows, scale=1.0 / 255.0)
        image[self.top : self.top + self.size, self.left : self.left + self.size] = cv2.add(
            shown, self.still
        )


def paint_chain(image: Image, camera: Camera, grip_m: FloatArray) -> None:
    """The chain from the housing to the handle; its links travel with the handle."""
    ends = camera.fixed(np.stack((PORT_M, grip_m)))
    thick = camera.length(0.007)
    cv2.line(
        image,
        tuple(ends[0].tolist()),
        tuple(ends[1].tolist()),
        (52, 52, 54),
        thick,
        cv2.LINE_AA,
        SHIFT,
    )
    length = float(np.hypot(*(grip_m - PORT_M)))
    back = (PORT_M - grip_m) / max(length, 1e-6)
    starts = np.arange(0.05, length, 0.028)
    links = np.stack(
        (grip_m + starts[:, None] * back, grip_m + (starts + 0.012)[:, None] * back), axis=1
    )
    cv2.polylines(
        image,
        list(camera.fixed(links)),
        False,
        (150, 150, 152),
        max(1, thick // 2),
        cv2.LINE_AA,
        SHIFT,
    )


def paint_seat(image: Image, camera: Camera, seat_m: FloatArray) -> None:
    """The seat on its rollers."""
    x = float(seat_m[0])
    for roller in (x - 0.075, x + 0.085):
        centre = camera.fixed(np.array((roller, 0.108)))
        cv2.circle(
            image,
            tuple(centre.tolist()),
            camera.length(0.018) << SHIFT,
            (40, 40, 42),
            -1,
            cv2.LINE_AA,
            SHIFT,
        )
    _bar(image, camera, (x - 0.095, 0.122), (x + 0.105, 0.122), 0.012, BEAM.dimmed(0.8))
    top = np.array(
        (
            (x - 0.125, SEAT_TOP_M - 0.012),
            (x - 0.03, SEAT_TOP_M - 0.020),
            (x + 0.06, SEAT_TOP_M - 0.016),
            (x + 0.130, SEAT_TOP_M + 0.004),
        )
    )
    ribbon(image, camera, top, [0.017] * 4, [0.017] * 4, PAD)


class SeatShadow:
    """The soft shadow that travels under the athlete."""

    def __init__(self, camera: Camera) -> None:
        self.camera = camera
        wide, high = camera.length(0.36), camera.length(0.06)
        y, x = np.mgrid[-high : high + 1, -wide : wide + 1].astype(np.float32)
        fall = np.exp(-2.6 * ((x / wide) ** 2 + (y / high) ** 2))
        edge = np.clip(1.0 - ((x / wide) ** 4 + (y / high) ** 4), 0.0, 1.0)
        keep = np.round(255.0 * (1.0 - 0.34 * fall * edge)).astype(np.uint8)
        self.keep = np.repeat(keep[..., None], 3, axis=2)
        self.wide, self.high = wide, high

    def paint(self, image: Image, hip_x_m: float) -> None:
        """Darken the floor under the hip."""
        centre = self.camera.pixels(np.array((hip_x_m, FLOOR_M - 0.02)))
        x, y = round(centre[0]), round(centre[1])
        left, right = max(x - self.wide, 0), min(x + self.wide + 1, image.shape[1])
        top, bottom = max(y - self.high, 0), min(y + self.high + 1, image.shape[0])
        if left >= right or top >= bottom:
            return
        part = image[top:bottom, left:right]
        dx, dy = left - (x - self.wide), top - (y - self.high)
        keep = self.keep[dy : dy + part.shape[0], dx : dx + part.shape[1]]
        part[:] = cv2.multiply(part, keep, scale=1.0 / 255.0)
