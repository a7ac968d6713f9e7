"""Write a review with something of everything, with whatever version of the code runs this.

``python make_review.py FILE`` in the top folder of that version; see README.md beside this file.
"""

import dataclasses
import random
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path.cwd()))

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.coast_down import FlywheelModel
from analysis.force.target import TargetCurve
from analysis.force.trace import ColumnMapping
from app.review.changes import AddNote
from app.review.marks import Mark
from app.review.parts.state import Decision, MediaRef, Note, PictureTurn, ReviewState
from app.review.review import Review
from app.review.voice import AddVoiceNote, to_wav, voice_of

HAS_2 = any(field.name == "walkthroughs" for field in dataclasses.fields(ReviewState))


def an_id(kind: int, i: int = 0) -> str:
    return f"{kind:016x}{i:016x}"


def of_version_1() -> ReviewState:
    texts = (
        "Hands away before the trunk rocks over",
        "התפיסה מאוחרת",
        "🚣🏽‍♀️ early\nwith the trunk",
    )
    notes = tuple(
        Note(an_id(1, i), 1.25 + 2 * i, f"{texts[i % 3]} {i}", 2.5 + 2 * i if i % 2 else None,
             ("catch", "drive", "")[i % 3], ("arms", "", "back")[i % 3], i if i % 2 else None)
        for i in range(24)
    )  # fmt: skip
    kinds = {
        "line": 2,
        "arrow": 2,
        "freehand": 9,
        "circle": 2,
        "angle": 3,
        "text": 1,
        "distance": 2,
    }
    marks = tuple(
        Mark(an_id(2, i), kind, tuple((10.5 * j, 20.25 + j + i) for j in range(points)), "red",
             "longer here" if kind == "text" else "", 3.0 + i, 5.0 + i if i % 2 else None)
        for i, (kind, points) in enumerate(kinds.items())
    )  # fmt: skip
    return ReviewState(
        title="Steady piece",
        athlete="Zoë 🚣",
        video=MediaRef("video", "../films/piece.mp4", 123, "ab" * 32, capture_fps=240.0),
        trace=MediaRef("trace", "force.csv", 45, "cd" * 32, ColumnMapping(1, "lbf", 0, "ms")),
        alignment=Alignment(3.37, 40.0, 0.02, "by hand", False),
        pairs=(Pair(4.0, 0.63), Pair(20.0, 16.63)),
        notes=notes,
        target=TargetCurve("length", freehand=((0.0, 0.0), (50.0, 1.0)), name="steady"),
        turn=PictureTurn(1, True, 0.5),
        decisions=(Decision("give", True, an_id(1, 3)), Decision("peaky", False)),
        thresholds=(("hard-catch.first-fifth", 60.0),),
        flywheel=FlywheelModel(0.11, 1.5e-4, 0.0115, 0.01, 1e-5),
        marks=marks,
        metres_per_px=0.00215,
    )


def of_version_2(state: ReviewState) -> ReviewState:
    from app.review.answers import AthleteAnswers, Tick
    from app.review.answers import SelfTest as Answered
    from app.review.comparison import Comparison, SelfTest, SelfTestItem, StrokeRef
    from app.review.curve_marks import CurveMark
    from app.review.parts.blur import BlurKey, BlurRegion
    from app.review.reference import Reference
    from app.review.sending import SendingPlan
    from app.review.walkthrough import Caption, Cut, MarkDrawn, Moved, Ran, Score, Walkthrough

    ours = StrokeRef("", 1.0, 1.9, 3.4, "today")
    theirs = StrokeRef("../may/may.review", 2.0, 2.8, 4.1, "in May")
    keys = tuple(BlurKey(i / 30, 300.0 + i, 200.0, 60.0, 80.0, i in (0, 30)) for i in range(60))
    events = (Moved(0.0, 1.0), Ran(0.5, 1.0, 0.25), MarkDrawn(0.1, state.marks[0]))
    ticks = (Tick(state.notes[0].id, True), Tick(state.notes[1].id, False))
    return dataclasses.replace(
        state,
        curve_marks=(CurveMark(an_id(3), "line", "time", ((10.0, 200.0), (60.0, 480.0)), "blue"),),
        sending=SendingPlan((state.notes[2].id, state.notes[0].id), "Well rowed.", "Film the left.",
                            "de", "mail", "K", "", True, True, False, (an_id(5),)),
        blurs=(BlurRegion(an_id(4), keys, 0.0, 9.0, ((1.0, 1.5),)),),
        answers=(AthleteAnswers("0" * 16, ticks, "Lighter.", (Answered("q1", "the left one"),),
                                an_id(6), "2026-01-02T03:04:05+00:00"),),
        comparisons=(Comparison(an_id(5), ours, theirs, "then and now", text="Longer."),),
        self_test=SelfTest((SelfTestItem(an_id(7), ours, True, "Legs first."),), 3, "Which?"),
        reference=Reference("Clean catch", "left", 22.0, "club", "the hands", 1.0, 1.9, 3.4),
        walkthroughs=(Walkthrough(an_id(8), "The catch", Score(events, an_id(8, 1)), 0.1,
                                  an_id(8, 2), cuts=(Cut(0.01, 0.08),),
                                  captions=(Caption(an_id(8, 3), 0.0, 0.1, "here"),)),),
    )  # fmt: skip


def pcm(sound_id: str) -> bytes:
    """A tenth of a second of noise that follows from the id."""
    return random.Random(sound_id).randbytes(2 * 4800)


def fill(path: Path) -> None:
    state = of_version_1()
    if HAS_2:
        state = of_version_2(state)
    review = Review.create(path, dataclasses.replace(state, notes=()))
    for note in state.notes:
        review.do(AddNote(note))
    spoken = an_id(9)
    review.keep_sound(spoken, to_wav(pcm(spoken)))
    review.do(AddVoiceNote(Note(spoken, 60.0, voice=voice_of(spoken, pcm(spoken)))))
    if HAS_2:
        from app.review.sending_changes import SetSending

        review.keep_sound(an_id(8, 2), to_wav(pcm(an_id(8, 2))))
        png = b"\x89PNG\r\n\x1a\n" + random.Random("logo").randbytes(300)
        review.keep_logo(an_id(10), png)
        review.do(SetSending(logo_id=an_id(10)))
    assert review.save()


def main() -> None:
    out = Path(sys.argv[1])
    with tempfile.TemporaryDirectory() as name:
        made = Path(name, out.name)
        fill(made)
        out.write_bytes(made.read_bytes())


if __name__ == "__main__":
    main()
