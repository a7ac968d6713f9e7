"""One frame as a picture file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.atomic import replacing
from app.media.errors import MediaError
from app.media.opencv import opencv


def write_png(image: NDArray[np.uint8], out_png: str | Path) -> None:
    """Write an (H, W, 3) RGB picture as PNG, whole or not at all, without metadata."""
    done, data = opencv().imencode(".png", np.ascontiguousarray(image[..., ::-1]))
    if not done:
        raise MediaError(f"{Path(out_png).name} could not be made.")
    with replacing(out_png) as temporary:
        temporary.write_bytes(data.tobytes())
