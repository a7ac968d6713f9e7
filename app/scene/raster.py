"""The painter of pixels: shapes into stills, clips and pictures of their own, with no display."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv
from app.scene.lettering import outlines, width_of
from app.scene.shapes import (
    Area,
    Circle,
    Drawing,
    Group,
    Line,
    Palette,
    Picture,
    Point,
    Rect,
    Shape,
    Text,
)

Image = NDArray[np.uint8]
_SHIFT = 4  # OpenCV's fixed point: sixteenths of a pixel
_CORNER = 6.0  # of a picture, points


def measure(text: str, size: float, bold: bool) -> float:
    """How wide this painter makes words."""
    return size * width_of(text, bold)


def paint(
    image: Image, shapes: Iterable[Shape], palette: Palette, scale: float = 1.0, red: int = 0
) -> None:
    """Paint shapes into a picture.

    Parameters
    ----------
    image : (h, w, 3 or 4), changed in place
    scale : pixels a point
    red : which channel is red
    """
    brush = _Brush(image, palette, scale, red, opencv().LINE_AA)
    for shape in shapes:
        brush.paint(shape)


def picture(drawing: Drawing, palette: Palette, width_px: int, scale: float = 1.0) -> Image:
    """Paint a drawing on its ground as (h, width_px, 3) RGB, `scale` pixels a point."""
    cv2 = opencv()
    # Painted larger and shrunk, lines and letters stay as slim as they are meant.
    finer = 4 if scale < 1.5 else 3
    height_px = round(drawing.height * scale)
    large = np.empty((height_px * finer, width_px * finer, 3), np.uint8)
    large[:1] = _rgb(palette["ground"])
    large[1:] = large[:1]  # row by row, which is ten times as fast as pixel by pixel
    brush = _Brush(large, palette, scale * finer, 0, cv2.LINE_8)
    frames = [shape for shape in drawing.shapes if isinstance(shape, Picture)]
    for shape in drawing.shapes:
        if not isinstance(shape, Picture):
            brush.paint(shape)
    image: Image = cv2.resize(large, (width_px, height_px), interpolation=cv2.INTER_AREA)
    # Frames come last and at their own size, so that they are scaled but once.
    paint(image, frames, palette, scale)
    return image


def png(image: Image) -> bytes:
    """An RGB picture as a PNG file that holds the picture and nothing else.

    Raises
    ------
    OSError
        It could not be packed.
    """
    done, data = opencv().imencode(".png", np.ascontiguousarray(image[..., ::-1]))
    if not done:
        raise OSError("the picture could not be packed")
    return bytes(data)


def fixed_points(points: Sequence[Point] | NDArray[np.float64]) -> NDArray[np.int32]:
    """Points as OpenCV takes them: whole numbers lie in the middle of a pixel."""
    far = 2**30 / 2**_SHIFT  # what lies farther out than that is out of every picture
    places = np.clip(np.asarray(points, float) - 0.5, -far, far)
    return np.round(places * 2**_SHIFT).astype(np.int32)


def dashes(points: Sequence[Point], pattern: Sequence[float]) -> list[list[Point]]:
    """Cut a line into dashes.

    Parameters
    ----------
    pattern : lengths, on and off by turns
    """
    places = np.asarray(points, float)
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))))
    runs: list[list[Point]] = []
    start, part = 0.0, 0
    while start < along[-1]:
        end = min(start + pattern[part % len(pattern)], float(along[-1]))
        if part % 2 == 0:
            between = along[(along > start) & (along < end)]
            at = np.concatenate(([start], between, [end]))
            x, y = (np.interp(at, along, places[:, i]).tolist() for i in (0, 1))
            runs.append(list(zip(x, y, strict=True)))
        start, part = end, part + 1
    return runs


class _Brush:
    """Paints one shape after the other into one picture."""

    def __init__(self, image: Image, palette: Palette, scale: float, red: int, edges: int) -> None:
        self._image, self._palette, self._scale, self._red = image, palette, scale, red
        self._edges = edges  # how OpenCV draws them

    def paint(self, shape: Shape) -> None:
        match shape:
            case Line():
                self._line(shape)
            case Area():
                self._area(shape)
            case Rect():
                self._rect(shape)
            case Circle():
                self._circle(shape)
            case Text():
                self._text(shape)
            case Picture():
                self._picture(shape)
            case Group():
                for part in shape.shapes:
                    self.paint(part)

    def _ink(self, role: str) -> tuple[int, ...]:
        rgb = _rgb(self._palette.get(role, role))
        return (*(rgb if self._red == 0 else rgb[::-1]), 255)

    def _at(self, points: Sequence[Point]) -> NDArray[np.int32]:
        return fixed_points(np.asarray(points, float).reshape(-1, 2) * self._scale)

    def _stroke(
        self, points: Sequence[Point], ink: str, width: float, closed: bool = False
    ) -> None:
        thick = max(1, round(width * self._scale))
        cv2 = opencv()
        places = [self._at(points)]
        cv2.polylines(self._image, places, closed, self._ink(ink), thick, self._edges, _SHIFT)

    def _line(self, line: Line) -> None:
        if len(line.points) < 2:
            return
        if line.opacity < 1.0:
            self._through(line.points, line.width, line.opacity, replace(line, opacity=1.0))
            return
        if not line.dash:
            self._stroke(line.points, line.ink, line.width)
            return
        # The ends are round here: dashes are cut shorter by what those add.
        less = min(line.width, 0.8 * min(line.dash[::2]))
        pattern = [d - less if i % 2 == 0 else d + less for i, d in enumerate(line.dash)]
        for run in dashes(line.points, pattern):
            self._stroke(run, line.ink, line.width)

    def _area(self, area: Area) -> None:
        if area.opacity < 1.0:
            self._through(area.points, 1.0, area.opacity, replace(area, opacity=1.0))
            return
        self._fill([self._at(area.points)], area.ink)

    def _rect(self, rect: Rect) -> None:
        box = ((rect.x, rect.y), (rect.right, rect.y), (rect.right, rect.bottom),
               (rect.x, rect.bottom))  # fmt: skip
        if rect.opacity < 1.0:
            first, last = round(rect.x * self._scale), round(rect.right * self._scale)
            top, bottom = round(rect.y * self._scale), round(rect.bottom * self._scale)
            area = self._image[max(top, 0) : max(bottom, 0), max(first, 0) : max(last, 1)]
            ink = np.array(self._ink(rect.ink)[: area.shape[2]], np.float32)
            area[:] = np.rint(area + rect.opacity * (ink - area)).astype(np.uint8)
        else:
            self._fill([self._at(box)], rect.ink)
        if rect.edge_width > 0.0:
            self._stroke((*box, box[0]), rect.edge, rect.edge_width)

    def _circle(self, circle: Circle) -> None:
        cv2 = opencv()
        centre = [int(v) for v in self._at([(circle.x, circle.y)])[0]]
        radius = round(circle.radius * self._scale * 2**_SHIFT)
        ink = self._ink(circle.ink)
        cv2.circle(self._image, centre, radius, ink, -1, self._edges, _SHIFT)
        if circle.rim_width > 0.0:
            thick = max(1, round(circle.rim_width * self._scale))
            rim = self._ink(circle.rim)
            cv2.circle(self._image, centre, radius, rim, thick, self._edges, _SHIFT)

    def _text(self, text: Text) -> None:
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
        left = text.x - share * measure(text.text, text.size, text.bold) if share else text.x
        letters = [
            self._at([(left + x * text.size, text.y - y * text.size) for x, y in outline])
            for outline in outlines(text.text, text.bold)
        ]
        if not letters:
            return
        if text.halo_width > 0.0:
            thick, cv2 = max(1, round(text.halo_width * self._scale)), opencv()
            halo = self._ink(text.halo)
            cv2.polylines(self._image, letters, True, halo, thick, self._edges, _SHIFT)
        self._fill(letters, text.ink)  # all at once: by the even-odd rule holes stay open

    def _fill(self, outline: list[NDArray[np.int32]], ink: str) -> None:
        opencv().fillPoly(self._image, outline, self._ink(ink), self._edges, _SHIFT)

    def _through(self, points: Sequence[Point], wide: float, opacity: float, shape: Shape) -> None:
        """Paint a shape so that what lies under it shines through."""
        places = np.asarray(points, float) * self._scale
        room = math.ceil(wide * self._scale) + 1
        height, width = self._image.shape[:2]
        left, top = np.maximum(np.floor(places.min(axis=0)).astype(int) - room, 0)
        right, bottom = np.ceil(places.max(axis=0)).astype(int) + room
        rows, columns = slice(top, min(bottom, height)), slice(left, min(right, width))
        before = self._image[rows, columns].copy()
        if before.size:
            self.paint(shape)
            after = self._image[rows, columns]
            mixed = opencv().addWeighted(after, opacity, before, 1.0 - opacity, 0.0)
            self._image[rows, columns] = mixed.reshape(before.shape)

    def _picture(self, shape: Picture) -> None:
        scale, rim = self._scale, shape.rim
        self._round(shape.x - rim, shape.y - rim, shape.width + 2 * rim, shape.height + 2 * rim,
                    _CORNER + rim, self._ink(shape.edge)[:3])  # fmt: skip
        width, height = round(shape.width * scale), round(shape.height * scale)
        if width >= 2 and height >= 2:
            self._round(
                shape.x, shape.y, shape.width, shape.height, _CORNER,
                resized(shape.image, width, height),
            )  # fmt: skip

    def _round(
        self, x: float, y: float, wide: float, high: float, corner: float,
        laid: Image | tuple[int, ...],
    ) -> None:  # fmt: skip
        """Lay a picture or one colour on a rectangle with rounded corners."""
        scale = self._scale
        left, top = round(x * scale), round(y * scale)
        width = min(round(wide * scale), self._image.shape[1] - left)
        height = min(round(high * scale), self._image.shape[0] - top)
        if left < 0 or top < 0 or width < 2 or height < 2:
            return
        over = np.asarray(laid, np.float32)
        over = over[:height, :width] if over.ndim == 3 else over
        share = _rounded(width, height, corner * scale)[..., None]
        under = self._image[top : top + height, left : left + width, :3]
        under[:] = np.round(share * over + (1.0 - share) * under).astype(np.uint8)


def resized(image: Image, width: int, height: int) -> Image:
    """A picture of another size, without shimmer."""
    cv2 = opencv()
    how = cv2.INTER_AREA if width < image.shape[1] else cv2.INTER_CUBIC
    made: Image = cv2.resize(image, (width, height), interpolation=how)
    return made


def _rounded(width: int, height: int, radius: float) -> NDArray[np.float32]:
    """Opacity of a rectangle with rounded corners, soft over one pixel: (h, w), 0-1."""
    radius = min(radius, width / 2, height / 2)
    across = np.abs(np.arange(width) + 0.5 - width / 2) - (width / 2 - radius)
    down = np.abs(np.arange(height) + 0.5 - height / 2) - (height / 2 - radius)
    far = np.hypot(np.maximum(across, 0.0)[None, :], np.maximum(down, 0.0)[:, None])
    return np.clip(radius - far + 0.5, 0.0, 1.0).astype(np.float32)


def _rgb(colour: str) -> tuple[int, int, int]:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue
