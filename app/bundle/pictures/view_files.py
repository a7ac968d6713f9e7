"""What a bundle holds of a second view of a moment."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ViewFiles:
    """A still and a clip of a second camera.

    Attributes
    ----------
    still, clip : paths inside the bundle; no clip where the camera hardly ran
    still_size : width and height in pixels
    within_s : half width of a 95 % interval of how far both cameras' moments lie apart; None where
        nobody can say
    """

    still: str
    still_size: tuple[int, int]
    clip: str | None = None
    within_s: float | None = None
