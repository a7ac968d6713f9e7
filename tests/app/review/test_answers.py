"""An athlete's answers, read as if an enemy had written them."""

from __future__ import annotations

import base64
import json
import random
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.review.answers import (
    LONGEST_COMMENT,
    MOST_BYTES,
    belongs,
    bundle_mark,
    harmless,
    parse_answers,
    ticked,
)
from app.review.file.store import read_review
from app.review.parts.answers import (
    AddAnswers,
    AthleteAnswers,
    RemoveAnswers,
    SelfTest,
    Tick,
    first_things_first,
    hurts,
    received_now,
)
from app.review.parts.check import check_state
from app.review.parts.media import MediaRef
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

GOOD: dict[str, Any] = {
    "strokeside_answers": 1,
    "bundle": "0123456789abcdef",
    "ticks": [{"note": "a" * 32, "done": True}, {"note": "b" * 32, "done": False}],
    "comment": "Felt better by the third piece 🚣",
    "self_test": [{"id": "q1", "answer": "legs first"}],
}
STATE = ReviewState(
    video=MediaRef("video", "film.mp4", 10, "c" * 64),
    notes=(Note("a" * 32, 1.0, "Hang."), Note("b" * 32, 2.0, "Sit tall.")),
)


def packed(**changes: Any) -> bytes:
    return json.dumps(GOOD | changes).encode()


def read(data: bytes) -> AthleteAnswers:
    return parse_answers(data, "answers.json")[0]


def test_what_the_page_writes_is_read() -> None:
    answers, left_out = parse_answers(packed(), "answers.json")
    assert left_out == ()
    assert answers == AthleteAnswers(
        "0123456789abcdef",
        (Tick("a" * 32, True), Tick("b" * 32, False)),
        "Felt better by the third piece 🚣",
        (SelfTest("q1", "legs first"),),
    )
    assert read(b"\xef\xbb\xbf" + packed(unknown={"deep": [1, 2]}, more=None)) == answers


@pytest.mark.parametrize(
    "data",
    [
        b"", b"null", b"[]", b"{}", b"\xff\xfe\x00", b'{"strokeside_answers": 1',
        packed(strokeside_answers=2), packed(strokeside_answers=True),
        packed(strokeside_answers="1"), packed(strokeside_answers=1.0),
        packed(comment=float("nan")), packed(comment=float("inf")),
        b'{"strokeside_answers": 1, "x": ' + b"[" * 100_000 + b"]" * 100_000 + b"}",
        b'{"strokeside_answers": 1, "x": ' + b'{"a":' * 5000,
        b" " * (MOST_BYTES + 1),
        b'{"strokeside_answers": ' + b"1" * 5000 + b"}",
    ],
)  # fmt: skip
def test_what_is_no_answer_is_refused_in_one_sentence(data: bytes) -> None:
    with pytest.raises(ReviewError) as refused:
        read(data)
    said = str(refused.value)
    assert said.startswith("answers.json") and said.endswith(".") and len(said) < 200


def test_pieces_of_a_wrong_kind_are_left_out_and_said() -> None:
    answers, left_out = parse_answers(
        packed(
            bundle=["x"],
            comment={"a": 1},
            ticks=[5, {"note": "../../etc", "done": True}, {"note": "ok", "done": 1},
                   {"note": "fine", "done": True}, {"note": "fine", "done": False}],
            self_test="yes",
        ),
        "answers.json",
    )  # fmt: skip
    assert answers == AthleteAnswers("", (Tick("fine", False),))
    assert len(left_out) == 3 and all(said.endswith(".") for said in left_out)


def test_long_and_many_is_bounded() -> None:
    many = [{"note": f"n{i}", "done": True} for i in range(5000)]
    answers, left_out = parse_answers(packed(comment="x" * 100_000, ticks=many), "a.json")
    assert len(answers.comment) <= LONGEST_COMMENT + 2 and len(answers.ticks) == 500
    assert len(left_out) == 2


def test_words_cannot_hide_or_turn_round() -> None:
    assert harmless("a\u202eb\u2066c\x00d\x1b[31m\u200be") == (
        "a‹U+202E›b‹U+2066›c‹U+0000›d‹U+001B›[31m‹U+200B›e"
    )
    assert harmless("\u200fשלום") == "\u200fשלום", "scripts from right to left need their marks"
    assert harmless("שלום 👩‍🚀 é\n\tok") == "שלום 👩‍🚀 é\n ok"
    assert harmless("a" + "\u0301" * 400).count("\u0301") <= 4
    assert harmless("\ud800x") == "\ufffdx"
    assert read(packed(comment="<script>alert(1)</script>")).comment == "<script>alert(1)</script>"


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)  # fmt: skip


def survives(data: bytes) -> None:
    """Read or refused in a sentence; what is read fits into a review."""
    try:
        answers = read(data)
    except ReviewError:
        return
    check_state(ReviewState(answers=(received_now(answers),)))
    for text in (answers.comment, *(t.answer for t in answers.self_test)):
        assert harmless(text) == text
        text.encode("utf-8")


@settings(deadline=None)
@given(st.fixed_dictionaries({}, optional=dict.fromkeys(GOOD, values)))
@example({"comment": "\ud800", "strokeside_answers": 1})
def test_any_json_is_read_or_refused(said: dict[str, Any]) -> None:
    survives(json.dumps({"strokeside_answers": 1} | said).encode())


