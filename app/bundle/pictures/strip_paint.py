"""A stroke strip as PNG and as SVG: the same shapes, dark for the bench and light for paper."""

from __future__ import annotations

import base64
import warnings
from html import escape
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.bundle.pictures.jpeg import jpeg
from app.bundle.pictures.strip_data import Image, StrokeStrip
from app.bundle.pictures.strip_layout import Area, Dot, Layout, Line, Picture, Role, Text, lay_out
from app.media.opencv import opencv
from app.review.parts.marks import CASING, MARK_COLOURS
from app.scene import colours
from app.scene.signs import drawable, families_for

_MARKS: dict[Role, str] = {
    "yellow": MARK_COLOURS["yellow"],
    "blue": MARK_COLOURS["blue"],
    "red": MARK_COLOURS["red"],
}
# Okabe-Ito: vermilion and orange for what is pointed at, blues for the athlete, green for the aim.
LIGHT: dict[Role, str] = {
    "ground": colours.PAPER,
    "ink": colours.INK,
    "quiet": colours.QUIET_INK,
    "rule": colours.RULE,
    "hair": "#9AA5AD",
    "own": colours.BLACK,
    "mean": colours.BLUE,
    "target": colours.BLACK,
    "accent": "#D55E00",
    "shade": "#FBE3CC",
    "fill": colours.MIST,
    "casing": CASING,
    **_MARKS,
    "yellow shade": "#FBF7B8",
    "blue shade": "#D3EBFA",
    "red shade": "#F9D9C4",
}
DARK: dict[Role, str] = {
    "ground": "#14181A",
    "ink": "#EEF3F4",
    "quiet": "#A9B7BD",
    "rule": "#2A3236",
    "hair": "#5B6A72",
    "own": "#56B4E9",
    "mean": "#EEF3F4",
    "target": "#3FD0A5",
    "accent": "#E69F00",
    "shade": "#3D301A",
    "fill": "#1B2A33",
    "casing": CASING,
    **_MARKS,
    "yellow shade": "#45431F",
    "blue shade": "#20394A",
    "red shade": "#452A1A",
}
ROUND = 6.0
_SVG_FONT = "system-ui, -apple-system, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', sans-serif"
_JPEG_QUALITY = 84
# Phones show two or three pixels a point; beyond this a strip only grows heavier.
_PIXELS_A_POINT = 2.0


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
    pixels = strip_pixels(strip, width_px, dark, scale)
    done, data = opencv().imencode(".png", np.ascontiguousarray(pixels[..., ::-1]))
    if not done:
        raise OSError("the picture could not be packed")
    return bytes(data)


def strip_pixels(
    strip: StrokeStrip, width_px: int, dark: bool = False, scale: float = 1.0
) -> NDArray[np.uint8]:
    """Paint a strip as an (h, width_px, 3) RGB picture; see `paint_strip`."""
    layout = lay_out(strip, width_px / scale)
    look = DARK if dark else LIGHT
    pixels = _canvas(layout, look, scale, width_px)
    for shape in layout.shapes:
        if isinstance(shape, Picture):
            _paste(pixels, shape, scale)
    return pixels


