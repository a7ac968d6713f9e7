"""The painter of SVG: shapes as elements, with colours of their own or a page's style classes."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterable, Mapping
from html import escape

import numpy as np

from app.scene.lettering import path_data
from app.scene.raster import Image, measure, resized
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

_FONT = "system-ui, -apple-system, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', sans-serif"
_CORNER = 6.0
# Phones show two or three pixels a point; beyond this a picture only grows heavier.
_PIXELS_A_POINT = 2.0
Packed = Callable[[Image], bytes]  # a picture as JPEG


def document(
    drawing: Drawing,
    palette: Palette,
    alt: str = "",
    outlined: bool = False,
    jpeg: Packed | None = None,
) -> str:
    """Write a drawing as an SVG file.

    Parameters
    ----------
    alt : what is seen, for whoever cannot see it
    outlined : letters as outlines, which look alike where no font is the same
    jpeg : packs the frames of a drawing that has some
    """
    width, height = _n(drawing.width), _n(drawing.height)
    title = f"<title>{escape(alt)}</title>" if alt else ""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img" font-family="{_FONT}">{title}'
    )
    ground = f'<rect width="100%" height="100%" fill="{palette["ground"]}"/>'
    pen = _Pen(palette, {}, outlined, jpeg)
    return "\n".join((head, ground, *map(pen.element, drawing.shapes), "</svg>\n"))


def elements(shapes: Iterable[Shape], classes: Mapping[str, str]) -> str:
    """Write shapes as elements for a page, whose style sheet gives inks, widths and letters.

    Parameters
    ----------
    classes : role -> class of the style sheet; a role that is not in it is its own class
    """
    pen = _Pen(None, classes, False, None)
    return "".join(map(pen.element, shapes))


def path(points: Iterable[Point], closed: bool = False) -> str:
    """Path data of a line through points, to a tenth of a unit."""
    places = (f"{_n(x)} {_n(y)}" for x, y in points)
    return "M" + "L".join(places) + ("Z" if closed else "")


class _Pen:
    """Writes one shape after the other."""

    def __init__(
        self, palette: Palette | None, classes: Mapping[str, str], outlined: bool,
        jpeg: Packed | None,
    ) -> None:  # fmt: skip
        self._palette, self._classes = palette, classes
        self._outlined, self._jpeg = outlined, jpeg
        self._pictures = 0

    def element(self, shape: Shape) -> str:
        match shape:
            case Line():
                return self._line(shape)
            case Area():
                data = path(shape.points, closed=True)
                return f'<path{self._fill(shape.ink)} d="{data}"{self._through(shape.opacity)}/>'
            case Rect():
                return self._rect(shape)
            case Circle():
                return self._circle(shape)
            case Text():
                return self._text(shape)
            case Picture():
                return self._picture(shape)
            case Group():
                named = f' class="{shape.name}"' if shape.name else ""
                return f"<g{named}>{''.join(map(self.element, shape.shapes))}</g>"

    def _class(self, role: str) -> str:
        return f' class="{self._classes.get(role, role)}"'

    def _colour(self, role: str) -> str:
        return role if self._palette is None else self._palette.get(role, role)

    def _through(self, opacity: float) -> str:
        """What shines through; a page's style sheet says so itself."""
        return f' opacity="{opacity:.2f}"' if opacity < 1.0 and self._palette is not None else ""

    def _fill(self, role: str) -> str:
        return self._class(role) if self._palette is None else f' fill="{self._colour(role)}"'

    def _line(self, line: Line) -> str:
        data = path(line.points)
        if self._palette is None:
            return f'<path{self._class(line.ink)} d="{data}"/>'
        dash = f' stroke-dasharray="{" ".join(map(_n, line.dash))}"' if line.dash else ""
        cap = "butt" if line.dash else "round"
        return (
            f'<path d="{data}" fill="none" stroke="{self._colour(line.ink)}" '
            f'stroke-width="{_n(line.width)}" stroke-linejoin="round" stroke-linecap="{cap}"'
            f"{dash}{self._through(line.opacity)}/>"
        )

    def _rect(self, rect: Rect) -> str:
        corner = f' rx="{_n(rect.radius)}"' if rect.radius else ""
        edge = ""
        if rect.edge_width and self._palette is not None:
            edge = f' stroke="{self._colour(rect.edge)}" stroke-width="{_n(rect.edge_width)}"'
        return (
            f'<rect{self._fill(rect.ink)} x="{_n(rect.x)}" y="{_n(rect.y)}" '
            f'width="{_n(rect.width)}" height="{_n(rect.height)}"{corner}{edge}'
            f"{self._through(rect.opacity)}/>"
        )

    def _circle(self, circle: Circle) -> str:
        rim = ""
        if circle.rim_width and self._palette is not None:
            rim = f' stroke="{self._colour(circle.rim)}" stroke-width="{_n(circle.rim_width)}"'
        return (
            f'<circle{self._fill(circle.ink)} cx="{_n(circle.x)}" cy="{_n(circle.y)}" '
            f'r="{_n(circle.radius)}"{rim}/>'
        )

    def _text(self, text: Text) -> str:
        if self._palette is not None and self._outlined:
            return self._letters(text)
        place = f'x="{_n(text.x)}" y="{_n(text.y)}" text-anchor="{text.anchor}"'
        if self._palette is None:
            return f"<text{self._class(text.ink)} {place}>{escape(text.text)}</text>"
        weight = ' font-weight="600"' if text.bold else ""
        return (
            f'<text {place} font-size="{_n(text.size)}"{self._fill(text.ink)}{weight}'
            f"{self._halo(text)}>{escape(text.text)}</text>"
        )

    def _letters(self, text: Text) -> str:
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
        left = text.x - share * measure(text.text, text.size, text.bold)
        data = path_data(text.text, text.bold, text.size, left, text.y)
        # A comment names what the outlines spell; two hyphens would end it.
        said = escape(text.text).replace("--", "- -")
        shape = f'<path{self._fill(text.ink)} fill-rule="evenodd"{self._halo(text)} d="{data}"/>'
        return f"<!-- {said} -->{shape}" if data else ""

    def _halo(self, text: Text) -> str:
        if not text.halo_width:
            return ""
        return (
            f' stroke="{self._colour(text.halo)}" stroke-width="{_n(text.halo_width)}" '
            f'stroke-linejoin="round" paint-order="stroke"'
        )

    def _picture(self, shape: Picture) -> str:
        number, self._pictures = self._pictures, self._pictures + 1
        box = (
            f'x="{_n(shape.x)}" y="{_n(shape.y)}" width="{_n(shape.width)}" '
            f'height="{_n(shape.height)}"'
        )
        half = shape.rim / 2.0
        rim = (
            f'<rect x="{_n(shape.x - half)}" y="{_n(shape.y - half)}" '
            f'width="{_n(shape.width + shape.rim)}" height="{_n(shape.height + shape.rim)}" '
            f'rx="{_n(_CORNER + half)}" fill="none" stroke="{self._colour(shape.edge)}" '
            f'stroke-width="{_n(shape.rim)}"/>'
        )
        return (
            f'<clipPath id="f{number}"><rect {box} rx="{_n(_CORNER)}"/></clipPath>'
            f'<image {box} preserveAspectRatio="none" clip-path="url(#f{number})" '
            f'href="data:image/jpeg;base64,{self._packed(shape)}"/>{rim}'
        )

    def _packed(self, shape: Picture) -> str:
        if self._jpeg is None:
            raise ValueError("a drawing with frames needs somebody to pack them")
        share = min(1.0, _PIXELS_A_POINT * shape.width / shape.image.shape[1])
        width, height = (max(2, round(side * share)) for side in shape.image.shape[1::-1])
        small = np.ascontiguousarray(resized(shape.image, width, height))
        return base64.b64encode(self._jpeg(small)).decode()


def _n(value: float) -> str:
    """Give a length to a tenth of a point."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")
