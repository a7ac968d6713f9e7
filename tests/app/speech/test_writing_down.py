"""The package's own recording of a public-domain text, written down; words lie where they sound."""

from __future__ import annotations

import io
import sys
import wave

import numpy as np
import pytest

from app.review.voice import samples_of, to_wav
from app.speech.engine import RATE_HZ, HeardLine, at_rate, can_write_down, heard_lines, pieces
from app.speech.errors import SpeechError
from app.speech.word_moments import words_of
from app.speech.writing_down import write_down

needs_package = pytest.mark.skipif(
    not can_write_down(), reason="what writes a voice down is not here"
)


@needs_package
def test_a_recording_is_written_down_with_times() -> None:
    from moonshine_voice.utils import get_assets_path

    told: list[float] = []
    wav = (get_assets_path() / "beckett.wav").read_bytes()
    words = write_down(wav, (), lambda share, _doing: told.append(share))
    text = " ".join(w.text.lower().strip(".,") for w in words)
    assert text.startswith("ever tried ever failed no matter try again")
    assert told[-1] == 1.0
    with wave.open(io.BytesIO(wav)) as file:
        length_s = file.getnframes() / file.getframerate()
    assert 0.0 <= words[0].from_s < 0.5 and words[-1].to_s <= length_s
    again = next(w for w in words if w.text.lower().startswith("again"))
    assert 4.6 < again.from_s < again.to_s < 6.0, "the second word of its line"


def test_without_the_package_one_sentence_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "moonshine_voice", None)
    monkeypatch.setitem(sys.modules, "moonshine_voice.errors", None)
    with pytest.raises(SpeechError, match="moonshine-voice"):
        heard_lines(np.zeros(RATE_HZ))


def test_a_long_voice_is_cut_where_it_is_quiet() -> None:
    rng = np.random.default_rng(1)
    sound = rng.standard_normal(RATE_HZ * 90)
    quiet = (33.0, 70.0)
    for at_s in quiet:
        sound[round(at_s * RATE_HZ) : round((at_s + 0.6) * RATE_HZ)] *= 0.01
    found = list(pieces(sound))
    assert found[0][0] == 0 and found[-1][1] == len(sound)
    assert [a[1] for a in found[:-1]] == [b[0] for b in found[1:]]
    for (_, end), at_s in zip(found, quiet, strict=False):
        assert at_s <= end / RATE_HZ <= at_s + 0.6


def test_words_share_the_speech_and_not_the_silence() -> None:
    tone = np.sin(np.arange(RATE_HZ) * 0.2)
    sound = np.concatenate([tone[: RATE_HZ // 2], np.zeros(RATE_HZ), tone[: RATE_HZ // 2]])
    line = HeardLine("one two", 0.0, 2.0)
    first, second = words_of(line, sound)
    assert (first.from_s, first.text, second.text) == (0.0, "one", "two")
    assert second.to_s == pytest.approx(2.0, abs=0.02)
    assert first.to_s <= 1.55 and second.from_s >= 0.45


def test_another_rate_keeps_the_length() -> None:
    samples = samples_of(to_wav(bytes(2 * 44_100), 44_100))
    assert len(at_rate(samples, 44_100)) == RATE_HZ
