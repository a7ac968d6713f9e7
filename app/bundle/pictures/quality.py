"""How large the pictures and clips of a bundle are, by what it is for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.review.parts.sending import QUALITIES

if TYPE_CHECKING:
    from app.media.encode import ClipLook


@dataclass(frozen=True)
class Quality:
    """One quality.

    Attributes
    ----------
    height_px : of a clip at most; it is never enlarged
    crf : constant rate factor of its encoding, smaller is closer
    sound_bps : bits a second of a clip's sound
    still_px : longest side of a still at most
    still_quality : of its JPEG
    pair : width of a comparison, as a share of its usual one
    about : what it is for, for the coach
    as_stored : whether a clip takes the film's own packets where nothing is done to its picture
    """

    height_px: int
    crf: int
    sound_bps: int
    still_px: int
    still_quality: int
    pair: float
    about: str
    as_stored: bool = False


# Heights and factors are common practice, no source; sizes on a film of one's own are printed by
# tests/benchmarks/bundle_time.py.
QUALITY: Final[dict[str, Quality]] = {
    "mail": Quality(480, 27, 64_000, 800, 84, 0.7, "Small, for mail"),
    "standard": Quality(720, 22, 96_000, 1280, 90, 1.0, "Standard, for a phone"),
    "full": Quality(4320, 19, 128_000, 1920, 92, 1.5, "Full, as filmed", as_stored=True),
}
assert tuple(QUALITY) == QUALITIES


def look_of(quality: Quality) -> ClipLook:
    """Give how a clip of a quality looks, with nothing painted on it."""
    from app.media.encode import ClipLook

    return ClipLook(quality.height_px, quality.crf, quality.sound_bps, as_stored=quality.as_stored)
