"""A stroke strip as PNG and as SVG: the same shapes, dark for the bench and light for paper."""

from __future__ import annotations

from functools import partial

from app.bundle.pictures.jpeg import jpeg
from app.bundle.pictures.strip_axis import drawing_of
from app.bundle.pictures.strip_data import Image, StrokeStrip
from app.scene import raster, svg
from app.scene.colours import DARK, LIGHT

_JPEG_QUALITY = 84


def paint_strip(strip: StrokeStrip, width_px: int, dark: bool = False, scale: float = 1.0) -> bytes:
    """Paint a strip as PNG.

    Parameters
    ----------
    width_px : width of the picture; the height follows
    dark : the bench's colours in place of the page's
    scale : pixels a point, so that letters keep their size on fine screens

    Returns
    -------
    A PNG file that holds the picture and nothing else.
    """
    return raster.png(strip_pixels(strip, width_px, dark, scale))


def strip_pixels(
    strip: StrokeStrip, width_px: int, dark: bool = False, scale: float = 1.0
) -> Image:
    """Paint a strip as an (h, width_px, 3) RGB picture; see `paint_strip`."""
    drawing = drawing_of(strip, width_px / scale)
    return raster.picture(drawing, DARK if dark else LIGHT, width_px, scale)


def strip_svg(strip: StrokeStrip, width: int = 1000, dark: bool = False, alt: str = "") -> str:
    """Write a strip as SVG with its frames inside as JPEG.

    Parameters
    ----------
    width : in points; the height follows
    alt : what is seen, for whoever cannot see it
    """
    packed = partial(jpeg, quality=_JPEG_QUALITY)
    return svg.document(drawing_of(strip, float(width)), DARK if dark else LIGHT, alt, jpeg=packed)
