"""The notes as WebVTT captions for the athlete's own film (W3C WebVTT 1)."""

from __future__ import annotations

from collections.abc import Sequence

from app.bundle.wording.finding_texts import is_foreign
from app.bundle.wording.text import LONGEST_S, clean, one_line
from app.bundle.wording.words import ENGLISH, Words
from app.review.parts.notes import BODY_PARTS, PHASES, Note

# Common practice, no source: a caption stays long enough to read, within these bounds.
_READING_S_PER_CHARACTER = 0.06
_SHORTEST_S = 2.0
_LONGEST_S = 8.0


def captions(notes: Sequence[Note], words: Words = ENGLISH, own: str = "") -> str:
    """All notes as one WebVTT file, in order of time.

    Parameters
    ----------
    own : the language of the coach's words, "" for that of the page; a line in another says so

    Notes
    -----
    Every cue ends at least a millisecond after it starts; the words are escaped so that neither
    a tag nor an arrow of theirs can be taken for one of the format's own.
    """
    cues = sorted((_span(note), number, note) for number, note in enumerate(notes, start=1))
    blocks = ["WEBVTT\n"]
    for (start_ms, end_ms), number, note in cues:
        timing = f"{_stamp(start_ms)} --> {_stamp(end_ms)}"
        blocks.append(f"{number}\n{timing}\n{_payload(note, number, words, own)}\n")
    return "\n".join(blocks)


def as_vtt(cues: Sequence[tuple[int, int, Sequence[tuple[str, str]]]]) -> str:
    """Words for spans as one WebVTT file.

    Parameters
    ----------
    cues : start and end in milliseconds, and stretches of words, in order of time; each stretch
        with its language where that is not the file's, else ""
    """
    blocks = ["WEBVTT\n"]
    for number, (start_ms, end_ms, said) in enumerate(cues, start=1):
        timing = f"{_stamp(start_ms)} --> {_stamp(max(end_ms, start_ms + 1))}"
        text = " ".join("\n".join(_lines(words, code)) for code, words in said)
        blocks.append(f"{number}\n{timing}\n{text}\n")
    return "\n".join(blocks)


def _span(note: Note) -> tuple[int, int]:
    start_ms = _whole_ms(note.video_s)
    if note.end_s is not None:
        end_ms = _whole_ms(note.end_s)
    else:
        read_s = len(note.text) * _READING_S_PER_CHARACTER
        end_ms = start_ms + round(min(_LONGEST_S, max(_SHORTEST_S, read_s)) * 1000)
    return start_ms, max(end_ms, start_ms + 1)


def _whole_ms(seconds: float) -> int:
    return round(min(max(seconds, 0.0), LONGEST_S) * 1000)


def _stamp(milliseconds: int) -> str:
    seconds, milliseconds = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    head = f"{hours:02d}:" if hours else ""
    return f"{head}{minutes:02d}:{seconds:02d}.{milliseconds:03d}"


def _payload(note: Note, number: int, words: Words, own: str) -> str:
    lines: list[str] = []
    for line in clean(note.text).split("\n"):
        lines += _lines(line, own if is_foreign(line, own, words["language"]) else "")
    tags = one_line(", ".join(_tags(note, words)))
    if tags:
        lines.insert(0, _escaped(f"[{tags}]"))
    return "\n".join(lines or [f"{words['note_word']} {number}"])


def _lines(text: str, language: str) -> list[str]:
    """Words as lines of a cue, each in a language span where one is named (WebVTT 1, 3.5)."""
    # An empty line would end the cue.
    lines = [_escaped(line.strip()) for line in clean(text).split("\n") if line.strip()]
    return [f"<lang {language}>{line}</lang>" for line in lines] if language else lines


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _tags(note: Note, words: Words) -> list[str]:
    phase, part = note.phase, note.body_part
    named = (
        words[f"phase_{phase}"] if phase in PHASES else phase,
        words[f"part_{part}"] if part in BODY_PARTS else part,
    )
    return [tag for tag in named if tag]
