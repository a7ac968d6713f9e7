"""What lies in the folders beside a review is looked at as if a stranger had put it there."""

from __future__ import annotations

import json
import os
import stat
import struct
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.files import locks
from app.review import left_behind, walkthrough_reading
from app.review.file.store import read_review
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthrough_text import to_line
from app.review.recording import Place, Recording, folder_of, recover
from app.review.review import Review
from app.review.voice import new_id, to_wav
from app.review.walkthrough_journal import Journal, journal_folder, recover_walks
from app.review.wav_file import MOST_BYTES
from tests.helpers.lock_systems import SYSTEMS, child, kill

SECOND = struct.pack("<h", 1) * 48_000
HEAD = b'{"walkthrough":1,"title":"W","sound":false}\n'
SPEAK = """
from app.review.recording import Place, Recording
recording = Recording(Path(sys.argv[1]), Place(4.5))
recording.add(b"\\1\\0" * 48_000)
"""
WALK = """
from app.review.parts.walk_events import Moved
from app.review.walkthrough_journal import Journal
journal = Journal(Path(sys.argv[1]), "W", True)
journal.add(Moved(0.1, 3.0))
journal.sound.add(b"\\1\\0" * 48_000)
"""


@pytest.fixture
def review(tmp_path: Path) -> Review:
    return Review.create(tmp_path / "piece.review", ReviewState(title="Piece"))


def path_of(review: Review) -> Path:
    assert review.path is not None
    return review.path


def voices(review: Review) -> Path:
    folder = folder_of(path_of(review))
    folder.mkdir(exist_ok=True)
    return folder


def put_voice(review: Review, place: bytes = b'{"video_s": 2.0}') -> Path:
    """A voice as earlier versions left it: no lock, an empty header."""
    wav = voices(review) / f"{new_id()}.wav"
    wav.write_bytes(to_wav(b"") + SECOND)
    wav.with_suffix(".json").write_bytes(place)
    return wav


def put_walk(review: Review, *lines: bytes) -> Path:
    folder = journal_folder(path_of(review))
    folder.mkdir(exist_ok=True)
    path = folder / f"{new_id()}.jsonl"
    path.write_bytes(HEAD + b"\n".join(lines) + b'\n{"at_s":5.0,"is":"beat"}\n')
    return path


