"""How many words are misheard, with and without the words of the trade: `-m ... [--recording]`.

`--text` counts words wrongly changed in sentences that were heard rightly, without any sound.
`--recording` measures the package's own recording of a public-domain text alone. Without these the
sentences of the trade are spoken by espeak-ng (`apt-get install espeak-ng`), a robot's voice that a
general model hears worse than a coach's. Errors are those of words, over the words said.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from app.review.parts.spoken_words import SpokenWord
from app.review.voice import samples_of
from app.speech.engine import RATE_HZ, HeardLine, at_rate
from app.speech.trade_words import put_right
from app.speech.word_moments import words_of
from app.speech.writing_down import write_down

SENTENCES = Path(__file__).with_name("trade_sentences.txt")
HEARD_RIGHTLY = Path(__file__).with_name("other_sentences.txt")
VOICES = ("en-gb", "en-us+f3")
NAMES = ("Jonas", "Amelia")
CITIES = """It was the best of times, it was the worst of times, it was the age of wisdom, it was
the age of foolishness, it was the epoch of belief, it was the epoch of incredulity, it was the
season of Light, it was the season of Darkness, it was the spring of hope, it was the winter of
despair, we had everything before us, we had nothing before us, we were all going direct to Heaven,
we were all going direct the other way, in short, the period was so far like the present period,
that some of its noisiest authorities insisted on its being received, for good or for evil, in the
superlative degree of comparison only."""
NUMBERS = {
    "20": "twenty", "22": "twenty two", "26": "twenty six", "18": "eighteen", "10": "ten",
    "2": "two", "5": "five", "1": "one", "2:1": "two to one",
}  # fmt: skip


def plain(text: str) -> list[str]:
    """Words without case and marks, numbers in letters."""
    said = re.sub(r"[^\w\s:]", " ", text.lower()).split()
    return " ".join(NUMBERS.get(word, word) for word in said).split()


def errors(said: list[str], heard: list[str]) -> int:
    """Words put in, left out or changed."""
    row = list(range(len(heard) + 1))
    for i, one in enumerate(said, 1):
        before, row[0] = row[:], i
        for j, other in enumerate(heard, 1):
            row[j] = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (one != other))
    return row[-1]


def as_heard(words: tuple[SpokenWord, ...]) -> str:
    """What the model heard: each changed stretch as it was before."""
    out: list[str] = []
    for before, word in zip((None, *words), words, strict=False):
        several = before is not None and before.heard == word.heard and " " in word.heard
        if not several:
            out.append(word.heard or word.text)
    return " ".join(out)


def recording() -> None:
    """The package's recording, heard with no word of the trade in it."""
    from moonshine_voice.utils import get_assets_path

    wav = (get_assets_path() / "two_cities.wav").read_bytes()
    begun = time.process_time()
    words = write_down(wav, NAMES, lambda share, doing: None)
    used_s, said = time.process_time() - begun, plain(CITIES)
    for name, heard in (("as heard", as_heard(words)), ("put right", " ".join(map(_text, words)))):
        wrong = errors(said, plain(heard))
        print(f"recording, {name}: {wrong} of {len(said)} words, {100 * wrong / len(said):.1f} %")
    print(f"CPU seconds a second of speech: {used_s / words[-1].to_s:.2f}")


def _text(word: SpokenWord) -> str:
    return word.text


def spoken(sentence: str, voice: str, folder: Path) -> bytes:
    """A sentence spoken by a robot."""
    out = folder / "said.wav"
    subprocess.run(["espeak-ng", "-v", voice, "-s", "145", "-w", str(out), sentence], check=True)
    return out.read_bytes()


def heard_rightly() -> None:
    """Words changed where none should be: in talk of other things and in the true sentences."""
    for block in (HEARD_RIGHTLY.read_text("utf-8") + "\n\n" + SENTENCES.read_text("utf-8")).split(
        "\n\n"
    ):
        name, *lines = block.strip().splitlines()
        wrong = count = 0
        for line in lines:
            words = [
                SpokenWord(word, i * 0.4, i * 0.4 + 0.3) for i, word in enumerate(line.split())
            ]
            wrong += errors(line.split(), [word.text for word in put_right(words, NAMES)])
            count += len(words)
        print(f"{name[2:]} {wrong} of {count} words of {len(lines)} sentences changed")


def sets() -> Iterator[tuple[str, list[str]]]:
    """The sentences the list was made with, and those written apart from it."""
    made_with, apart = SENTENCES.read_text("utf-8").split("\n\n")
    for name, block in (("made with", made_with), ("written apart", apart)):
        yield name, [line for line in block.splitlines() if line and not line.startswith("#")]


def sentences(folder: Path) -> None:
    """Error rates of both sets in each voice, and how far the moments of words are off."""
    for name, many in sets():
        for voice in VOICES:
            count = before = after = worse = 0
            for sentence in many:
                words = write_down(spoken(sentence, voice, folder), NAMES, lambda *_: None)
                said = plain(sentence)
                raw = errors(said, plain(as_heard(words)))
                right = errors(said, plain(" ".join(map(_text, words))))
                count, before, after = count + len(said), before + raw, after + right
                worse += right > raw
            print(
                f"{name}, {voice}: {100 * before / count:.1f} % -> {100 * after / count:.1f} %, "
                f"worse in {worse} of {len(many)}"
            )


def moments(folder: Path) -> None:
    """How far the start of a word is off: it starts where what is before it ends."""
    off: list[float] = []
    for sentence in next(sets())[1][:10]:
        texts = sentence.split()
        ends = [_speech_end(spoken(" ".join(texts[:i]), "en-gb", folder)) for i in
                range(1, len(texts) + 1)]  # fmt: skip
        wav = spoken(sentence, "en-gb", folder)
        sound = at_rate(samples_of(wav), _rate(wav))
        words = words_of(HeardLine(sentence, 0.0, len(sound) / RATE_HZ), sound)
        off += [word.from_s - end for word, end in zip(words[1:], ends, strict=False)]
    print(f"start of a word: half within {np.median(np.abs(off)):.2f} s, nine of ten within "
          f"{np.percentile(np.abs(off), 90):.2f} s ({len(off)} words)")  # fmt: skip


def _rate(wav: bytes) -> int:
    return int.from_bytes(wav[24:28], "little")


def _speech_end(wav: bytes) -> float:
    loud = np.flatnonzero(np.abs(samples_of(wav)) > 300)
    return float(loud[-1]) / _rate(wav)


def main() -> None:
    """Measure."""
    heard_rightly()
    if "--text" in sys.argv:
        return
    recording()
    if "--recording" in sys.argv:
        return
    if shutil.which("espeak-ng") is None:
        print("espeak-ng is not here; the sentences were not measured")
        return
    with tempfile.TemporaryDirectory() as name:
        moments(Path(name))
        sentences(Path(name))


if __name__ == "__main__":
    main()