def _canvas(
    layout: Layout, look: dict[Role, str], scale: float, width_px: int
) -> NDArray[np.uint8]:
    """Draw all but the frames themselves: (h, w, 3) RGB."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    # One unit of the axes is one point of the layout.
    height_px = round(layout.height * scale)
    figure = Figure(
        figsize=(width_px / 100.0, height_px / 100.0), dpi=100, facecolor=look["ground"]
    )
    canvas = FigureCanvasAgg(figure)
    plot: Any = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    plot.set_xlim(0.0, width_px / scale)
    plot.set_ylim(height_px / scale, 0.0)
    plot.axis("off")
    for shape in layout.shapes:
        _draw(plot, shape, look, 0.72 * scale)
    with warnings.catch_warnings():
        # A letter the font lacks is drawn as a box; that is no reason to stop.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        canvas.draw()
    return np.array(np.asarray(canvas.buffer_rgba())[..., :3])


def _draw(plot: Any, shape: Any, look: dict[Role, str], pt: float) -> None:
    from matplotlib.patches import Circle, FancyBboxPatch
    from matplotlib.patheffects import withStroke

    if isinstance(shape, Line):
        xs, ys = zip(*shape.points, strict=True)
        dash = (0, tuple(d / shape.width for d in shape.dash)) if shape.dash else "solid"
        plot.plot(
            xs, ys, color=look[shape.role], linewidth=shape.width * pt, linestyle=dash,
            solid_capstyle="round", solid_joinstyle="round",
        )  # fmt: skip
    elif isinstance(shape, Area):
        plot.fill(*zip(*shape.points, strict=True), color=look[shape.role], linewidth=0)
    elif isinstance(shape, Dot):
        plot.add_patch(
            Circle(
                (shape.x, shape.y), shape.radius, facecolor=look[shape.role],
                edgecolor=look["ground"], linewidth=1.2 * pt, zorder=4,
            )
        )  # fmt: skip
    elif isinstance(shape, Text):
        text = drawable(shape.text)
        plot.text(
            shape.x, shape.y, text.replace("$", r"\$"), fontsize=shape.size * pt,
            color=look[shape.role], family=list(families_for(text)),
            weight="bold" if shape.bold else "normal",
            ha={"start": "left", "middle": "center", "end": "right"}[shape.anchor], va="baseline",
            path_effects=[withStroke(linewidth=4.0 * pt, foreground=look["ground"])], zorder=5,
        )  # fmt: skip
    elif isinstance(shape, Picture):
        rim = shape.rim
        plot.add_patch(
            FancyBboxPatch(
                (shape.x - rim, shape.y - rim), shape.width + 2 * rim, shape.height + 2 * rim,
                boxstyle=f"round,pad=0,rounding_size={ROUND + rim}", facecolor=look[shape.edge],
                linewidth=0, zorder=6,
            )
        )  # fmt: skip


def _paste(pixels: NDArray[np.uint8], shape: Picture, scale: float) -> None:
    """Lay a frame over its rim, corners rounded."""
    x, y = round(shape.x * scale), round(shape.y * scale)
    width = min(round(shape.width * scale), pixels.shape[1] - x)
    height = min(round(shape.height * scale), pixels.shape[0] - y)
    if x < 0 or y < 0 or width < 2 or height < 2:
        return
    image = _resized(shape.image, width, height).astype(np.float32)
    share = _rounded(width, height, ROUND * scale)[..., None]
    under = pixels[y : y + height, x : x + width]
    under[:] = np.round(share * image + (1.0 - share) * under).astype(np.uint8)


def _resized(image: Image, width: int, height: int) -> Image:
    cv2 = opencv()
    smaller = width < image.shape[1]
    how = cv2.INTER_AREA if smaller else cv2.INTER_CUBIC
    made: Image = cv2.resize(image, (width, height), interpolation=how)
    return made


def _rounded(width: int, height: int, radius: float) -> NDArray[np.float32]:
    """Opacity of a rectangle with rounded corners, soft over one pixel: (h, w), 0-1."""
    radius = min(radius, width / 2, height / 2)
    across = np.abs(np.arange(width) + 0.5 - width / 2) - (width / 2 - radius)
    down = np.abs(np.arange(height) + 0.5 - height / 2) - (height / 2 - radius)
    far = np.hypot(np.maximum(across, 0.0)[None, :], np.maximum(down, 0.0)[:, None])
    return np.clip(radius - far + 0.5, 0.0, 1.0).astype(np.float32)


def strip_svg(strip: StrokeStrip, width: int = 1000, dark: bool = False, alt: str = "") -> str:
    """Write a strip as SVG with its frames inside as JPEG.

    Parameters
    ----------
    width : in points; the height follows
    alt : what is seen, for whoever cannot see it
    """
    layout = lay_out(strip, float(width))
    look = DARK if dark else LIGHT
    title = f"<title>{escape(alt)}</title>" if alt else ""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(layout.width)} '
        f'{_n(layout.height)}" width="{_n(layout.width)}" height="{_n(layout.height)}" '
        f'role="img" font-family="{_SVG_FONT}">{title}'
    )
    ground = f'<rect width="100%" height="100%" fill="{look["ground"]}"/>'
    body = [_element(shape, number, look) for number, shape in enumerate(layout.shapes)]
    return "\n".join((head, ground, *body, "</svg>\n"))


def _element(shape: Any, number: int, look: dict[Role, str]) -> str:
    if isinstance(shape, Line):
        dash = f' stroke-dasharray="{" ".join(map(_n, shape.dash))}"' if shape.dash else ""
        cap = "butt" if shape.dash else "round"
        return (
            f'<path d="{_path(shape.points)}" fill="none" stroke="{look[shape.role]}" '
            f'stroke-width="{_n(shape.width)}" stroke-linejoin="round" stroke-linecap="{cap}"'
            f"{dash}/>"
        )
    if isinstance(shape, Area):
        return f'<path d="{_path(shape.points)}Z" fill="{look[shape.role]}"/>'
    if isinstance(shape, Dot):
        return (
            f'<circle cx="{_n(shape.x)}" cy="{_n(shape.y)}" r="{_n(shape.radius)}" '
            f'fill="{look[shape.role]}" stroke="{look["ground"]}" stroke-width="1.2"/>'
        )
    if isinstance(shape, Text):
        weight = ' font-weight="600"' if shape.bold else ""
        return (
            f'<text x="{_n(shape.x)}" y="{_n(shape.y)}" font-size="{_n(shape.size)}" '
            f'text-anchor="{shape.anchor}" fill="{look[shape.role]}"{weight} '
            f'stroke="{look["ground"]}" stroke-width="4" stroke-linejoin="round" '
            f'paint-order="stroke">{escape(shape.text)}</text>'
        )
    return _picture_element(shape, number, look)


def _picture_element(shape: Picture, number: int, look: dict[Role, str]) -> str:
    box = (
        f'x="{_n(shape.x)}" y="{_n(shape.y)}" width="{_n(shape.width)}" height="{_n(shape.height)}"'
    )
    half = shape.rim / 2.0
    rim = (
        f'<rect x="{_n(shape.x - half)}" y="{_n(shape.y - half)}" '
        f'width="{_n(shape.width + shape.rim)}" height="{_n(shape.height + shape.rim)}" '
        f'rx="{_n(ROUND + half)}" fill="none" stroke="{look[shape.edge]}" '
        f'stroke-width="{_n(shape.rim)}"/>'
    )
    return (
        f'<clipPath id="f{number}"><rect {box} rx="{_n(ROUND)}"/></clipPath>'
        f'<image {box} preserveAspectRatio="none" clip-path="url(#f{number})" '
        f'href="data:image/jpeg;base64,{_jpeg(shape)}"/>{rim}'
    )


def _jpeg(shape: Picture) -> str:
    share = min(1.0, _PIXELS_A_POINT * shape.width / shape.image.shape[1])
    width, height = (max(2, round(side * share)) for side in shape.image.shape[1::-1])
    image = _resized(shape.image, width, height)
    return base64.b64encode(jpeg(image, _JPEG_QUALITY)).decode()


def _path(points: tuple[tuple[float, float], ...]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)


def _n(value: float) -> str:
    """Give a length to a tenth of a point."""
    return f"{value + 0.0:.1f}".removesuffix(".0")