@settings(deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    survives(data)


def test_bytes_changed_at_random_are_read_or_refused() -> None:
    rng = random.Random(5)
    whole = packed()
    for _ in range(1500):
        data = bytearray(whole)
        for _ in range(rng.randint(1, 6)):
            at = rng.randrange(len(data))
            if rng.random() < 0.3:
                del data[at : at + rng.randint(1, 20)]
            elif rng.random() < 0.5:
                data[at : at + 1] = rng.randbytes(rng.randint(0, 4))
            else:
                data[at] = rng.randrange(256)
            if not data:
                break
        survives(bytes(data))


def test_answers_know_their_review_and_wrong_ones_stay_apart() -> None:
    mine = AthleteAnswers(bundle_mark(STATE))
    assert len(bundle_mark(STATE)) == 16 and int(bundle_mark(STATE), 16) >= 0
    assert belongs(mine, STATE)
    assert belongs(AthleteAnswers("", (Tick("a" * 32, True),)), STATE)
    wrong = AthleteAnswers("f" * 16, (Tick("z" * 32, True),), id="1" * 32)
    assert not belongs(wrong, STATE)
    state = ReviewState(video=STATE.video, notes=STATE.notes, answers=(wrong,))
    assert ticked(state, "z" * 32) is None and ticked(state, "a" * 32) is None


def test_the_newest_answers_count_and_all_of_it_is_undoable(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, STATE)
    first = received_now(AthleteAnswers("", (Tick("a" * 32, False),), "not yet"))
    later = received_now(AthleteAnswers("", (Tick("a" * 32, True),)))
    review.do(AddAnswers(first))
    review.do(AddAnswers(later))
    assert ticked(review.state, "a" * 32) is True and ticked(review.state, "b" * 32) is None
    assert read_review(path) == review.state
    with pytest.raises(ReviewError, match="already"):
        review.do(AddAnswers(received_now(first)))
    review.do(RemoveAnswers(later.id))
    assert ticked(review.state, "a" * 32) is False
    review.undo()
    review.undo()
    assert review.state.answers == (first,)
    assert first.received.endswith("+00:00")


def letter(said: dict[str, Any], end: str = ":end]") -> bytes:
    """The text a page shares: words for people, and the same packed for the bench."""
    packed = base64.b64encode(json.dumps(said, ensure_ascii=False).encode()).decode()
    return f"Answers to Autumn\n\nNote 1: it hurts\n[strokeside-answers:{packed}{end}\n".encode()


def test_a_message_without_answers_is_refused_in_a_coach_s_words() -> None:
    with pytest.raises(ReviewError, match="it holds no answers, or it was cut off") as refused:
        parse_answers(b"hello coach, thanks", "The copied text")
    assert "JSON" not in str(refused.value)


def test_a_message_is_read_as_the_file_is() -> None:
    ticks = [
        {"note": "a" * 32, "done": False, "how": "hurts", "words": "left side 🚣"},
        {"note": "b" * 32, "done": True, "how": "got", "words": ""},
    ]
    said = GOOD | {"ticks": ticks}
    answers = read(letter(said))
    assert answers == read(json.dumps(said).encode())
    assert answers.ticks == (
        Tick("a" * 32, False, "hurts", "left side 🚣"), Tick("b" * 32, True, "got"),
    )  # fmt: skip
    assert hurts(answers) and first_things_first(answers.ticks[::-1])[0].how == "hurts"
    # Quoted in a reply, with its long line broken, and after an older one.
    before, line = letter(said).split(b"[strokeside-answers:")
    line, after = line.split(b":end]")
    broken = b"\r\n> ".join(line[i : i + 60] for i in range(0, len(line), 60))
    quoted = letter(GOOD) + before + b"[strokeside-answers:" + broken + b":end]" + after
    assert read(quoted) == answers


def test_a_message_that_lost_its_end_is_refused() -> None:
    with pytest.raises(ReviewError, match="cut off or changed"):
        read(letter(GOOD, end=""))
    with pytest.raises(ReviewError, match="cut off or changed"):
        read(b"[strokeside-answers:abcde:end]")


def test_what_is_no_answer_to_a_cue_is_left_out() -> None:
    tick = {"note": "a" * 32, "done": True, "how": "splendid", "words": 7}
    answers, left_out = parse_answers(packed(ticks=[tick]), "answers.json")
    assert answers.ticks == (Tick("a" * 32, True),)
    assert left_out == ("The words on a cue was no text and was left out.",)


def test_how_it_went_is_kept_in_the_file(tmp_path: Path) -> None:
    ticks = (Tick("a" * 32, False, "hurts", "left side"), Tick("b" * 32, True))
    review = Review.create(tmp_path / "a.review", STATE)
    review.do(AddAnswers(received_now(AthleteAnswers("", ticks))))
    review.close()
    (kept,) = read_review(tmp_path / "a.review").answers
    assert kept.ticks == ticks


def test_answers_of_before_open_without_the_table_that_came_later(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, STATE)
    review.do(AddAnswers(received_now(AthleteAnswers("", (Tick("a" * 32, True),)))))
    review.close()
    with sqlite3.connect(path) as file:
        file.execute("DROP TABLE IF EXISTS answer_how")
    file.close()
    (kept,) = read_review(path).answers
    assert kept.ticks == (Tick("a" * 32, True),)
