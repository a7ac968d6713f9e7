"""Film of high dynamic range (PQ, HLG) and of BT.2020 colour, shown as on an ordinary screen.

Every picture of such a film goes through `tone_mapped`, whether for the screen, a still or a clip.
What is bright is bent by the curve of Report ITU-R BT.2390 (its EETF) from a screen of 1000 cd/m2
to one whose white stands at 203 cd/m2, the reference white of Report BT.2408; all three colours of
a pixel by the same factor, that of its strongest one, so that hues stay. Up to 88 cd/m2 nothing is
bent. Then BT.2020 becomes BT.709 (Report BT.2407: what lies outside is clipped), for a display of
Recommendation BT.1886. Reference white comes out at level 230 of 255, 1000 cd/m2 and more at 255.
"""

from __future__ import annotations

from enum import Enum
from functools import lru_cache
from typing import Any, Final

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import VideoReformatter
from numpy.typing import NDArray

from app.media.opencv import opencv

SOURCE_PEAK: Final = 1000.0  # cd/m2, the display of BT.2100 that HLG is defined on
WHITE: Final = 203.0  # cd/m2, BT.2408
DISPLAY_GAMMA: Final = 2.4  # BT.1886

# SMPTE ST 2084, as in BT.2100 table 4.
_M1, _M2 = 2610 / 16384, 2523 / 4096 * 128
_C1, _C2, _C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
_PQ_PEAK = 10_000.0
_SHARE = np.float32(SOURCE_PEAK / _PQ_PEAK)
# ARIB STD-B67, as in BT.2100 table 5.
_A, _B, _C = 0.17883277, 0.28466892, 0.55991073
_SYSTEM_GAMMA = 1.2
_LUMINANCE: Final = (0.2627, 0.6780, 0.0593)
# BT.2087: linear BT.2020 to linear BT.709.
_TO_709: Final = (
    (1.6605, -0.5876, -0.0728),
    (-0.1246, 1.1329, -0.0083),
    (-0.0182, -0.1006, 1.1187),
)
# Numbers of ISO/IEC 23091-2.
_PQ, _HLG, _BT2020 = 16, 18, 9
_ORDINARY = (1, 6, 14, 15)
_CODES = 1024
_STEPS, _LEVELS = 16_384, 4096  # of the tables
_ROWS = 64  # at a time: what is worked on stays near the processor


class Light(Enum):
    """How the numbers of a film stand for light."""

    PQ = "PQ"
    HLG = "HLG"
    WIDE = "wide colour"  # ordinary light in the primaries of BT.2020


def light_of(frame: VideoFrame) -> Light | None:
    """What a frame says of itself; None for an ordinary one, which is shown as it is."""
    transfer = int(frame.color_trc)
    if transfer == _PQ:
        return Light.PQ
    if transfer == _HLG:
        return Light.HLG
    wide = int(frame.color_primaries) == _BT2020 and transfer in _ORDINARY
    return Light.WIDE if wide else None


Tags = tuple[int, int, int, int]


def tags_of(frame: VideoFrame) -> Tags:
    """What a frame says of its colours: matrix, range, transfer, primaries (ISO/IEC 23091-2)."""
    return (
        int(frame.colorspace),
        int(frame.color_range),
        int(frame.color_trc),
        int(frame.color_primaries),
    )


def set_tags(frame: VideoFrame, tags: Tags) -> None:
    """Say the same of another frame."""
    frame.colorspace, frame.color_range, frame.color_trc, frame.color_primaries = tags


