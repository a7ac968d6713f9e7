"""The footage: one picture a frame of the athlete on the machine."""

from __future__ import annotations

import numpy as np

from app.media.opencv import opencv
from samples.camera import Camera
from samples.figure import paint_athlete
from samples.flywheel import FloatArray
from samples.paint import Image
from samples.piece import Piece
from samples.rower import Motion
from samples.scene import SeatShadow, Wheel, paint_background, paint_chain, paint_seat

cv2 = opencv()

INDEX_BITS = 16
INDEX_BLOCK_PX = 16


class Footage:
    """Paints the frames of one piece.

    Parameters
    ----------
    camera : where it stands
    motion : the athlete at every frame
    piece : for the flywheel
    shake : (N, 2, 3) from `hand_shake`, or None for a tripod
    seed : of the room's texture
    burn_index : write each frame's number into its top left corner as blocks
    """

    def __init__(
        self,
        camera: Camera,
        motion: Motion,
        piece: Piece,
        shake: FloatArray | None,
        seed: int,
        burn_index: bool = False,
    ) -> None:
        self.camera, self.motion = camera, motion
        self.shake, self.burn_index = shake, burn_index
        self.plain = Camera(camera.width, camera.height)
        self.background = paint_background(self.plain, seed)
        self.wheel = Wheel(self.plain, self.background)
        self.shadow = SeatShadow(self.plain)
        self.turned = wheel_angle(piece, motion.time_s)

    def frame(self, i: int) -> Image:
        """Picture number i: (height, width, 3) uint8, blue green red."""
        image = self.background.copy()
        at = {name: points[i] for name, points in self.motion.points.items()}
        self.shadow.paint(image, float(at["hip"][0]))
        self.wheel.paint(image, float(self.turned[i]))
        paint_seat(image, self.plain, at["seat"])
        paint_chain(image, self.plain, at["handle"])
        paint_athlete(image, self.plain, at)
        if self.shake is not None:
            image = self._shaken(image, self.shake[i])
        if self.camera.facing == "right":
            image = cv2.flip(image, 1)
        if self.burn_index:
            burn(image, i)
        return image

    def _shaken(self, image: Image, shake: FloatArray) -> Image:
        centre = np.array((self.camera.width / 2.0, self.camera.height / 2.0))
        matrix = shake.copy()
        matrix[:, 2] += centre - shake[:, :2] @ centre
        size = (self.camera.width, self.camera.height)
        return cv2.warpAffine(
            image, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT
        )


def wheel_angle(piece: Piece, time_s: FloatArray) -> FloatArray:
    """Angle the flywheel has turned at each time, rad."""
    step = 1.0 / piece.options.grid_hz
    speed = piece.flywheel_rad_s
    angle = np.concatenate(([0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1])) * step))
    return np.interp(time_s, piece.time_s, angle)


def burn(image: Image, index: int) -> None:
    """Write a number into the top left corner: 16 black or white blocks, the highest bit first."""
    for bit in range(INDEX_BITS):
        on = index >> (INDEX_BITS - 1 - bit) & 1
        left = bit * INDEX_BLOCK_PX
        image[0:INDEX_BLOCK_PX, left : left + INDEX_BLOCK_PX] = 235 if on else 20


def read_burned(image: np.ndarray) -> int:
    """The number `burn` wrote into a picture of the same size, colour or grey."""
    grey = image if image.ndim == 2 else image.mean(axis=2)
    index = 0
    for bit in range(INDEX_BITS):
        middle = bit * INDEX_BLOCK_PX + INDEX_BLOCK_PX // 2
        index = index * 2 + int(grey[4 : INDEX_BLOCK_PX - 4, middle - 3 : middle + 4].mean() > 127)
    return index
