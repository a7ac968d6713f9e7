"""Every change a coach can make to a review, as frozen data that turns one state into the next."""

from __future__ import annotations

import uuid
from abc import ABC, abstractmethod
from dataclasses import dataclass, fields, replace
from enum import Enum
from typing import Any, ClassVar, Final, Literal, TypeVar

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.coast_down import FlywheelModel
from analysis.force.target import TargetCurve
from app.review.blur import stretched_regions
from app.review.check import readable
from app.review.comparison import stretched_comparisons, stretched_test
from app.review.errors import ReviewError
from app.review.items import found, put, without
from app.review.marks import stretched
from app.review.state import Decision, MediaRef, Note, PictureTurn, ReviewState, Voice
from app.review.walkthrough import stretched_walks


class Keep(Enum):
    """Stands for "leave as it is" where None means something of its own."""

    KEEP = "keep"


KEEP: Final = Keep.KEEP
_Kept = Literal[Keep.KEEP]
T = TypeVar("T", bound=Any)


class Change(ABC):
    """One change of a review.

    Attributes
    ----------
    label : what the Undo menu calls it: "Undo: add note"
    is_work : a coach's judgement went into it, so the review is a draft no longer
    """

    label: ClassVar[str] = ""
    is_work: ClassVar[bool] = True

    @abstractmethod
    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state after the change; raises ReviewError when it cannot be made."""

    def merges_with(self, previous: Change) -> bool:
        """Whether one undo should take back this change together with the one before."""
        return False

    def goes_on_from(self, previous: Change, *same: str) -> bool:
        """Whether both belong to one gesture, and say the same in fields of these names."""
        if type(previous) is not type(self) or not getattr(self, "gesture", ""):
            return False
        return all(getattr(self, n) == getattr(previous, n) for n in ("gesture", *same))


def edited(old: T, change: Change) -> T:
    """What a change makes of something: it takes the fields of the same names that are not KEEP."""
    said = {f.name: getattr(change, f.name, KEEP) for f in fields(old)}
    new = {
        name: readable(value) if isinstance(value, str) else value
        for name, value in said.items()
        if value is not KEEP
    }
    return replace(old, **new)


def new_note(
    video_s: float,
    text: str = "",
    *,
    end_s: float | None = None,
    phase: str = "",
    body_part: str = "",
    stroke: int | None = None,
    voice: Voice | None = None,
) -> Note:
    """Return a note with an id of its own, at a video time in seconds."""
    return Note(uuid.uuid4().hex, video_s, readable(text), end_s, phase, body_part, stroke, voice)


def find_note(state: ReviewState, note_id: str) -> Note:
    """Return the note with an id; raises ReviewError when it is gone."""
    return found(state.notes, note_id, "That note is no longer in the review")


def _with_notes(state: ReviewState, notes: tuple[Note, ...]) -> ReviewState:
    # sorted() is stable: notes on one moment stay in the order they were written.
    return replace(state, notes=tuple(sorted(notes, key=lambda note: note.video_s)))


@dataclass(frozen=True)
class AddNote(Change):
    """Pin a new note (see `new_note`)."""

    note: Note
    label: ClassVar[str] = "add note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the note in its place in time."""
        note = replace(self.note, text=readable(self.note.text))
        return _with_notes(state, (*state.notes, note))


@dataclass(frozen=True)
class EditNote(Change):
    """Change one note; what is KEEP stays.

    Typing merges into one undo step. So do changes of one `gesture`: any word of the caller's
    that stays the same while the hand stays down, as in dragging a note along the trace.
    """

    note_id: str
    text: str | _Kept = KEEP
    video_s: float | _Kept = KEEP
    end_s: float | _Kept | None = KEEP
    phase: str | _Kept = KEEP
    body_part: str | _Kept = KEEP
    stroke: int | _Kept | None = KEEP
    gesture: str = ""
    label: ClassVar[str] = "edit note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the note changed."""
        new = edited(find_note(state, self.note_id), self)
        return _with_notes(state, put(state.notes, new))

    def merges_with(self, previous: Change) -> bool:
        """Typing in one note merges, and so does one gesture."""
        if not isinstance(previous, EditNote) or previous.note_id != self.note_id:
            return False
        if self.gesture or previous.gesture:
            return self.gesture == previous.gesture
        return self._is_typing() and previous._is_typing()

    def _is_typing(self) -> bool:
        others = (self.video_s, self.end_s, self.phase, self.body_part, self.stroke)
        return self.text is not KEEP and all(value is KEEP for value in others)


@dataclass(frozen=True)
class DeleteNote(Change):
    """Take a note away."""

    note_id: str
    label: ClassVar[str] = "delete note"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without the note."""
        gone = find_note(state, self.note_id)
        return replace(state, notes=without(state.notes, gone))


@dataclass(frozen=True)
class SetLineUp(Change):
    """Keep the pairs marked by hand and the alignment that follows from them."""

    pairs: tuple[Pair, ...]
    alignment: Alignment
    label: ClassVar[str] = "line up"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state lined up."""
        return replace(state, pairs=tuple(self.pairs), alignment=self.alignment)


@dataclass(frozen=True)
class SetTarget(Change):
    """Set the curve to row towards, or take it away with None. One `gesture` is one undo step."""

    target: TargetCurve | None
    gesture: str = ""
    label: ClassVar[str] = "target curve"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that target."""
        target = self.target
        if target is not None:
            target = replace(target, name=readable(target.name))
        return replace(state, target=target)

    def merges_with(self, previous: Change) -> bool:
        """Merge the steps of one drag."""
        return self.goes_on_from(previous)


@dataclass(frozen=True)
class TurnPicture(Change):
    """Show the picture turned and mirrored like this."""

    turn: PictureTurn
    label: ClassVar[str] = "turn picture"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the picture turned; four quarter turns are none."""
        turn = replace(self.turn, quarter_turns=self.turn.quarter_turns % 4)
        return replace(state, turn=turn)


