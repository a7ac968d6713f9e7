"""The boathouse and the machine: what stands still is painted once, the rest every frame."""

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

RAIL = Tone((118, 116, 112), (224, 222, 218))
FRAME = Tone((40, 38, 36), (104, 100, 96))
PLATE = Tone((34, 34, 36), (78, 78, 80))
OAR = Tone((60, 96, 140), (120, 164, 206))
BLADE = Tone((120, 92, 20), (176, 140, 52))


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
    wall_end, dado = _row(camera, SKIRTING_M), _row(camera, 0.78)
    t = np.linspace(0.0, 1.0, wall_end)[:, None, None]
    image[:wall_end] = np.array((206, 214, 216)) * (1 - t) + np.array((184, 194, 200)) * t
    image[dado:wall_end] *= np.array((0.80, 0.77, 0.70))
    rng = np.random.default_rng([seed, 32])
    _boards(image, camera, dado, wall_end)
    depth = np.linspace(0.0, 1.0, h - wall_end)[:, None, None]
    image[wall_end:] = np.array((92, 104, 116)) * (1 - depth) + np.array((62, 72, 82)) * depth
    image[wall_end:] += _speckle(rng, h - wall_end, w)
    _window_light(image, camera, wall_end)
    skirting = max(2, camera.length(0.05))
    image[wall_end - skirting : wall_end] = (212, 218, 220)
    image[wall_end - skirting : wall_end - skirting + 3] = (232, 236, 238)
    image[wall_end : wall_end + max(2, camera.length(0.012))] *= 0.72
    flat = np.clip(image, 0, 255).astype(np.uint8)
    for height, turned in ((1.335, 1.0), (1.245, -1.0)):
        _oar(flat, camera, height, turned)
    return flat


