"""What tests/benchmarks/document tries at length, small and always the same.

A process killed after a system call leaves what it had asked for until then; so a recording of the
calls, played up to any of them, is a kill at that instant. A power cut leaves less, see disk.py.
"""

import random
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import pytest

from app.commands import program as commands
from app.review.parts.notes import AddNote, EditNote, Note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from tests.benchmarks.document import actor, letter_cost, mutations
from tests.benchmarks.document.disk import File, Folder
from tests.benchmarks.document.partner import answers_file
from tests.benchmarks.document.power_cuts import Recording, cut_power, lost
from tests.benchmarks.document.system_calls import is_available
from tests.benchmarks.document.trial import OLD, Child, fork_server, said, state_of
from tests.benchmarks.document.work import (
    closing,
    create_rich,
    examine,
    id_of,
    sound_ids,
    sounds_in,
    states_after,
    wav_of,
)

CUTS = 20
T = TypeVar("T")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "piece.review"


def may(make: Callable[[random.Random], T], times: int = 200) -> set[T]:
    """What may come of something that is drawn."""
    return {make(random.Random(seed)) for seed in range(times)}


def test_the_disk_keeps_what_was_synced_and_may_lose_the_rest_sector_by_sector() -> None:
    file = File()
    file.write(0, b"a" * 1024)
    assert may(lambda rng: file.after_cut(rng, "none")) == {b""}
    assert may(lambda rng: file.after_cut(rng, "all")) == {b"a" * 1024}
    file.sync()
    assert may(lambda rng: file.after_cut(rng, "some")) == {b"a" * 1024}
    file.write(0, b"b" * 1024)
    seen = {tuple(data[::512]) for data in may(lambda rng: file.after_cut(rng, "some"))}
    assert seen == {tuple(text) for text in (b"aa", b"ab", b"ba", b"bb")}
    file.resize(0)
    sizes = {len(data) for data in may(lambda rng: file.after_cut(rng, "some"))}
    assert sizes == {0, 1024}


def test_names_come_and_go_in_their_order_until_the_folder_is_synced(tmp_path: Path) -> None:
    folder = Folder({"piece": File(bytearray(b"old"))})
    folder.change({"part": File(bytearray(b"new"))})
    folder.change({"part": None, "piece": folder.now()["part"]})

    def names(rng: random.Random) -> tuple[str, ...]:
        place = tmp_path / "cut"
        folder.after_cut(place, rng, "some")
        found = tuple(f"{p.name}: {p.read_text()}" for p in sorted(place.iterdir()))
        shutil.rmtree(place)
        return found

    assert may(names) == {
        ("piece: old",),
        ("part: new", "piece: old"),
        ("piece: new",),
    }
    folder.sync()
    assert may(names) == {("piece: new",)}


needs_strace = pytest.mark.skipif(not is_available(), reason="strace is not here")


@needs_strace
def test_the_trial_finds_what_power_cuts_cost_a_bare_database() -> None:
    full = cut_power(Recording("plain", 1, 6), 4 * CUTS)
    extra = cut_power(Recording("plain_extra", 1, 6), 4 * CUTS)
    assert full["last acknowledged change lost"] > 0
    assert lost(extra) == 0


@pytest.fixture(scope="module")
def recorded_changes() -> Recording:
    return Recording("changes", 3, 12)


@needs_strace
def test_no_power_cut_costs_an_acknowledged_change(recorded_changes: Recording) -> None:
    assert lost(cut_power(recorded_changes, CUTS)) == 0


@needs_strace
def test_no_kill_costs_an_acknowledged_change(recorded_changes: Recording) -> None:
    tally = cut_power(recorded_changes, CUTS, modes=("all",))
    assert lost(tally) == 0 and len(tally) > 1


@needs_strace
@pytest.mark.parametrize("job", ["creating", "saving_as", "migrating"])
def test_making_moving_and_migrating_survive_power_cuts(job: str) -> None:
    original = OLD[0] if job == "migrating" else None
    assert lost(cut_power(Recording(job, 1, 1, original), CUTS)) == 0


def test_a_real_kill_leaves_every_acknowledged_change(tmp_path: Path) -> None:
    actor.prepare("changes", tmp_path)
    path = tmp_path / actor.NAME
    context = fork_server()
    for seed in range(3):
        start = state_of(path)
        child = Child(context, actor.changes, tmp_path, seed, 1_000_000)
        child.wait_for(10 + 7 * seed)
        far = said(child.end(kill=True))
        assert far.acknowledged > 0
        states = states_after(start, seed, far.begun)
        assert examine(path, states, far.acknowledged).is_whole