@dataclass(frozen=True)
class KeepFinding(Change):
    """Keep a finding: its words become a note of the coach's own."""

    code: str
    note: Note
    label: ClassVar[str] = "keep finding"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the note and the decision."""
        state = AddNote(self.note).apply(_undecided(state, self.code))
        return _decided(state, Decision(self.code, True, self.note.id))


@dataclass(frozen=True)
class DropFinding(Change):
    """Drop a finding; a note it had become goes with it."""

    code: str
    label: ClassVar[str] = "drop finding"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the decision."""
        return _decided(_undecided(state, self.code), Decision(self.code, False))


@dataclass(frozen=True)
class ReopenFinding(Change):
    """Take a decision back; a note the finding had become goes with it."""

    code: str
    label: ClassVar[str] = "reopen finding"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with nothing decided about the finding."""
        return _undecided(state, self.code)


@dataclass(frozen=True)
class SetThreshold(Change):
    """Change one threshold of the findings, or give it its own value back with None."""

    name: str
    value: float | None
    label: ClassVar[str] = "change threshold"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that threshold."""
        rest = tuple((name, value) for name, value in state.thresholds if name != self.name)
        if self.value is None:
            return replace(state, thresholds=rest)
        return replace(state, thresholds=(*rest, (self.name, self.value)))

    def merges_with(self, previous: Change) -> bool:
        """Turning one knob is one undo step."""
        return isinstance(previous, SetThreshold) and previous.name == self.name


@dataclass(frozen=True)
class SetFlywheel(Change):
    """Say what is known of the flywheel the athlete rows on."""

    flywheel: FlywheelModel
    label: ClassVar[str] = "flywheel"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that flywheel."""
        return replace(state, flywheel=self.flywheel)

    def merges_with(self, previous: Change) -> bool:
        """Turning knobs is one undo step."""
        return isinstance(previous, SetFlywheel)


def _decided(state: ReviewState, decision: Decision) -> ReviewState:
    return replace(state, decisions=(*state.decisions, decision))


def _undecided(state: ReviewState, code: str) -> ReviewState:
    gone = {d.note_id for d in state.decisions if d.code == code and d.note_id}
    return replace(
        state,
        decisions=tuple(d for d in state.decisions if d.code != code),
        notes=tuple(n for n in state.notes if n.id not in gone),
    )


@dataclass(frozen=True)
class SetAthlete(Change):
    """Name the athlete and the review."""

    name: str
    title: str
    label: ClassVar[str] = "name the review"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with those names."""
        return replace(state, athlete=readable(self.name), title=readable(self.title))

    def merges_with(self, previous: Change) -> bool:
        """Typing a name is one undo step."""
        return isinstance(previous, SetAthlete)


@dataclass(frozen=True)
class SetVideo(Change):
    """Use this footage, or none."""

    ref: MediaRef | None
    label: ClassVar[str] = "choose footage"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that footage."""
        same = state.video is None or self.ref is None or state.video.sha256 == self.ref.sha256
        return replace(
            _unless_same(state, state.video, self.ref),
            video=self.ref,
            metres_per_px=state.metres_per_px if same else None,  # another film, another distance
            blurs=state.blurs if same else (),  # the faces of another film are elsewhere
        )


@dataclass(frozen=True)
class SetCaptureRate(Change):
    """Say at which rate a slow-motion film was recorded; what was pinned stays on its frame.

    Attributes
    ----------
    capture_fps : frames per second, None for a film that runs as fast as life
    stretch : new seconds for each old second of the film
    """

    capture_fps: float | None
    stretch: float
    label: ClassVar[str] = "capture rate"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with every video time on the new clock."""
        if state.video is None:
            raise ReviewError("There is no footage; nothing was changed.")
        by = self.stretch
        old = state.alignment
        rate = (1.0 + old.drift_ppm * 1e-6) / by
        return replace(
            state,
            video=replace(state.video, capture_fps=self.capture_fps),
            alignment=replace(old, offset_s=old.offset_s * by, drift_ppm=(rate - 1.0) * 1e6),
            pairs=tuple(replace(p, video_s=p.video_s * by) for p in state.pairs),
            notes=tuple(
                replace(n, video_s=n.video_s * by, end_s=None if n.end_s is None else n.end_s * by)
                for n in state.notes
            ),
            marks=stretched(state.marks, by),
            blurs=stretched_regions(state.blurs, by),
            comparisons=stretched_comparisons(state.comparisons, by),
            self_test=stretched_test(state.self_test, by),
            walkthroughs=stretched_walks(state.walkthroughs, by),
        )


@dataclass(frozen=True)
class SetTrace(Change):
    """Use this force recording, or none."""

    ref: MediaRef | None
    label: ClassVar[str] = "choose force recording"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that force recording."""
        return replace(_unless_same(state, state.trace, self.ref), trace=self.ref)


def _unless_same(state: ReviewState, old: MediaRef | None, new: MediaRef | None) -> ReviewState:
    """Forget the line-up when another recording comes in: it belonged to the old one.

    A recording found again in another place, or read with other columns, keeps it.
    """
    if old is not None and new is not None and old.sha256 == new.sha256:
        return state
    return replace(state, alignment=Alignment(), pairs=())
