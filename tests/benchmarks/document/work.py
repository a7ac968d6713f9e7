"""A day of a coach's work as a stream of changes that always goes the same way.

`Stream(seed)` does step after step on a review. Done again on a review without a file, it tells
what each step must have left; so nothing has to be believed of the file that is put to the test.
"""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.target import TargetCurve
from analysis.force.trace import ColumnMapping
from app.review.parts.answers import AthleteAnswers, SelfTest, Tick
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.comparisons import Comparison
from app.review.parts.curve_marks import CurveMark
from app.review.parts.findings import Decision
from app.review.parts.marks import AddMark, DeleteMark, EditMark, Mark
from app.review.parts.media import MediaRef
from app.review.parts.notes import AddNote, AddVoiceNote, DeleteNote, EditNote, Note, Voice
from app.review.parts.self_test import SelfTest as StrokesToTell
from app.review.parts.self_test import SelfTestItem
from app.review.parts.sending import SendingPlan, WriteWords
from app.review.parts.state import ReviewState
from app.review.parts.target import SetTarget
from app.review.parts.walk_events import MarkDrawn, Moved, Ran, Score
from app.review.parts.walkthroughs import Caption, Cut, Walkthrough
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef
from app.review.voice import TrimVoice, to_wav, voice_of

WORDS = "Hands away before the trunk rocks over. "
SOUND_BYTES = (100_000, 400_000)


