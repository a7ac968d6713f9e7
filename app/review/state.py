"""What a review holds. Frozen data: a change makes a new state, which is what undo keeps."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.coast_down import FlywheelModel
from analysis.force.target import TargetCurve
from analysis.force.trace import ColumnMapping
from app.review.answers import AthleteAnswers
from app.review.blur import BlurRegion
from app.review.comparison import Comparison, SelfTest
from app.review.curve_marks import CurveMark
from app.review.marks import Mark
from app.review.reference import Reference
from app.review.sending import SendingPlan
from app.review.walkthrough import Walkthrough

PHASES = ("catch", "drive", "finish", "recovery")
BODY_PARTS = ("legs", "back", "trunk", "shoulders", "arms", "hands", "head", "seat")


@dataclass(frozen=True)
class MediaRef:
    """Where a recording lies and how to know it again.

    Attributes
    ----------
    path : relative to the review file where possible, with forward slashes
    size : bytes
    sha256 : lower-case hex digest of the whole file
    mapping : how the columns are read (force only)
    capture_fps : rate a slow-motion film was recorded at, where the coach said so (video only);
        all video times are then seconds of the real movement
    ends_sha256 : digest of the first and the last megabyte, for a quick look; "" where an older
        file has none. It follows from the content, so two references differ without it already
    """

    kind: Literal["video", "trace"]
    path: str
    size: int
    sha256: str
    mapping: ColumnMapping | None = None
    capture_fps: float | None = None
    ends_sha256: str = field(default="", compare=False)


@dataclass(frozen=True)
class Voice:
    """What a coach said for a note; the samples lie in the review file under `id`.

    Attributes
    ----------
    id : the sound it belongs to; a new recording has a new one
    length_s : seconds recorded
    sample_hz : samples a second, one channel of 16 bits
    trim_start_s, trim_end_s : the part that is heard, seconds into the recording
    """

    id: str
    length_s: float
    sample_hz: int
    trim_start_s: float
    trim_end_s: float

    @property
    def heard_s(self) -> float:
        """How long the part that is heard lasts, seconds."""
        return self.trim_end_s - self.trim_start_s


@dataclass(frozen=True)
class Note:
    """Words, spoken or written, pinned to a moment or a span, in video seconds.

    Without footage, video seconds are the trace's own seconds. `stroke` is the index of the
    stroke the note spans, when it spans one.
    """

    id: str
    video_s: float
    text: str = ""
    end_s: float | None = None
    phase: str = ""  # one of PHASES or ""
    body_part: str = ""  # one of BODY_PARTS or ""
    stroke: int | None = None
    voice: Voice | None = None


@dataclass(frozen=True)
class PictureTurn:
    """How the coach set the picture: quarter turns clockwise, then mirrored left to right.

    `lift` raises the dark parts: 0 as filmed, 1 the most (`app.media.light`).
    """

    quarter_turns: int = 0
    mirrored: bool = False
    lift: float = 0.0


@dataclass(frozen=True)
class Decision:
    """What the coach decided about a finding. Nothing reaches an athlete that was not kept.

    Attributes
    ----------
    code : the finding's stable code
    kept : True when it became a note, False when it was dropped
    note_id : the note it became, "" when dropped
    """

    code: str
    kept: bool
    note_id: str = ""


@dataclass(frozen=True)
class ReviewState:
    """Everything a review holds.

    Attributes
    ----------
    notes : in order of time
    pairs : the moments named by hand on both clocks, from which `alignment` follows
    decisions : on findings, one a code, in the order they were made
    thresholds : (name, value) of the findings' thresholds the coach changed
    flywheel : what is known of the flywheel the athlete rows on
    marks : drawn on the picture, the later over the earlier
    metres_per_px : length of a video pixel in the plane of the movement, None while not known
    curve_marks : drawn on the force curve
    sending : what is sent, in which order, with which words around it
    blurs : faces to hide in everything that is sent
    answers : what the athlete sent back, in the order it came
    walkthroughs : in the order they were recorded
    draft : True until a coach has worked on it; a draft's bundle says so on its first line
    comparisons : strokes put next to each other, in the order they were made
    self_test : right and wrong strokes for the athlete to tell apart
    reference : what the stroke is that this review keeps, in the library of reference strokes
    """

    title: str = ""
    athlete: str = ""
    video: MediaRef | None = None
    trace: MediaRef | None = None
    alignment: Alignment = field(default_factory=Alignment)
    pairs: tuple[Pair, ...] = ()
    notes: tuple[Note, ...] = ()
    target: TargetCurve | None = None
    turn: PictureTurn = field(default_factory=PictureTurn)
    draft: bool = False
    decisions: tuple[Decision, ...] = ()
    thresholds: tuple[tuple[str, float], ...] = ()
    flywheel: FlywheelModel = field(default_factory=FlywheelModel)
    marks: tuple[Mark, ...] = ()
    metres_per_px: float | None = None
    curve_marks: tuple[CurveMark, ...] = ()
    sending: SendingPlan = field(default_factory=SendingPlan)
    blurs: tuple[BlurRegion, ...] = ()
    answers: tuple[AthleteAnswers, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    self_test: SelfTest | None = None
    reference: Reference | None = None
    walkthroughs: tuple[Walkthrough, ...] = ()