@pytest.mark.parametrize("original", OLD, ids=lambda p: p.stem)
def test_a_genuine_older_review_comes_along_whole(path: Path, original: Path) -> None:
    shutil.copyfile(original, path)
    db = sqlite3.connect(f"{original.absolute().as_uri()}?mode=ro", uri=True)
    notes = db.execute("SELECT id, video_s, end_s, text, stroke FROM note ORDER BY place")
    marks = db.execute("SELECT id, kind, colour, text, video_s, end_s FROM mark ORDER BY place")
    decided = db.execute("SELECT code, kept, note_id FROM decision ORDER BY place")
    told = [list(rows) for rows in (notes, marks, decided)]
    db.close()
    with closing(Review.open(path)) as review:
        review.do(AddNote(Note("last", 900.0, "written today")))
        assert review.save()
    with closing(Review.open(path)) as review:
        state = review.state
        there = {id_: review.sound(id_) for id_ in sound_ids(state)}
        logo = review.logo()
    assert state.notes[-1].text == "written today"
    assert [(n.id, n.video_s, n.end_s, n.text, n.stroke) for n in state.notes[:-1]] == told[0]
    assert [(m.id, m.kind, m.colour, m.text, m.video_s, m.end_s) for m in state.marks] == told[1]
    assert [(d.code, d.kept, d.note_id) for d in state.decisions] == told[2]
    assert there == sounds_in(original) and len(there) == (1 if original == OLD[0] else 2)
    assert state.target is not None and state.target.name == "steady"
    if original != OLD[0]:
        (walk,) = state.walkthroughs
        assert (walk.title, len(walk.score.events), walk.captions[0].text) == (
            "The catch",
            3,
            "here",
        )
        assert len(state.blurs[0].keyframes) == 60 and logo is not None
        assert state.comparisons[0].text == "Longer." and state.answers[0].comment == "Lighter."
        assert state.sending.next_session == "Film the left." and state.self_test is not None


@pytest.fixture(scope="module")
def two_versions(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, bytes, ReviewState]:
    return mutations.two_versions(tmp_path_factory.mktemp("rich"), 40)


@pytest.mark.parametrize("kind", ["cut off", "first page wiped", "rubbish behind"])
def test_a_damaged_file_opens_whole_or_is_refused_in_words(
    path: Path, kind: str, two_versions: tuple[bytes, bytes, ReviewState]
) -> None:
    data, older, state = two_versions
    for seed in range(6):
        path.write_bytes(mutations.damaged(data, older, kind, random.Random(seed)))
        outcome = mutations.tried(path, state)
        assert outcome.word in mutations.GOOD, outcome


def test_a_damaged_voice_is_never_played_as_if_it_were_whole(
    path: Path, two_versions: tuple[bytes, bytes, ReviewState]
) -> None:
    data, _, state = two_versions
    id_ = sound_ids(state)[0]
    wav = wav_of(id_, mutations.SIZES)
    at = data.index(wav[9_000:9_064])  # within one page
    path.write_bytes(data[:at] + bytes([data[at] ^ 16]) + data[at + 1 :])
    with closing(Review.open(path)) as review, pytest.raises(ReviewError):
        review.sound(id_)


def test_two_windows_lose_nothing_that_either_was_told_is_saved(path: Path) -> None:
    with closing(Review.create(path, ReviewState())):
        pass
    told: list[str] = []
    acknowledged = set()
    with closing(Review.open(path)) as one, closing(Review.open(path)) as two:
        one.on_save_error = two.on_save_error = told.append
        for i, window in enumerate((one, two, one, two)):
            window.do(AddNote(Note(id_of(1, i), 1.0)))
            if window.save():
                acknowledged |= {n.id for n in window.state.notes}
            else:
                assert told, "nothing was said"
    assert id_of(1, 0) in acknowledged
    assert acknowledged <= {n.id for n in state_of(path).notes}


def test_the_command_says_done_only_when_the_answers_are_in_the_file(
    path: Path, tmp_path: Path
) -> None:
    with closing(Review.create(path, ReviewState())):
        pass
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")  # read it may be, written not
    code = commands.main(["answers", str(path), str(answers_file(tmp_path, "heavy legs"))])
    other.close()
    kept = [a.comment for a in state_of(path).answers] == ["heavy legs"]
    assert (code == commands.DONE) == kept


def test_a_file_renamed_while_open_costs_no_voice_in_silence(path: Path) -> None:
    create_rich(path)
    told: list[str] = []
    with closing(Review.open(path)) as review:
        review.on_save_error = told.append
        path.rename(path.with_name("renamed.review"))
        review.do(AddNote(Note("new", 1.0)))
        saved = review.save()
    if saved:
        found = path if path.exists() else path.with_name("renamed.review")
        with closing(Review.open(found)) as review:
            assert all(review.sound(id_) == wav_of(id_) for id_ in sound_ids(review.state))
            assert "new" in {n.id for n in review.state.notes}
    else:
        assert told


def test_a_stick_pulled_out_and_put_back_costs_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    path = folder / "piece.review"
    create_rich(path)
    told: list[str] = []
    with closing(Review.open(path)) as review:
        review.on_save_error = told.append
        folder.rename(tmp_path / "away")
        review.do(AddNote(Note("meanwhile", 1.0)))
        assert not review.save() and told
        (tmp_path / "away").rename(folder)
        review.do(AddNote(Note("after", 1.0)))
        assert review.save()
        state = review.state
    assert examine(path, [state], 0).is_whole
    assert {"meanwhile", "after"} <= {n.id for n in state.notes}


@pytest.mark.skipif(not Path("/proc/self/io").exists(), reason="this system counts no bytes")
def test_a_letter_costs_no_more_bytes_where_there_is_more_in_the_review(tmp_path: Path) -> None:
    typed = Note("typed", 1.0, "Hands away")
    cost = {}
    for size in (0, 400):
        path = tmp_path / f"{size}.review"
        state = letter_cost.many(ReviewState(notes=(typed,)), size, 4 * size)
        with closing(Review.create(path, state)) as review:
            review.do(EditNote("typed", text="Hands away b"))
            assert review.save()
            before = letter_cost.written_bytes()
            review.do(EditNote("typed", text="Hands away be"))
            assert review.save()
            cost[size] = letter_cost.written_bytes() - before
        assert replace(state_of(path).notes[0], text="") == replace(typed, text="")
    assert cost[400] <= 2 * cost[0], cost