def pcm_of(sound_id: str, sizes: tuple[int, int] = SOUND_BYTES) -> bytes:
    """Noise that follows from the id alone: the check needs no copy of it."""
    rng = random.Random(sound_id)
    return rng.randbytes(rng.randrange(*sizes) // 2 * 2)


@lru_cache(64)
def wav_of(sound_id: str, sizes: tuple[int, int] = SOUND_BYTES) -> bytes:
    """The same as a WAV file."""
    return to_wav(pcm_of(sound_id, sizes))


def id_of(seed: int, k: int) -> str:
    """An id of 32 hexadecimal digits for what step k of a stream makes."""
    return f"5{seed:015x}{k:016x}"


def _rich(kind: int, i: int) -> str:
    """An id of what a review begins with; no stream has a seed so large."""
    return id_of((1 << 40) + kind, i)


def voice_note(sound_id: str, video_s: float, sizes: tuple[int, int] = SOUND_BYTES) -> Note:
    """A spoken note; its own id is that of its sound."""
    return Note(sound_id, video_s, voice=voice_of(sound_id, pcm_of(sound_id, sizes)))


def rich_state(notes: int = 12, sizes: tuple[int, int] = SOUND_BYTES) -> ReviewState:
    """Something of everything a review holds."""
    many = tuple(Note(_rich(0, i), 1.5 * i, f"{WORDS}{i}", stroke=i) for i in range(notes))
    spoken = tuple(voice_note(_rich(1, i), 100.0 + i, sizes) for i in range(3))
    marks = tuple(
        Mark(_rich(2, i), "arrow", ((i, 10.0), (90.5, 70.25)), "blue", "", 1.0 * i)
        for i in range(10)
    )
    walk = _rich(3, 0)
    events = (Moved(0.0, 1.0), Ran(0.5, 1.0, 0.25), MarkDrawn(1.0, marks[0]), Moved(2.0, 2.5))
    ours = StrokeRef("", 1.0, 1.9, 3.4, "today")
    theirs = StrokeRef(_rich(4, 0), 2.0, 2.8, 4.1, "the one to row like")
    keys = tuple(BlurKey(i / 30, 300.0 + i, 200.0, 60.0, 80.0, i == 0) for i in range(200))
    return ReviewState(
        title="Steady piece",
        athlete="Zoë 🚣",
        video=MediaRef("video", "films/piece.mp4", 123, "ab" * 32, capture_fps=240.0),
        trace=MediaRef("trace", "force.csv", 45, "cd" * 32, ColumnMapping(1, "N", 0, "s")),
        alignment=Alignment(3.37, 40.0, 0.02, "by hand", False),
        pairs=(Pair(4.0, 0.63), Pair(20.0, 16.63)),
        notes=(*many, *spoken),
        target=TargetCurve("length", freehand=((0.0, 0.0), (50.0, 1.0)), name="steady"),
        decisions=(Decision("give", True, many[0].id), Decision("peaky", False)),
        thresholds=(("hard-catch.first-fifth", 60.0),),
        marks=marks,
        metres_per_px=0.002,
        curve_marks=(CurveMark(_rich(5, 0), "line", "time", ((10.0, 200.0), (60.0, 480.0))),),
        sending=SendingPlan(opening="Well rowed.", next_session="Film from the left.", coach="K"),
        blurs=(BlurRegion(_rich(6, 0), keys, unsure=((1.0, 1.5),)),),
        answers=(
            AthleteAnswers("0" * 16, (Tick(many[0].id, True),), "It felt lighter.",
                           (SelfTest("q1", "the left one"),), _rich(7, 0),
                           "2026-01-02T03:04:05+00:00"),
        ),
        comparisons=(Comparison(_rich(8, 0), ours, theirs, "then and now", text="Longer."),),
        self_test=StrokesToTell((SelfTestItem(_rich(9, 0), ours, True, "Legs first."),), 3, "?"),
        walkthroughs=(
            Walkthrough(walk, "The catch", Score(events, _rich(3, 1)), 3.0, "",
                        cuts=(Cut(0.2, 0.4),), captions=(Caption("c", 1.0, 2.0, "here"),)),
        ),
    )  # fmt: skip


def sound_ids(state: ReviewState) -> tuple[str, ...]:
    """The sounds a state refers to."""
    spoken = [n.voice.id for n in state.notes if isinstance(n.voice, Voice)]
    return (*spoken, *(w.sound_id for w in state.walkthroughs if w.sound_id))


def create_rich(
    path: Path, state: ReviewState | None = None, sizes: tuple[int, int] = SOUND_BYTES
) -> None:
    """Write a review with everything in it, sounds too."""
    state = rich_state() if state is None else state
    with closing(Review.create(path, replace(state, notes=()))) as review:
        for id_ in sound_ids(state):
            review.keep_sound(id_, wav_of(id_, sizes))
        for note in state.notes:
            review.do(AddNote(note), save=False)
        if not review.save():
            raise RuntimeError("the review to begin with could not be saved")


@contextmanager
def closing(review: Review) -> Iterator[Review]:
    """Close a review afterwards where this code has reviews that are closed."""
    try:
        yield review
    finally:
        close = getattr(review, "close", None)
        if close is not None:
            close()


class Stream:
    """Changes drawn by a seed and by what the review holds at each step.

    Parameters
    ----------
    big : whether voices are among them
    """

    def __init__(self, seed: int, big: bool = True) -> None:
        self.seed = seed
        self._rng = random.Random(seed)
        self._big = big
        self._k = 0

    def step(self, review: Review) -> None:
        """Make the next change; the caller saves."""
        k, rng, state = self._k, self._rng, review.state
        self._k += 1
        what = rng.random()
        at_s = round(rng.uniform(0.0, 300.0), 3)
        if what < 0.06 and review.undo_label:
            review.undo()
        elif what < 0.08 and review.redo_label:
            review.redo()
        elif what < 0.16 and len(state.notes) > 5:
            review.do(DeleteNote(rng.choice(state.notes).id))
        elif what < 0.19 and len(state.marks) > 3:
            review.do(DeleteMark(rng.choice(state.marks).id))
        elif what < 0.26 and self._big:
            sound = id_of(self.seed, k)
            review.keep_sound(sound, wav_of(sound))
            review.do(AddVoiceNote(voice_note(sound, at_s)))
        elif what < 0.30 and sound_ids(state):
            spoken = [n.id for n in state.notes if n.voice is not None]
            if spoken:
                review.do(TrimVoice(rng.choice(spoken), start_s=rng.uniform(0.0, 0.2)))
        else:
            self._draw_or_write(review, k, what, at_s)

    def _draw_or_write(self, review: Review, k: int, what: float, at_s: float) -> None:
        rng, state, new = self._rng, review.state, id_of(self.seed, k)
        if what < 0.40:
            points = tuple((rng.uniform(0, 1920), rng.uniform(0, 1080)) for _ in range(40))
            review.do(AddMark(Mark(new, "freehand", points, "red", "", at_s)))
        elif what < 0.46 and state.marks:
            moved = ((rng.uniform(0, 1920), 1.0), (2.0, 3.0))
            review.do(EditMark(rng.choice(state.marks).id, points_px=moved, gesture=new))
        elif what < 0.49:
            review.do(WriteWords("opening", state.sending.opening + rng.choice("abc ")))
        elif what < 0.51:
            review.do(SetTarget(TargetCurve(level_n=rng.uniform(300, 700), name=new)))
        elif what < 0.75 and state.notes:
            note = rng.choice(state.notes[-3:])
            review.do(EditNote(note.id, text=note.text + rng.choice("abcdefgh ")))
        else:
            review.do(AddNote(Note(new, at_s, WORDS * rng.randrange(1, 8), phase="drive")))


def states_after(start: ReviewState, seed: int, steps: int, big: bool = True) -> list[ReviewState]:
    """What a stream leaves after 0, 1, ... steps, made in memory alone."""
    review, stream = Review(start), Stream(seed, big)
    states = [start]
    for _ in range(steps):
        stream.step(review)
        states.append(review.state)
    return states


@dataclass(frozen=True)
class Found:
    """What came of opening a file after something happened to it.

    Attributes
    ----------
    outcome : one of the words of `examine`
    said : the sentence or the traceback's last line
    state : what it held, None where it did not open
    """

    outcome: str
    said: str = ""
    state: ReviewState | None = None

    @property
    def is_whole(self) -> bool:
        """Whether everything acknowledged was there."""
        return self.outcome.startswith("whole")


def examine(
    path: Path,
    states: Sequence[ReviewState],
    acknowledged: int,
    sounds: Mapping[str, bytes] | None = None,
) -> Found:
    """Open a review and say what it holds.

    Parameters
    ----------
    states : what the steps leave, the last one that of the change that was interrupted
    acknowledged : index of the state that was acknowledged last
    sounds : the WAV files of the voices; without them those that follow from their ids
    """
    try:
        with closing(Review.open(path)) as review:
            state = review.state
            for id_ in sound_ids(state):
                if review.sound(id_) != (wav_of(id_) if sounds is None else sounds[id_]):
                    return Found("sound changed", id_, state)
    except ReviewError as error:
        return Found("refused" if path.exists() else "file gone", str(error))
    except Exception as error:  # noqa: BLE001 - any other is what is looked for
        return Found("traceback", f"{type(error).__name__}: {error}")
    problem = integrity(path)
    if problem:
        return Found("integrity", problem, state)
    # A review gets an identity of its own when it is made or goes on in another file.
    state = replace(state, review_id=states[0].review_id)
    if state in states[acknowledged + 1 :]:
        return Found("whole, with the interrupted change", "", state)
    if state == states[acknowledged]:
        return Found("whole, without the interrupted change", "", state)
    if state in states[:acknowledged]:
        back = acknowledged - max(i for i in range(acknowledged) if states[i] == state)
        word = "last acknowledged change lost" if back == 1 else "several acknowledged lost"
        return Found(word, f"{back} back", state)
    return Found("neither state", "", state)


def sounds_in(path: Path) -> dict[str, bytes]:
    """The voices of a file of schema 1 or 2, read without the code under trial."""
    db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    sounds = dict(db.execute("SELECT id, wav FROM voice_sound"))
    db.close()
    return sounds


def integrity(path: Path) -> str:
    """What SQLite's own check says against a file; "" for nothing."""
    db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    try:
        said = [str(row[0]) for row in db.execute("PRAGMA integrity_check(3)")]
        keys = db.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        return str(error)
    finally:
        db.close()
    return "" if said == ["ok"] and not keys else "; ".join([*said, *map(str, keys[:3])])
