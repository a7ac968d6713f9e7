"""A picture file, of a telephone or a screen, as upright pixels; whatever is in it."""

from __future__ import annotations

import struct
import warnings
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from app.media.errors import MediaError

if TYPE_CHECKING:
    from PIL import Image

PHOTO_ENDINGS: Final = frozenset({".jpg", ".jpeg", ".png", ".webp"})
# Pictures of other kinds, told apart so that they are refused by their name.
OTHER_PICTURES: Final = frozenset({".heic", ".heif", ".avif", ".gif", ".bmp", ".tif", ".tiff"})
_FORMATS: Final = ("JPEG", "PNG", "WEBP")
_MOST_BYTES: Final = 80 << 20
_MOST_PIXELS: Final = 120_000_000  # more than any telephone takes; three bytes each
_KEPT_SIDE: Final = 3000  # pixels of the longer side: a line is thicker than one of them
_LEAST_SIDE: Final = 48
_TOO_LARGE: Final = "has more pixels than can be read; send a smaller picture."
# The decoders raise many kinds of errors on damaged bytes.
_OF_DECODERS: Final = (
    OSError,
    ValueError,
    SyntaxError,
    MemoryError,
    EOFError,
    TypeError,
    LookupError,
    ArithmeticError,
    RuntimeError,
    struct.error,
    zlib.error,
)


def is_picture_name(path: Path) -> bool:
    """Whether a file's ending says a still picture."""
    return path.suffix.lower() in PHOTO_ENDINGS | OTHER_PICTURES


def read_photo(path: Path) -> NDArray[np.uint8]:
    """Read a picture file.

    Returns
    -------
    (height, width, 3)
        RGB, upright as its telephone says, at most 3000 pixels along its longer side; what shines
        through lies on white.

    Raises
    ------
    MediaError
        It is no picture, damaged, too small or too large; one sentence says which and what to do.
    """
    path = Path(path)
    if path.suffix.lower() in OTHER_PICTURES:
        raise MediaError(
            f"{path.name} is a kind of picture that is not read here: send it as JPEG or PNG, or"
            " take a screen shot of it."
        )
    try:
        if not path.is_file():
            raise MediaError(f"{path.name} is no file that can be read; choose a picture.")
        if path.stat().st_size > _MOST_BYTES:
            raise MediaError(f"{path.name} is larger than 80 MB; send a smaller picture.")
        return _read(path)
    except MediaError:
        raise
    except _OF_DECODERS as error:
        if isinstance(error, PermissionError):
            raise MediaError(f"{path.name} may not be read: check its permissions.") from None
        raise MediaError(
            f"{path.name} is not a whole JPEG or PNG picture: it was cut off or damaged; ask for it"
            " again, as a file."
        ) from None


def _read(path: Path) -> NDArray[np.uint8]:
    from PIL import Image, ImageOps

    with warnings.catch_warnings():
        # A bomb is refused by its size; odd tags of a telephone are none of our business.
        warnings.simplefilter("ignore")
        try:
            opened = Image.open(path, formats=_FORMATS)
        except Image.DecompressionBombError:
            raise MediaError(f"{path.name} {_TOO_LARGE}") from None
        with opened as image:
            width, height = image.size
            if width * height > _MOST_PIXELS:
                raise MediaError(f"{path.name} {_TOO_LARGE}")
            if min(width, height) < _LEAST_SIDE:
                raise MediaError(
                    f"{path.name} has only {width} x {height} pixels, too few to read a curve from;"
                    " send a larger picture."
                )
            image.draft("RGB", (_KEPT_SIDE, _KEPT_SIDE))  # a JPEG can be decoded smaller at once
            upright = ImageOps.exif_transpose(image)
            plain = _as_rgb(upright if upright is not None else image)
            plain.thumbnail((_KEPT_SIDE, _KEPT_SIDE))
            return np.asarray(plain, dtype=np.uint8).copy()


def _as_rgb(image: Image.Image) -> Image.Image:
    """Eight bits a colour, on white where it lets light through."""
    from PIL import Image

    if image.mode.startswith(("I", "F")):  # 16 bits a pixel, grey
        deep = np.asarray(image, dtype=np.float64)
        most = 65535.0 if deep.max() > 255.0 else 255.0
        grey = np.clip(deep / most * 255.0, 0.0, 255.0).astype(np.uint8)
        return Image.fromarray(grey).convert("RGB")
    if image.has_transparency_data:
        seen = image.convert("RGBA")
        ground = Image.new("RGBA", seen.size, (255, 255, 255, 255))
        return Image.alpha_composite(ground, seen).convert("RGB")
    return image.convert("RGB")
