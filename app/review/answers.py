"""What an athlete sends back: ticks on cues, a comment, what they saw themselves. Read as hostile.

The file comes from outside and may have been made by anybody. Nothing in it is believed: size,
depth, types and lengths are bounded, what is unknown is left out, and characters that could hide or
reorder words become visible.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeGuard

from app.review.parts.answers import HOWS, AthleteAnswers, SelfTest, Tick
from app.review.values.errors import ReviewError

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

FORMAT_KEY: Final = "strokeside_answers"
VERSION: Final = 1
# Far beyond what a phone's page writes; anything larger was not written by it.
MOST_BYTES: Final = 1_000_000
DEEPEST: Final = 16
MOST_TICKS: Final = 500
MOST_TESTS: Final = 200
LONGEST_COMMENT: Final = 10_000
LONGEST_ANSWER: Final = 1_000
_ID = re.compile(r"[0-9A-Za-z_.:-]{1,64}")
_BUNDLE = re.compile(r"[0-9a-f]{16}")
# Embeddings, overrides and isolates; line and paragraph separators; what has no width and hides
# between letters. Joiners and the marks of direction stay: scripts and emoji need them.
_HIDDEN = re.compile("[\u200b\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]")
_MOST_ACCENTS = 4
# What a page packs into the text it shares: base64 between these words.
_LETTER = re.compile(rb"\[strokeside-answers:([A-Za-z0-9+/=\s>]*)(:end\])?")


def bundle_mark(state: ReviewState) -> str:
    """Give the mark by which answers know the review they belong to: 16 hexadecimal digits.

    It follows from the recordings alone, so that it stays when the coach goes on writing.
    """
    said = [ref.sha256 for ref in (state.video, state.trace) if ref is not None]
    text = "strokeside-bundle:" + ":".join(said or sorted(note.id for note in state.notes))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def belongs(answers: AthleteAnswers, state: ReviewState) -> bool:
    """Whether answers are to this review: its mark, or a note that only it has."""
    return answers.bundle == bundle_mark(state) or names_a_note(answers, state)


def names_a_note(answers: AthleteAnswers, state: ReviewState) -> bool:
    """Whether answers tick a note of this review; no other review has one of its id."""
    notes = {note.id for note in state.notes}
    return any(tick.note_id in notes for tick in answers.ticks)


def how_it_went(state: ReviewState, note_id: str) -> str:
    """How the newest answers to this review say it went with a note, one of `HOWS` or ""."""
    for answers in reversed(state.answers):
        if belongs(answers, state):
            for tick in answers.ticks:
                if tick.note_id == note_id:
                    return tick.how
    return ""


def ticked(state: ReviewState, note_id: str) -> bool | None:
    """What the newest answers to this review say of a note; None where they say nothing."""
    for answers in reversed(state.answers):
        if belongs(answers, state):
            for tick in answers.ticks:
                if tick.note_id == note_id:
                    return tick.done
    return None


def parse_answers(data: bytes, name: str) -> tuple[AthleteAnswers, tuple[str, ...]]:
    """Read the bytes of a file of answers, or of the text a page shares.

    Parameters
    ----------
    name : what to call the file in a sentence

    Returns
    -------
    AthleteAnswers, sentences
        What could be read, and what was left out.

    Raises
    ------
    ReviewError
        It is no file of answers; the message is one sentence.
    """
    said = load_json(_packed(data, name), name, MOST_BYTES, DEEPEST)
    if not isinstance(said, dict) or FORMAT_KEY not in said:
        raise ReviewError(f"{name} holds no answers of an athlete; nothing was changed.")
    version = said[FORMAT_KEY]
    if type(version) is not int or version != VERSION:
        raise ReviewError(
            f"{name} holds answers in a form this version of Strokeside does not know; "
            "nothing was changed. Ask for the file again, or bring Strokeside up to date."
        )
    bundle = said.get("bundle")
    if not isinstance(bundle, str) or not _BUNDLE.fullmatch(bundle):
        bundle = ""
    left_out: list[str] = []
    comment = _text(said.get("comment", ""), LONGEST_COMMENT, "comment", left_out)
    ticks = _ticks(said.get("ticks", []), left_out)
    tests = _tests(said.get("self_test", []), left_out)
    return AthleteAnswers(bundle, ticks, comment, tests), tuple(dict.fromkeys(left_out))


def holds_answers(data: bytes) -> bool:
    """Whether a text carries answers that a page packed into it."""
    return _LETTER.search(data) is not None


def _packed(data: bytes, name: str) -> bytes:
    """Give what a page packed into the text it shares; a file of answers is given as it is.

    A message may have broken the packed line, or put marks of a quotation before its parts.
    """
    if len(data) > MOST_BYTES:
        return data  # refused by its size
    letters_in = list(_LETTER.finditer(data))
    if not letters_in:
        return data
    found = letters_in[-1]  # the newest stands last where one message quotes another
    letters = re.sub(rb"[^A-Za-z0-9+/=]", b"", found[1])
    try:
        if not found[2]:
            raise ValueError("cut off")
        return base64.b64decode(letters, validate=True)
    except ValueError:
        raise ReviewError(
            f"{name} was cut off or changed on its way; nothing was changed. Ask for it again, or "
            "for the saved file."
        ) from None


def load_json(data: bytes, name: str, most_bytes: int, deepest: int) -> Any:
    """Parse JSON of a stranger; raises ReviewError with one sentence."""
    if len(data) > most_bytes:
        raise ReviewError(
            f"{name} is larger than {most_bytes // 1_000_000} MB, which no such file is; "
            "it was not read."
        )
    try:
        text = data.decode("utf-8-sig")
        if _depth(text) > deepest:
            raise ReviewError(f"{name} is nested too deep to be such a file; it was not read.")
        return json.loads(text, parse_constant=_refuse, parse_int=_integer)
    except ReviewError:
        raise
    except (ValueError, RecursionError, MemoryError):
        raise ReviewError(
            f"{name} cannot be read: it holds no answers, or it was cut off; ask for it again."
        ) from None


def harmless(text: str) -> str:
    """Text of a stranger as it can be shown: nothing hides in it, nothing reorders it.

    Line ends become single line feeds, tabs spaces; other control codes, codes of direction and
    what has no width are written out as ‹U+202E›; heaps of accents are cut.
    """
    text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    out: list[str] = []
    accents = 0
    for c in text.replace("\t", " "):
        accents = accents + 1 if unicodedata.category(c) in ("Mn", "Me") else 0
        if accents <= _MOST_ACCENTS:
            out.append(_shown(c))
    return "".join(out).strip()


def _shown(c: str) -> str:
    unprintable = unicodedata.category(c) in ("Cc", "Cs", "Co", "Cn") and c != "\n"
    return f"‹U+{ord(c):04X}›" if unprintable or _HIDDEN.match(c) else c


def _text(value: object, longest: int, what: str, left_out: list[str]) -> str:
    if not isinstance(value, str):
        left_out.append(f"The {what} was no text and was left out.")
        return ""
    if len(value) > longest:
        left_out.append(f"The {what} was longer than {longest} characters and was cut.")
        value = value[:longest] + " …"
    return harmless(value)


def _ticks(value: object, left_out: list[str]) -> tuple[Tick, ...]:
    ticks: dict[str, Tick] = {}
    for item in _items(value, MOST_TICKS, "ticks", left_out):
        note, done = item.get("note"), item.get("done")
        if _is_id(note) and isinstance(done, bool):
            how, own = item.get("how", ""), item.get("words", "")
            words = _text(own, LONGEST_ANSWER, "words on a cue", left_out)
            ticks[note] = Tick(note, done, how if how in HOWS else "", words)
        else:
            left_out.append("Some ticks could not be read and were left out.")
    return tuple(ticks.values())


def _tests(value: object, left_out: list[str]) -> tuple[SelfTest, ...]:
    tests: dict[str, SelfTest] = {}
    for item in _items(value, MOST_TESTS, "answers", left_out):
        name, answer = item.get("id"), item.get("answer")
        if _is_id(name) and isinstance(answer, str):
            tests[name] = SelfTest(name, _text(answer, LONGEST_ANSWER, "answer", left_out))
        else:
            left_out.append("Some answers could not be read and were left out.")
    return tuple(tests.values())


def _items(value: object, most: int, what: str, left_out: list[str]) -> Sequence[dict[str, Any]]:
    if not isinstance(value, list):
        left_out.append(f"The {what} were no list and were left out.")
        return ()
    if len(value) > most:
        left_out.append(f"There were more than {most} {what}; the rest was left out.")
    kept = [item for item in value[:most] if isinstance(item, dict)]
    if len(kept) < len(value[:most]):
        left_out.append(f"Some {what} could not be read and were left out.")
    return kept


def _is_id(value: object) -> TypeGuard[str]:
    return isinstance(value, str) and _ID.fullmatch(value) is not None


def _refuse(constant: str) -> NoReturn:
    raise ValueError(constant)  # NaN and infinity are no JSON


def _integer(digits: str) -> int | float:
    """An integer of any length; beyond what anything here can mean it is a float."""
    return int(digits) if len(digits) <= 18 else float("inf")


def _depth(text: str) -> int:
    """How deep brackets are nested outside of strings; the parser would go down with them."""
    deep = deepest = 0
    for token in re.finditer(r'"(?:[^"\\]|\\.)*"?|[\[{\]}]', text, re.DOTALL):
        mark = token.group()[0]
        if mark in "[{":
            deep += 1
            deepest = max(deepest, deep)
        elif mark in "]}":
            deep -= 1
    return deepest