@pytest.mark.parametrize("system", ["own", "one byte"])
@pytest.mark.parametrize("work", [SPEAK, WALK], ids=["voice", "walkthrough"])
def test_no_window_takes_over_what_another_one_records_on_any_system(
    review: Review, system: str, work: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(locks, "lock_handle", SYSTEMS[system])
    if system == "one byte":  # earlier versions held nothing on Windows
        monkeypatch.setattr(left_behind, "_held_as_before", lambda path: False)
    take = recover if work is SPEAK else recover_walks
    other = child(system, work, str(path_of(review)))
    try:
        taken = take(Review.open(path_of(review)))
        assert taken == () and taken.left == ()
    finally:
        kill(other)
    assert take(Review.open(path_of(review))) == (1.0,)
    assert list(path_of(review).parent.iterdir()) == [path_of(review)]


def test_where_no_locks_are_known_a_running_recording_is_left_with_a_sentence(
    review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(locks, "lock_handle", SYSTEMS["none"])
    running = Recording(path_of(review), Place(1.0))
    running.add(SECOND)
    taken = recover(Review.open(path_of(review)))
    assert taken == () and "cannot tell" in taken.left[0] and running.id in taken.left[0]
    assert len(running.finish()) == len(to_wav(SECOND))
    running.discard()
    assert not folder_of(path_of(review)).exists()


def test_an_earlier_version_that_still_records_is_left_alone(review: Review) -> None:
    wav = put_voice(review)
    handle = os.open(wav, os.O_RDWR)
    assert locks.lock_handle(handle)  # it held the sound itself
    assert recover(review) == ()
    os.close(handle)
    assert recover(review) == (1.0,)


@pytest.mark.usefixtures("durable")
def test_the_note_is_on_the_disk_before_the_first_sample(
    review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[str] = []
    sync = os.fsync

    def noted(handle: int) -> None:
        at = os.fstat(handle)
        inside = {path.stat().st_ino: path.suffix for path in voices(review).iterdir()}
        folder = "folder" if at.st_ino == voices(review).stat().st_ino else "other"
        synced.append(folder if stat.S_ISDIR(at.st_mode) else inside.get(at.st_ino, "?"))
        sync(handle)

    monkeypatch.setattr(os, "fsync", noted)
    recording = Recording(path_of(review), Place(1.0, "drive", "n"))
    assert synced[-3:] == [".json", ".wav", "folder"] and "other" in synced[:-3]
    synced.clear()
    recording.add(SECOND)
    recording.finish()
    assert synced[-1] == ".wav"
    monkeypatch.undo()
    recording.discard()


def test_what_is_no_plain_file_is_never_read_and_costs_the_others_nothing(
    review: Review, tmp_path: Path
) -> None:
    secret = tmp_path / "secret.wav"
    secret.write_bytes(to_wav(b"") + SECOND)
    ids = [new_id() for _ in range(4)]
    folder = voices(review)
    (folder / f"{ids[0]}.wav").symlink_to(secret)
    os.mkfifo(folder / f"{ids[1]}.wav")
    (folder / f"{ids[2]}.wav").mkdir()
    (folder / f"{ids[3]}.wav").symlink_to("/dev/zero")
    put_voice(review)
    taken = recover(review)
    assert taken == (1.0,) and len(review.state.notes) == 1
    assert len(taken.left) == 4
    assert all("left where it is" in sentence for sentence in taken.left)
    assert {path.stem for path in folder.iterdir()} == set(ids)
    assert secret.exists()


def test_words_about_the_place_that_are_a_pipe_or_a_link_do_not_lose_the_voice(
    review: Review,
) -> None:
    wav = put_voice(review)
    wav.with_suffix(".json").unlink()
    os.mkfifo(wav.with_suffix(".json"))
    assert recover(review) == (1.0,)


def test_a_folder_that_leads_elsewhere_is_refused(review: Review, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / f"{new_id()}.wav").write_bytes(to_wav(b"") + SECOND)
    folder_of(path_of(review)).symlink_to(elsewhere)
    journal_folder(path_of(review)).symlink_to(elsewhere)
    assert recover(review) == () and recover(review).left and recover_walks(review).left
    with pytest.raises(OSError, match="no folder of its own"):
        Recording(path_of(review), Place(1.0))
    with pytest.raises(OSError, match="no folder of its own"):
        Journal(path_of(review), "W", with_sound=False)
    assert len(list(elsewhere.iterdir())) == 1


def test_a_sound_longer_than_any_voice_stays_on_the_disk(review: Review) -> None:
    wav = put_voice(review)
    with wav.open("r+b") as file:
        file.truncate(MOST_BYTES + 1000)  # takes no room on the disk
    taken = recover(review)
    assert taken == () and "larger than any recording" in taken.left[0] and wav.exists()
    assert review.state.notes == () and not review.unsaved


def test_names_that_are_no_ids_are_passed_over(review: Review) -> None:
    folder = voices(review)
    for name in ("notes.wav", "..wav", f"{'G' * 32}.wav", f"{'a' * 33}.wav", f"{'a' * 31}é.wav"):
        (folder / name).write_bytes(to_wav(b"") + SECOND)
    before = sorted(folder.iterdir())
    taken = recover(review)
    assert taken == () and taken.left == () and sorted(folder.iterdir()) == before


@pytest.mark.parametrize(
    "place",
    [
        b"", b"[]", b"3", b"null", b"[" * 100_000, b'{"video_s": NaN}', b'{"video_s": 1e999}',
        b'{"video_s": -Infinity}', b'{"video_s": ' + b"9" * 400 + b"}", b'{"video_s": true}',
        b'{"video_s": "x", "phase": [], "note_id": {}}', b'{"phase": "\\ud800"}', b"\xff\xfe\x00",
        b'{"note_id": "\\ud800"}', b" " * 100_000, b'{"video_s": ' + b"9" * 5000 + b"}",
    ],
)  # fmt: skip
def test_words_about_the_place_that_say_nothing_do_not_lose_the_voice(
    review: Review, place: bytes
) -> None:
    put_voice(review, place)
    assert recover(review) == (1.0,)
    (note,) = review.state.notes
    assert (note.video_s, note.phase) == (0.0, "")
    assert read_review(path_of(review)) == review.state


def test_what_is_readable_of_the_place_is_taken(review: Review) -> None:
    put_voice(review, b'{"video_s": 2.5, "phase": 7}')
    recover(review)
    assert review.state.notes[0].video_s == 2.5


def test_words_without_a_sound_go_when_they_are_old(review: Review) -> None:
    alone = voices(review) / f"{new_id()}.json"
    alone.write_text("{}")
    assert recover(review) == () and alone.exists()  # an earlier version may just begin
    os.utime(alone, (1.0, 1.0))
    assert recover(review) == () and not voices(review).joinpath(alone.name).exists()


BAD_LINES = (
    b"[" * 100_000,
    b'{"at_s":' + b"[" * 50_000,
    b"\xff\xfe\x00\xd8",
    b'{"at_s":NaN,"is":"moved","says":{"video_s":1}}',
    b'{"at_s":1,"is":"moved","says":{"video_s":NaN}}',
    b'{"at_s":1,"is":"moved","says":{"video_s":1e300}}',
    b'{"at_s":1e300,"is":"beat"}',
    b'{"at_s":' + b"9" * 400 + b',"is":"beat"}',
    b'{"at_s":' + b"9" * 5000 + b',"is":"beat"}',
    b'{"at_s":-1,"is":"moved","says":{"video_s":1}}',
    b'{"at_s":1,"is":"shown","says":{"what":"\\ud800","ref":""}}',
    b'{"at_s":1,"is":"shown","says":{"what":{},"ref":[]}}',
    b'{"at_s":1,"is":"turned","says":{"quarter_turns":"1","mirrored":0,"lift":[]}}',
    b'{"at_s":1,"is":"zoomed","says":{"factor":Infinity,"x":0,"y":0}}',
    b'{"at_s":1,"is":"mark","says":{"mark":[]}}',
    b'{"at_s":1,"is":"mark","says":{"mark":{"id":{},"kind":"line","points_px":[[0,0],[1,1]]}}}',
    b'{"at_s":1,"is":"mark","says":{"mark":{"id":"a","kind":"line","points_px":[[0,NaN],[1,1]]}}}',
    b'{"at_s":1,"is":"laid","says":{"look":{"fit":{"scale":"x"}}}}',
    b'{"at_s":1,"is":"curve","says":{"on":"yes"}}',
    b'{"at_s":1,"is":[],"says":{}}',
    b'{"at_s":1,"is":"mov',
    b"null",
    b'"walkthrough"',
    b"[1]",
    b"7",
)


@pytest.mark.parametrize("bad", BAD_LINES, ids=lambda line: line[:40].decode("latin-1"))
def test_a_bad_line_costs_itself_alone(review: Review, bad: bytes) -> None:
    good = (Moved(0.5, 1.0), Moved(2.0, 3.0))
    put_walk(review, to_line(good[0]).strip(), bad, to_line(good[1]).strip())
    taken = recover_walks(review)
    assert taken == (5.0,) and taken.left == ()
    assert review.state.walkthroughs[0].score.events == good
    assert read_review(path_of(review)) == review.state


def test_every_kind_of_event_that_is_written_is_read_back(review: Review) -> None:
    from app.review.parts.comparisons import PairLook
    from app.review.parts.marks import new_mark
    from app.review.parts.walk_events import (
        CurveShown,
        Laid,
        MarkDrawn,
        MarkGone,
        Ran,
        Shown,
        Turned,
        Zoomed,
    )

    mark = new_mark("line", [(0, 0), (10, 10)], 1.0, end_s=2.0)
    events = (
        Moved(0.0, 1.0), Ran(0.5, 1.0, -0.25), MarkDrawn(1.0, mark), MarkGone(1.5, mark.id),
        Turned(2.0, 1, True, 0.5), Zoomed(2.5, 2.0, 0.5, 0.5), CurveShown(3.0, False),
        Shown(3.5, "strip", "4"), Laid(4.0, PairLook()),
    )  # fmt: skip
    put_walk(review, *(to_line(event).strip() for event in events))
    assert recover_walks(review) == (5.0,)
    assert review.state.walkthroughs[0].score.events == events


json_like = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(("at_s", "is", "says", "mark", "look", "fit", "walkthrough", "title")),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)
KINDS = ("moved", "ran", "mark", "mark_gone", "turned", "zoomed", "curve", "shown", "laid", "beat")
event_like = st.fixed_dictionaries(
    {"at_s": st.floats() | json_like, "is": st.sampled_from(KINDS), "says": json_like}
)

written = (json_like | event_like).map(lambda value: json.dumps(value).encode())


@settings(max_examples=30, deadline=None)
@given(st.lists(st.binary(max_size=60) | written, max_size=5))
def test_no_line_whatsoever_raises_or_spoils_the_file(tmp_path_factory, lines: list[bytes]) -> None:
    path = tmp_path_factory.mktemp("walk") / "a.review"
    review = Review.create(path, ReviewState())
    put_walk(review, *lines)
    recover_walks(review)
    assert read_review(path) == review.state


@pytest.mark.parametrize("bound", ["MOST_LINE", "MOST_EVENTS"])
def test_a_journal_larger_than_any_stays_on_the_disk(
    review: Review, bound: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(walkthrough_reading, bound, 100)
    good = put_walk(review, to_line(Moved(0.5, 1.0)).strip())
    line = b'{"at_s":1.0,"is":"beat"}'
    lines = [line + b" " * 100] if bound == "MOST_LINE" else [line] * 101
    large = put_walk(review, *lines)
    taken = recover_walks(review)
    assert taken == (5.0,) and not good.exists() and large.exists()
    (sentence,) = taken.left
    assert large.name in sentence and "larger than any recording" in sentence


def test_a_walkthrough_whose_voice_is_a_link_is_left(review: Review, tmp_path: Path) -> None:
    path = put_walk(review, to_line(Moved(0.5, 1.0)).strip())
    path.with_suffix(".wav").symlink_to(tmp_path / "nowhere")
    assert recover_walks(review) == () and path.exists()


def test_a_voice_that_cannot_be_kept_is_not_taken_for_one_that_was(
    review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its sound alone in the file would make the next opening tidy the recording away."""
    from app.review import recording
    from app.review.parts.notes import AddNote, new_note
    from app.review.values.errors import ReviewError

    wav = put_voice(review)

    def refuses(_state: ReviewState) -> None:
        raise ReviewError("no")

    with monkeypatch.context() as patch:
        patch.setattr(recording, "check_state", refuses)
        taken = recover(review)
        assert taken == () and "could not be taken" in taken.left[0]
    review.do(AddNote(new_note(1.0, "saved")))
    assert wav.exists() and recover(Review.open(path_of(review))) == (1.0,)


def test_a_folder_found_empty_and_tidied_away_in_between_is_made_anew(
    review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, calls = locks.take, []

    def late(path: Path) -> locks.Lock | None:
        if not calls:
            path.parent.rmdir()
        calls.append(path)
        return take(path)

    monkeypatch.setattr(locks, "take", late)
    recording = Recording(path_of(review), Place(1.0))
    assert len(calls) == 2
    recording.finish()
    recording.discard()