def _speckle(rng: np.random.Generator, height: int, width: int) -> np.ndarray:
    coarse = rng.normal(0.0, 1.0, (height // 3 + 1, width // 5 + 1)).astype(np.float32)
    return 3.2 * cv2.resize(coarse, (width, height), interpolation=cv2.INTER_LINEAR)[..., None]


def _boards(image: np.ndarray, camera: Camera, top: int, bottom: int) -> None:
    """Upright boards on the lower wall and a cap along them."""
    step = camera.length(0.145)
    for x in range(step // 2, camera.width, step):
        image[top:bottom, x : x + 3] *= 0.86
        image[top:bottom, x + 3 : x + 6] *= 1.05
    cap = camera.length(0.022)
    image[top - cap : top] *= np.array((0.88, 0.86, 0.82))
    image[top : top + camera.length(0.014)] *= 0.86


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


def _oar(image: Image, camera: Camera, height: float, turned: float) -> None:
    a, b = np.array((-1.15 * turned, height)), np.array((1.0 * turned, height))
    for x in (-0.55, 0.55):
        peg = np.array((x, height))
        ribbon(
            image,
            camera,
            straight(peg - 0.0, peg - (0.0, 0.035), 2),
            [0.012] * 2,
            [0.012] * 2,
            FRAME,
        )
    ribbon(image, camera, straight(a, b, 3), [0.013, 0.015, 0.016], [0.013, 0.015, 0.016], OAR)
    tip = np.array((0.36 * turned, 0.0))
    ribbon(
        image, camera, straight(b - tip * 0.2, b + tip, 7),
        [0.018, 0.030, 0.048, 0.058, 0.060, 0.058, 0.050],
        [0.018, 0.026, 0.040, 0.050, 0.052, 0.050, 0.044], BLADE,
    )  # fmt: skip
    grip = straight(a, a + np.array((0.13 * turned, 0.0)), 3)
    ribbon(image, camera, grip, [0.017] * 3, [0.017] * 3, PLATE)


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
    far = np.array((0.03, 0.05))
    for x in (1.22, -0.80):
        foot = np.array((x, FLOOR_M)) + far
        _bar(image, camera, (x, 0.04), tuple(foot), 0.018, FRAME.dimmed(0.7))
    _bar(image, camera, (-1.02, 0.02), (0.06, 0.015), 0.040, FRAME)
    _bar(image, camera, (-0.80, 0.0), (-0.92, FLOOR_M + 0.02), 0.024, FRAME)
    _bar(image, camera, (-1.10, 0.0), (-1.16, FLOOR_M + 0.02), 0.024, FRAME)
    _bar(image, camera, (-1.24, FLOOR_M + 0.014), (-0.84, FLOOR_M + 0.014), 0.017, FRAME)
    _bar(image, camera, (1.22, 0.05), (1.25, FLOOR_M + 0.02), 0.024, FRAME)
    _bar(image, camera, (1.14, FLOOR_M + 0.014), (1.36, FLOOR_M + 0.014), 0.017, FRAME)
    _bar(image, camera, (0.02, 0.062), (1.32, 0.062), 0.034, RAIL)
    _bar(image, camera, (0.02, 0.088), (1.32, 0.088), 0.005, Tone((150, 150, 150), (244, 244, 244)))
    _bar(image, camera, (1.33, 0.035), (1.33, 0.105), 0.016, PLATE)
    plate = np.array((-np.cos(STRETCHER_RAD), np.sin(STRETCHER_RAD)))
    down = np.array((-plate[1], -plate[0])) * 0.022
    ribbon(
        image,
        camera,
        straight(down - plate * 0.05, down + plate * 0.34, 3),
        [0.014] * 3,
        [0.014] * 3,
        PLATE,
    )
    _bar(image, camera, (-0.19, 0.17), (-0.24, 0.02), 0.016, FRAME)
    _housing(image, camera)


def _housing(image: Image, camera: Camera) -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 96)
    circle = np.stack((np.cos(turn), np.sin(turn)), axis=1)
    fill(image, camera, WHEEL_M + circle * (WHEEL_RADIUS_M + 0.035), FRAME.dark)
    fill(image, camera, WHEEL_M + circle * (WHEEL_RADIUS_M + 0.027), (84, 80, 77))
    fill(image, camera, WHEEL_M + circle * (WHEEL_RADIUS_M + 0.012), (46, 44, 42))
    _bar(image, camera, (-0.86, 0.40), (PORT_M[0] - 0.01, PORT_M[1]), 0.030, FRAME)
    _bar(image, camera, (-0.90, 0.30), (-0.80, 0.38), 0.040, FRAME)


class Wheel:
    """The flywheel behind its guard, turned every frame; what hides it never changes."""

    def __init__(self, camera: Camera, background: Image) -> None:
        self.camera = camera
        radius = camera.length(WHEEL_RADIUS_M)
        self.size = 2 * radius + 1
        y, x = np.mgrid[-radius : radius + 1, -radius : radius + 1].astype(np.float32)
        r, angle = np.hypot(x, y) / radius, np.arctan2(y, x)
        self.disc = self._blades(r, angle)
        guard = self._guard(r, angle)
        inside = np.clip((1.0 - r) * radius, 0.0, 1.0)[..., None]
        centre = camera.pixels(WHEEL_M)
        self.left, self.top = round(centre[0]) - radius, round(centre[1]) - radius
        behind = background[self.top : self.top + self.size, self.left : self.left + self.size]
        wire = np.array((128, 124, 120), np.float32)
        still = wire * (1.0 - guard) * inside + behind * (1.0 - inside)
        self.still = still.astype(np.uint8)
        self.shows = np.repeat(np.round(255.0 * guard * inside), 3, axis=2).astype(np.uint8)

    @staticmethod
    def _blades(r: np.ndarray, angle: np.ndarray) -> Image:
        # The shutter smears a blade over some tenth of a turn: soft edges, sharper in front.
        wave = 0.5 + 0.5 * np.cos(BLADES * angle)
        blade = np.clip((wave - 0.45) / 0.5, 0.0, 1.0) ** 0.8
        ring = np.clip((r - 0.24) / 0.05, 0.0, 1.0) * np.clip((0.93 - r) / 0.04, 0.0, 1.0)
        grey = 40.0 + 78.0 * blade * ring + 30.0 * np.exp(-(((r - 0.95) / 0.03) ** 2))
        grey = np.where(r < 0.22, 92.0 + 60.0 * (0.22 - r), grey)
        mark = np.exp(-(((r - 0.80) / 0.05) ** 2) - (angle / 0.16) ** 2)
        image = np.repeat(grey[..., None], 3, axis=2) * np.array((1.0, 0.98, 0.96))
        return np.clip(image + mark[..., None] * np.array((10, 60, 110)), 0, 255).astype(np.uint8)

    @staticmethod
    def _guard(r: np.ndarray, angle: np.ndarray) -> np.ndarray:
        """How much of the wheel shows through the wire guard, 0-1."""
        pixels = r.shape[0] / 2.0
        line = 1.3 / pixels
        shows = np.ones_like(r)
        for ring in (0.28, 0.46, 0.64, 0.82):
            shows = np.minimum(shows, np.clip((np.abs(r - ring) - line) * pixels, 0.0, 1.0))
        gap = np.abs((angle * 24 / (2 * np.pi) + 0.5) % 1.0 - 0.5) * 2 * np.pi / 24 * r
        wires = np.clip((gap - line) * pixels, 0.0, 1.0)
        shows = np.where(r > 0.28, np.minimum(shows, wires), shows)
        return np.where(r < 0.14, 0.0, shows)[..., None].astype(np.float32)

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
    _bar(image, camera, (x - 0.095, 0.122), (x + 0.105, 0.122), 0.012, FRAME)
    top = np.array(
        (
            (x - 0.125, SEAT_TOP_M - 0.012),
            (x - 0.03, SEAT_TOP_M - 0.020),
            (x + 0.06, SEAT_TOP_M - 0.016),
            (x + 0.130, SEAT_TOP_M + 0.004),
        )
    )
    ribbon(image, camera, top, [0.017] * 4, [0.017] * 4, PLATE)


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
