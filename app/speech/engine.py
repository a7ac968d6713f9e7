"""The one door to the library that writes speech down; it is loaded at the first voice."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.speech.errors import SpeechError

RATE_HZ: Final = 16_000  # what the model was made for
LANGUAGE: Final = "en"  # the only one it knows
NOT_SET_UP: Final = (
    "What writes a voice down is not on this machine (package moonshine-voice 0.0.49); the voice "
    "is kept, and its words can be typed."
)
# The library keeps what it is given as single numbers: an hour at once would take gigabytes.
_PIECE_S: Final = 40.0
_LOOK_S: Final = 10.0  # how far before its end a piece may be cut, where it is quietest
_FRAME_S: Final = 0.02
_QUIET_S: Final = 0.3  # laid around a piece: without it a first or last word is lost


@dataclass(frozen=True)
class HeardLine:
    """A stretch of speech without a long pause.

    Attributes
    ----------
    text : what was heard
    from_s, to_s : seconds into the recording
    """

    text: str
    from_s: float
    to_s: float


def can_write_down() -> bool:
    """Whether the library is installed; it is not made for every system."""
    return find_spec("moonshine_voice") is not None


def at_rate(samples: NDArray[np.int16], sample_hz: int) -> NDArray[np.float64]:
    """(N,) samples in -1..1 at the model's rate."""
    from scipy.signal import resample_poly

    common = math.gcd(sample_hz, RATE_HZ)
    heard = samples.astype(np.float64) / 32768.0
    if sample_hz == RATE_HZ or not len(heard):
        return heard
    made: NDArray[np.float64] = resample_poly(heard, RATE_HZ // common, sample_hz // common)
    return made


def heard_lines(
    sound: NDArray[np.float64], report: Callable[[float], None] = lambda share: None
) -> list[HeardLine]:
    """What is said in a sound at the model's rate, in order of time.

    Raises
    ------
    SpeechError
        The library is not here, or refuses.
    """
    try:
        from moonshine_voice.errors import MoonshineError
        from moonshine_voice.moonshine_api import ModelArch
        from moonshine_voice.transcriber import Transcriber
        from moonshine_voice.utils import get_model_path
    except (ImportError, OSError) as error:
        raise SpeechError(NOT_SET_UP) from error
    quiet = np.zeros(round(_QUIET_S * RATE_HZ))
    lines: list[HeardLine] = []
    try:
        with Transcriber(str(get_model_path("tiny-en")), ModelArch.TINY) as transcriber:
            for first, last in pieces(sound):
                piece = np.concatenate([quiet, sound[first:last], quiet]).tolist()
                found = transcriber.transcribe_without_streaming(piece, RATE_HZ)
                start_s, length_s = first / RATE_HZ, (last - first) / RATE_HZ
                for line in found.lines:
                    from_s = min(max(line.start_time - _QUIET_S, 0.0), length_s)
                    to_s = min(max(from_s, from_s + line.duration), length_s)
                    lines.append(HeardLine(line.text.strip(), start_s + from_s, start_s + to_s))
                report(last / max(len(sound), 1))
    except MoonshineError as error:
        raise SpeechError(f"The voice could not be written down ({error}).") from error
    return lines


def pieces(sound: NDArray[np.float64]) -> Iterator[tuple[int, int]]:
    """First and last sample of each piece: at most 40 s, cut where it is quietest."""
    frame, most, look = (round(s * RATE_HZ) for s in (_FRAME_S, _PIECE_S, _LOOK_S))
    first = 0
    while len(sound) - first > most:
        searched = sound[first + most - look : first + most]
        power = np.mean(searched.reshape(-1, frame) ** 2, axis=1)
        smooth = np.convolve(power, np.ones(15), "same")
        last = first + most - look + int(np.argmin(smooth)) * frame
        yield first, last
        first = last
    if first < len(sound):
        yield first, len(sound)
