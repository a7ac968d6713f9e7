"""A voice from a review written down, as the window's child process does it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.review.parts.spoken_words import SpokenWord
from app.review.voice import samples_of

WRITE_DOWN = "app.speech.writing_down:write_down"


def write_down(
    wav: bytes, names: Sequence[str], report: Callable[[float, str], None]
) -> tuple[SpokenWord, ...]:
    """The words of a voice with their moments, after the words of the trade.

    Parameters
    ----------
    wav : one channel of 16 bits
    names : of people who may be spoken of, such as the athlete's
    report : called with a share from 0 to 1 and what is being done

    Raises
    ------
    SpeechError
        The library is not here, or refuses.
    ReviewError
        The sound cannot be read.
    """
    import io
    import wave

    from app.speech.engine import at_rate, heard_lines
    from app.speech.trade_words import put_right
    from app.speech.word_moments import words_of

    samples = samples_of(wav)
    with wave.open(io.BytesIO(wav)) as file:
        sound = at_rate(samples, file.getframerate())
    lines = heard_lines(sound, lambda share: report(share, "Writing the voice down"))
    words = [word for line in lines for word in words_of(line, sound)]
    return put_right(in_order(words), names)


def in_order(words: Sequence[SpokenWord]) -> tuple[SpokenWord, ...]:
    """The words with times that never run backwards: lines of the model may overlap a little."""
    out: list[SpokenWord] = []
    last_s = 0.0
    for word in words:
        from_s = max(word.from_s, last_s)
        out.append(SpokenWord(word.text, from_s, max(word.to_s, from_s), word.heard))
        last_s = from_s
    return tuple(out)
