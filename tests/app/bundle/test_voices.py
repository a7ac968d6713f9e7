"""What the athlete hears: every voice note of the review, equally loud, cut as the coach cut it."""

from __future__ import annotations

import base64
import json
import re
from dataclasses import replace
from pathlib import Path

import av
import html5lib
import numpy as np
import pytest
from numpy.typing import NDArray

from app.bundle.write import write_bundle
from app.media.loudness import VOICE_LUFS, loudness_lufs
from app.review.parts.notes import AddVoiceNote, Voice, new_note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.voice import new_id, to_wav, trimmed, voice_of

RATE = 48_000


def spoken(seconds: float, level: float, seed: int) -> bytes:
    """Noise below 4 kHz in syllables: as a voice, for an encoder and for the ear."""
    from scipy.signal import butter, sosfilt

    rng = np.random.default_rng(seed)
    count = round(seconds * RATE)
    band = butter(2, [150, 3000], "bandpass", fs=RATE, output="sos")
    knots = np.arange(0, count + 9600, 9600)
    voice = sosfilt(band, rng.standard_normal(count))
    voice *= 0.2 + np.interp(np.arange(count), knots, rng.random(len(knots)) ** 2)
    voice *= level / np.std(voice)
    return np.clip(np.round(voice * 32767), -32768, 32767).astype("<i2").tobytes()


def decoded(path: Path) -> NDArray[np.float64]:
    with av.open(str(path)) as file:
        return np.concatenate([f.to_ndarray()[0] for f in file.decode(audio=0)]).astype(np.float64)


def speak(review: Review, pcm: bytes, video_s: float, text: str, cut: tuple[float, float]) -> Voice:
    voice = trimmed(voice_of(new_id(), pcm), cut[0], cut[1])
    review.keep_sound(voice.id, to_wav(pcm))
    review.do(AddVoiceNote(new_note(video_s, text, voice=voice)))
    return voice


@pytest.fixture(scope="module")
def review(tmp_path_factory: pytest.TempPathFactory) -> Review:
    made = Review.create(tmp_path_factory.mktemp("spoken") / "said.review", ReviewState())
    speak(made, spoken(4.0, 0.004, 1), 1.0, "", (0.0, 4.0))
    speak(made, spoken(5.0, 0.1, 2), 2.0, "Hang & wait <b>.", (0.75, 4.25))
    return made


def path_of(review: Review) -> Path:
    assert review.path is not None
    return review.path


@pytest.fixture(scope="module")
def folder(review: Review, tmp_path_factory: pytest.TempPathFactory) -> Path:
    result = write_bundle(review.state, path_of(review), tmp_path_factory.mktemp("out") / "fb")
    assert {"voice/note-01.m4a", "voice/note-02.m4a"} <= set(result.files)
    assert result.bytes == sum(p.stat().st_size for p in result.path.rglob("*") if p.is_file())
    assert result.remarks == ()
    return result.path


@pytest.mark.parametrize(("number", "seconds"), [(1, 4.0), (2, 3.5)])
def test_voices_are_equally_loud_and_as_long_as_they_were_cut(
    folder: Path, number: int, seconds: float
) -> None:
    samples = decoded(folder / f"voice/note-{number:02d}.m4a")
    assert len(samples) / RATE == pytest.approx(seconds, abs=0.03)
    assert loudness_lufs(samples, RATE) == pytest.approx(VOICE_LUFS, abs=0.5)
    assert np.abs(samples).max() < 1.0


def test_it_is_the_part_that_was_to_be_heard(folder: Path) -> None:
    """Where the sound lies best over the recording is where it was cut, to the sample or two."""
    from scipy.signal import correlate

    whole = np.frombuffer(spoken(5.0, 0.1, 2), "<i2") / 32768.0
    samples = decoded(folder / "voice/note-02.m4a")
    at = int(np.argmax(correlate(whole, samples[: 3 * RATE], "valid")))
    assert at / RATE == pytest.approx(0.75, abs=0.001)


def test_the_page_has_a_player_beside_the_words(folder: Path) -> None:
    page = (folder / "index.html").read_text("utf-8")
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    opening = [p.get("src") for p in tree.findall(".//section[@id='work']//audio")]
    assert opening == ["voice/note-01.m4a", "voice/note-02.m4a"]
    players = tree.findall(".//section[@id='notes']//audio")
    assert [p.get("src") for p in players] == ["voice/note-01.m4a", "voice/note-02.m4a"]
    assert all(p.get("controls") is not None and p.get("autoplay") is None for p in players)
    assert [p.get("aria-label") for p in players] == [
        "What your coach says in note 1: 4\u00a0s, at 0:01.0 of the force recording.",
        "What your coach says in note 2: 4\u00a0s, at 0:02.0 of the force recording.",
    ]
    assert "No words were written" not in page  # the first note was spoken
    assert "Hang &amp; wait &lt;b&gt;." in page
    record = json.loads((folder / "review.json").read_text("utf-8"))
    assert [n["voice"] for n in record["notes"]] == [p.get("src") for p in players]
    assert record["notes"][1]["voice_s"] == pytest.approx(3.5)


def test_captions_hold_the_words_only(folder: Path) -> None:
    text = (folder / "notes.vtt").read_text("utf-8")
    assert "Hang &amp; wait" in text and "m4a" not in text


def test_one_page_holds_its_voices(review: Review, folder: Path, tmp_path: Path) -> None:
    result = write_bundle(review.state, path_of(review), tmp_path / "one", single_file=True)
    page = result.path.read_text("utf-8")
    held = re.findall(r'<audio[^>]* data-file="[^"]+" src="data:audio/mp4;base64,([^"]+)"', page)
    files = re.findall(r'<audio[^>]* data-file="([^"]+)"', page)
    assert len(files) == len(set(files)), "each lies in the page once"
    assert base64.b64decode(held[-1]) == (folder / "voice/note-02.m4a").read_bytes()
    assert "media-src data:" in page


def test_the_same_review_gives_the_same_bytes(review: Review, folder: Path, tmp_path: Path) -> None:
    again = write_bundle(review.state, path_of(review), tmp_path / "fb").path
    for name in ("voice/note-01.m4a", "index.html", "review.json"):
        assert (again / name).read_bytes() == (folder / name).read_bytes()


def test_a_sound_that_is_lost_is_said_and_the_rest_is_written(
    review: Review, tmp_path: Path
) -> None:
    first = review.state.notes[0]
    assert first.voice is not None
    gone = replace(first, voice=replace(first.voice, id="gone"))
    state = replace(review.state, notes=(gone, review.state.notes[1]))
    result = write_bundle(state, path_of(review), tmp_path / "fb")
    assert result.remarks == ("The voice of note 1 could not be read, so it is missing here.",)
    assert [n for n in result.files if n.startswith("voice/")] == ["voice/note-02.m4a"]
