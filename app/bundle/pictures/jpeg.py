"""Pictures as JPEG: what phones, mail readers and printers show, with nothing but the picture.

Colour is kept at full resolution (4:4:4), for thin drawn lines fray where it is halved.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv

_SOI, _SOS = b"\xff\xd8", 0xDA
# Start of a frame by ITU-T T.81, table B.1; the codes between that are left out mean other things.
_FRAMES = frozenset({0xC0, 0xC1, 0xC2})


def jpeg(rgb: NDArray[np.uint8], quality: int) -> bytes:
    """Pack an (H, W, 3) RGB picture as JPEG without metadata.

    Parameters
    ----------
    quality : 1-100, as the quantisation tables of libjpeg are scaled

    Raises
    ------
    OSError
        It could not be packed.
    """
    cv2 = opencv()
    how = [
        cv2.IMWRITE_JPEG_QUALITY, quality,
        cv2.IMWRITE_JPEG_SAMPLING_FACTOR, cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444,
        cv2.IMWRITE_JPEG_OPTIMIZE, 1,
    ]  # fmt: skip
    done, data = cv2.imencode(".jpg", np.ascontiguousarray(rgb[..., ::-1]), how)
    if not done:
        raise OSError("the picture could not be packed")
    return bytes(data)


def size_of(data: bytes) -> tuple[int, int]:
    """Width and height of a JPEG, by the header of its frame.

    Raises
    ------
    ValueError
        It is no JPEG.
    """
    at = len(_SOI)
    while data.startswith(_SOI) and at + 9 <= len(data) and data[at] == 0xFF:
        code = data[at + 1]
        if code in _FRAMES:
            return int.from_bytes(data[at + 7 : at + 9]), int.from_bytes(data[at + 5 : at + 7])
        if code == _SOS:
            break
        at += 2 + int.from_bytes(data[at + 2 : at + 4])
    raise ValueError("not a JPEG")
