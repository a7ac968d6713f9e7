from __future__ import annotations

import io
import re

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from analysis.findings.catalogue import read_catalogue
from app.bundle.wording.captions import captions
from app.bundle.wording.words import ENGLISH
from app.review.parts.notes import Note

CUE = re.compile(r"^((?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}) --> ((?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3})$")


def seconds(stamp: str) -> float:
    parts = [float(p) for p in stamp.split(":")]
    return sum(p * 60**i for i, p in enumerate(reversed(parts)))


def test_an_independent_parser_reads_them() -> None:
    notes = [
        Note("b", 74.815, "Second & <third>", end_s=78.114, phase="drive", body_part="legs"),
        Note("a", 1.0, "First\n\nwith a gap"),
        Note("c", 3723.5, "After an hour"),
    ]
    cues = list(webvtt.from_buffer(io.StringIO(captions(notes))))
    assert [c.start for c in cues] == ["00:00:01.000", "00:01:14.815", "01:02:03.500"]
    assert cues[1].end == "00:01:18.114"
    assert cues[0].raw_text == "First\nwith a gap"
    assert cues[1].raw_text == "[drive, legs]\nSecond &amp; &lt;third&gt;"


def test_the_form_of_a_timestamp() -> None:
    """W3C WebVTT: hours only where they are needed, and then with two digits or more."""
    text = captions([Note("a", 74.815, "x", end_s=78.114), Note("b", 3600.0, "y", end_s=3601.0)])
    assert "01:14.815 --> 01:18.114" in text
    assert "01:00:00.000 --> 01:00:01.000" in text
    assert text.startswith("WEBVTT\n\n")


def test_no_notes_is_still_a_caption_file() -> None:
    assert captions([]) == "WEBVTT\n"


texts = st.text(max_size=30) | st.sampled_from(
    ["00:01.000 --> 00:02.000", "a\n\n00:01.000 --> 00:02.000\nb", "<v Bob>-->", "NOTE", "WEBVTT",
     "\r\n\r\n", "STYLE\n::cue{}", "\x00", "&amp;", "x" * 10_000, "\u2028\u2028", "\x0c\x0c"]
)  # fmt: skip


@given(
    st.lists(
        st.builds(
            Note,
            id=st.sampled_from(("a", "b", "c")),
            video_s=st.floats(-10, 1e300),
            text=texts,
            end_s=st.none() | st.floats(-10, 1e6),
            phase=texts,
        ),
        max_size=4,
    )
)
def test_any_notes_give_whole_cues_in_order(notes: list[Note]) -> None:
    text = captions(notes)
    text.encode("utf-8")
    assert "\r" not in text
    assert "\x00" not in text
    blocks = text.split("\n\n")
    assert len(blocks) == len(notes) + 1
    starts = []
    for block in blocks[1:]:
        _, timing, *payload = block.strip("\n").split("\n")
        match = CUE.match(timing)
        assert match is not None
        start, end = (seconds(s) for s in match.groups())
        assert end > start
        starts.append(start)
        assert payload
        assert all(line.strip() for line in payload)
        assert not any("-->" in line or "<" in line for line in payload)
    assert starts == sorted(starts)
    assert len(list(webvtt.from_buffer(io.StringIO(text)))) == len(notes)


@pytest.mark.parametrize("text", ["short", "x" * 60, "x" * 10_000])
def test_a_caption_stays_long_enough_to_read(text: str) -> None:
    (cue,) = webvtt.from_buffer(io.StringIO(captions([Note("a", 10.0, text)])))
    assert 2.0 <= cue.end_in_seconds - cue.start_in_seconds <= 8.0


def test_words_in_another_language_than_the_file_say_so() -> None:
    """W3C WebVTT 1, 3.5: a cue language span."""
    text = "Nicht hetzen & warten\n\n" + read_catalogue()["give"].cue
    written = captions([Note("a", 1.0, text, phase="drive")], ENGLISH, "de")
    assert "<lang de>Nicht hetzen &amp; warten</lang>" in written
    assert written.count("<lang") == 1, "tags and the catalogue are in the language of the page"
    (cue,) = webvtt.from_buffer(io.StringIO(written))
    assert cue.text.splitlines()[:2] == ["[drive]", "Nicht hetzen &amp; warten"]
    assert "<lang" not in captions([Note("a", 1.0, "Wait")], ENGLISH, "en")
