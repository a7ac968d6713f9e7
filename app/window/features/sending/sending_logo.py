"""A coach's logo: any picture, made small and left with nothing but its pixels."""

from __future__ import annotations

import hashlib
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, Qt
from PySide6.QtGui import QImage, QImageReader, QImageWriter

from app.bundle.pictures.stills import only_picture
from app.bundle.wording.errors import BundleError

WIDEST_PX, HIGHEST_PX = 480, 160
_MOST_BYTES = 20_000_000
_MOST_PIXELS = 60_000_000
# Plain pixels only: a drawing could refer to other files, and an icon holds many pictures.
_FORMATS = frozenset({b"png", b"jpeg", b"webp", b"gif", b"bmp"})


def logo_from(path: Path) -> tuple[str, bytes]:
    """Read a picture of any size; return its id and its PNG of at most 480 by 160 px.

    Raises
    ------
    BundleError
        It cannot be used; one sentence says why. Nothing was changed.
    """
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= _MOST_BYTES else b""
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BundleError(f"{path.name} could not be read ({reason}); no logo was set.") from error
    if not data:
        what = "is empty" if size == 0 else "is larger than 20 MB"
        raise BundleError(f"{path.name} {what}; choose a smaller picture. No logo was changed.")
    png = _small_png(data, path.name)
    return hashlib.sha256(png).hexdigest()[:32], png


def _small_png(data: bytes, name: str) -> bytes:
    held = QByteArray(data)
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    if bytes(reader.format().data()) not in _FORMATS:
        raise BundleError(f"{name} is no picture (PNG, JPEG, WebP, GIF or BMP); no logo was set.")
    size = reader.size()
    if size.isValid() and size.width() * size.height() > _MOST_PIXELS:
        raise BundleError(
            f"{name} has {size.width()} by {size.height()} pixels, too many to be read; choose a "
            "smaller picture. No logo was set."
        )
    image = reader.read()
    if image.isNull() or not size.isValid():
        raise BundleError(f"{name} is damaged and cannot be shown; no logo was set.")
    if image.width() > WIDEST_PX or image.height() > HIGHEST_PX:
        image = image.scaled(
            WIDEST_PX,
            HIGHEST_PX,
            Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
    # Words and profiles of the old picture go with its format.
    plain = image.convertToFormat(QImage.Format.Format_RGBA8888)
    for key in plain.textKeys():
        plain.setText(key, "")
    return only_picture(_png_of(plain))


def _png_of(image: QImage) -> bytes:
    out = QByteArray()
    buffer = QBuffer(out)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    if not QImageWriter(buffer, QByteArray(b"png")).write(image):
        raise BundleError("The logo could not be packed; no logo was set.")
    buffer.close()
    return bytes(out.data())