def tone_mapped(frame: VideoFrame, light: Light, reformatter: VideoReformatter) -> NDArray[Any]:
    """(H, W, 3) uint8 RGB for an ordinary screen, not turned yet.

    Parameters
    ----------
    frame : of any format, its matrix and range as it is tagged
    light : what `light_of` said
    reformatter : kept by the caller between frames
    """
    deep = reformatter.reformat(frame, format="gbrp10le", interpolation="BICUBIC")
    green, blue, red = (
        np.frombuffer(memoryview(p), np.uint16).reshape(-1, p.line_size // 2)[:, : deep.width]
        for p in deep.planes
    )
    image = np.empty((deep.height, deep.width, 3), np.uint8)
    for top in range(0, deep.height, _ROWS):
        rows = slice(top, min(top + _ROWS, deep.height))
        image[rows] = _mapped([red[rows], green[rows], blue[rows]], light)
    return image


def _mapped(codes: list[NDArray[np.uint16]], light: Light) -> NDArray[np.uint8]:
    """Levels of a few rows."""
    cv2 = opencv()
    table = _linear(light)
    channels = [table.take(plane, mode="clip") for plane in codes]
    if light is not Light.WIDE:
        factor = _factor(channels, light)
        channels = [channel * factor for channel in channels]
    linear = cv2.transform(cv2.merge(channels), np.array(_TO_709, np.float32))
    return _levels().take(_steps(cv2.max(linear, 0.0), _LEVELS), mode="clip")


def _factor(channels: list[NDArray[np.float32]], light: Light) -> NDArray[np.float32]:
    """What each pixel's light is multiplied by, to stand in units of white."""
    cv2 = opencv()
    strongest = cv2.max(cv2.max(channels[0], channels[1]), channels[2])
    if light is Light.PQ:
        return _bend().take(_steps(strongest * _SHARE, _STEPS), mode="clip")
    # The display's own gamma (BT.2100): by the pixel's luminance.
    luminance = channels[0] * _LUMINANCE[0]
    luminance += channels[1] * _LUMINANCE[1]
    luminance += channels[2] * _LUMINANCE[2]
    display = _display().take(_steps(luminance, _STEPS), mode="clip")
    strongest *= display
    return display * _bend().take(_steps(strongest * _SHARE, _STEPS), mode="clip")


def _steps(share: NDArray[np.float32], steps: int) -> NDArray[np.uint16]:
    """Places in a table that is even in the root of light; a power for each would be slow."""
    root = np.sqrt(share)
    root *= np.float32(steps - 1)
    root += np.float32(0.5)
    return root.astype(np.uint16)


def pq_to_light(signal: NDArray[np.float64]) -> NDArray[np.float64]:
    """Light in cd/m2 of a PQ signal (0 to 1), SMPTE ST 2084."""
    root = signal ** (1 / _M2)
    return _PQ_PEAK * (np.maximum(root - _C1, 0) / (_C2 - _C3 * root)) ** (1 / _M1)


def light_to_pq(light: NDArray[np.float64]) -> NDArray[np.float64]:
    """PQ signal (0 to 1) of light in cd/m2."""
    power = (light / _PQ_PEAK) ** _M1
    return ((_C1 + _C2 * power) / (1 + _C3 * power)) ** _M2


def hlg_to_scene(signal: NDArray[np.float64]) -> NDArray[np.float64]:
    """Light of the scene (0 to 1) of an HLG signal (0 to 1), ARIB STD-B67."""
    return np.where(signal <= 0.5, signal**2 / 3, (np.exp((signal - _C) / _A) + _B) / 12)


def bent(light: NDArray[np.float64]) -> NDArray[np.float64]:
    """Light in cd/m2 on a screen of white 203 of light meant for one of 1000 (BT.2390 EETF)."""
    top = float(light_to_pq(np.array(SOURCE_PEAK)))
    most = float(light_to_pq(np.array(WHITE))) / top
    knee = 1.5 * most - 0.5
    signal = np.minimum(light_to_pq(light) / top, 1.0)
    t = np.maximum(signal - knee, 0.0) / (1 - knee)
    spline = (
        (2 * t**3 - 3 * t**2 + 1) * knee
        + (t**3 - 2 * t**2 + t) * (1 - knee)
        + (3 * t**2 - 2 * t**3) * most
    )
    return pq_to_light(np.where(signal < knee, signal, spline) * top)


@lru_cache(maxsize=3)
def _linear(light: Light) -> NDArray[np.float32]:
    """Linear light of each 10-bit code: of `SOURCE_PEAK`, of the scene, or of white."""
    signal = np.arange(_CODES) / (_CODES - 1)
    if light is Light.PQ:
        return (pq_to_light(signal) / SOURCE_PEAK).astype(np.float32)
    if light is Light.HLG:
        return hlg_to_scene(signal).astype(np.float32)
    return (signal**DISPLAY_GAMMA).astype(np.float32)


@lru_cache(maxsize=1)
def _bend() -> NDArray[np.float32]:
    """From light in units of `SOURCE_PEAK` to light in units of white."""
    light = _PQ_PEAK * _shares(_STEPS)
    return (bent(light) / light * (SOURCE_PEAK / WHITE)).astype(np.float32)


@lru_cache(maxsize=1)
def _display() -> NDArray[np.float32]:
    """From light of the scene to light of the display, by luminance of the scene."""
    factor: NDArray[np.float64] = _shares(_STEPS) ** (_SYSTEM_GAMMA - 1.0)
    return factor.astype(np.float32)


@lru_cache(maxsize=1)
def _levels() -> NDArray[np.uint8]:
    """Level of an 8-bit picture by light in units of white."""
    return np.round(255.0 * _shares(_LEVELS) ** (1.0 / DISPLAY_GAMMA)).astype(np.uint8)


def _shares(steps: int) -> NDArray[np.float64]:
    """Light from (nearly) 0 to 1 at the places of `_steps`."""
    return (np.maximum(np.arange(steps), 0.01) / (steps - 1)) ** 2
