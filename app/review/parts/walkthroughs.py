"""A walkthrough: what the coach showed and said, as events on the clock of its own sound.

Nothing of the screen is stored. What was shown follows from the events, so that a slip can be cut
out, a mark corrected, and the whole painted afterwards from the film itself.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import Change
from app.review.parts.spoken_words import without_lost_words
from app.review.parts.walk_events import Event, Score, check_score, stretched_event
from app.review.parts.walk_timing import SHORTEST_S, Timing
from app.review.parts.walkthrough_text import detail_of, event_of, kind_of
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import (
    MOST_LINES_OF_PART,
    Cells,
    Group,
    Part,
    Rows,
    Stored,
    Table,
    declare,
    unique,
)
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class Cut:
    """A slip: these seconds of the recording are neither seen nor heard."""

    from_s: float
    to_s: float


@dataclass(frozen=True)
class Caption:
    """Typed words for a span of the recording, in its own seconds, so that cuts move them along."""

    id: str
    from_s: float
    to_s: float
    text: str


@dataclass(frozen=True)
class Walkthrough:
    """What the coach showed and said, once.

    Attributes
    ----------
    score : what was shown when
    length_s : seconds recorded
    sound_id : its voice among the file's sounds, "" for a silent one
    sample_hz : samples a second of the voice
    cuts : what is left out, in order of time; cuts may overlap
    captions : in order of time
    left_out : ids of marks that were drawn but shall not be seen
    """

    id: str
    title: str
    score: Score
    length_s: float
    sound_id: str = ""
    sample_hz: int = 48_000
    cuts: tuple[Cut, ...] = ()
    captions: tuple[Caption, ...] = ()
    left_out: tuple[str, ...] = ()


def new_walkthrough(
    events: Iterable[Event], length_s: float, sound_id: str = "", title: str = "", walk_id: str = ""
) -> Walkthrough:
    """Return a walkthrough with an id of its own."""
    return Walkthrough(walk_id or uuid.uuid4().hex, title, Score(events), length_s, sound_id)


def stretched_walks(walks: tuple[Walkthrough, ...], by: float) -> tuple[Walkthrough, ...]:
    """The same walkthroughs of a film on another clock: `by` new seconds for each old one."""
    return tuple(
        replace(walk, score=Score(stretched_event(event, by) for event in walk.score.events))
        for walk in walks
    )


@dataclass(frozen=True)
class Walkthroughs:
    """The walkthroughs of a review, in the order they were recorded."""

    walkthroughs: tuple[Walkthrough, ...] = ()


WALK = Table(
    "walkthrough",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "title": "TEXT NOT NULL",
        "length_s": "REAL NOT NULL",
        "sound_id": "TEXT NOT NULL",
        "sample_hz": "INTEGER NOT NULL",
    },
    ("id",),
    asset="sound_id",
    words=("walkthrough", "walkthroughs"),
)
EVENTS = Table(
    "walkthrough_score",
    {"walkthrough_id": "TEXT NOT NULL", "score_id": "TEXT NOT NULL", "events": "TEXT NOT NULL"},
    ("walkthrough_id",),
    asset="events",
    words=("course of a walkthrough", "courses of walkthroughs"),
    counted=False,
)
CUT = Table(
    "walkthrough_cut",
    {
        "walkthrough_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "from_s": "REAL NOT NULL",
        "to_s": "REAL NOT NULL",
    },
    ("walkthrough_id", "place"),
    words=("cut of a walkthrough", "cuts of walkthroughs"),
    counted=False,
)
CAPTION = Table(
    "walkthrough_caption",
    {
        "walkthrough_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "id": "TEXT NOT NULL",
        "from_s": "REAL NOT NULL",
        "to_s": "REAL NOT NULL",
        "text": "TEXT NOT NULL",
    },
    ("walkthrough_id", "place"),
    words=("caption", "captions"),
)
LEFT_OUT = Table(
    "walkthrough_left_out",
    {
        "walkthrough_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "mark_id": "TEXT NOT NULL",
    },
    ("walkthrough_id", "place"),
    words=("mark left out of a walkthrough", "marks left out of walkthroughs"),
    counted=False,
)


@lru_cache(maxsize=16)
def _course(score: Score) -> tuple[str, bytes]:
    """The events as an asset: its id, and one line of JSON an event."""
    data = b"".join(map(_line, score.events))
    return hashlib.sha256(data).hexdigest(), data


def _line(event: Event) -> bytes:
    return f'{{"at_s":{event.at_s!r},"is":"{kind_of(event)}","says":{detail_of(event)}}}\n'.encode()


def _groups(state: Walkthroughs) -> Iterable[Group]:
    for i, walk in enumerate(state.walkthroughs):
        yield _group(walk, i)


def _group(walk: Walkthrough, place: int) -> Group:
    return Group(
        walk.id, walk, lambda: _rows(walk, place), place, lambda: dict([_course(walk.score)])
    )


def _rows(walk: Walkthrough, place: int) -> Rows:
    of = {"walkthrough_id": walk.id}
    course = EVENTS.row(score_id=walk.score.id, events=_course(walk.score)[0], **of)
    return [
        (WALK, WALK.row(walk, place=place)),
        (EVENTS, course),
        *((CUT, CUT.row(cut, place=i, **of)) for i, cut in enumerate(walk.cuts)),
        *((CAPTION, CAPTION.row(c, place=i, **of)) for i, c in enumerate(walk.captions)),
        *((LEFT_OUT, LEFT_OUT.row(place=i, mark_id=m, **of)) for i, m in enumerate(walk.left_out)),
    ]


def _read(stored: Stored) -> Mapping[str, Any]:
    of = "walkthrough_id"
    scores = dict(stored.each(EVENTS, lambda c: (c.text(of), _score(c, stored))))
    cuts = stored.by(CUT, of, lambda c: Cut(c.number("from_s"), c.number("to_s")))
    captions = stored.by(CAPTION, of, _caption)
    left_out = stored.by(LEFT_OUT, of, lambda c: c.text("mark_id"))

    def made(c: Cells) -> Walkthrough:
        id_ = c.text("id")
        # A voice is worth keeping also where nobody knows any more what was shown with it.
        score = scores.get(id_) or (Score(()) if stored.lenient else scores[id_])
        return Walkthrough(
            id_,
            c.text("title"),
            score,
            c.number("length_s"),
            c.text("sound_id"),
            c.count("sample_hz"),
            tuple(cuts[id_]),
            tuple(captions[id_]),
            tuple(left_out[id_]),
        )

    walks = stored.each(WALK, made, lambda walk: check_walkthroughs((walk,)))
    return {"walkthroughs": unique(walks, lambda w: w.id, "walkthroughs", stored.lenient)}


def _score(c: Cells, stored: Stored) -> Score:
    events = stored.lines(c.text("events"), _event, "events of a walkthrough")
    return Score(events, c.text("score_id"))


def _event(told: Any) -> Event:
    event = event_of(told["at_s"], told["is"], json.dumps(told["says"]))
    check_score(Score((event,), "one"))
    return event


def _caption(c: Cells) -> Caption:
    return Caption(c.text("id"), c.number("from_s"), c.number("to_s"), c.text("text"))


def _check(state: Walkthroughs) -> None:
    if sum(len(walk.score.events) for walk in state.walkthroughs) > MOST_LINES_OF_PART:
        raise ReviewError("The walkthroughs have more events than a review can keep.")
    check_walkthroughs(state.walkthroughs)


def check_walkthroughs(walks: tuple[Walkthrough, ...]) -> None:
    """Refuse walkthroughs that could not be shown.

    Raises
    ------
    ReviewError
        Two share an id, one has no length, or a cut or caption that ends before it starts.
    """
    if len({walk.id for walk in walks}) != len(walks):
        raise ReviewError("Two walkthroughs share one id.")
    for walk in walks:
        if not walk.length_s > 0.0 or walk.sample_hz <= 0:
            raise ReviewError("A walkthrough lasts longer than nothing.")
        spans = [(c.from_s, c.to_s) for c in walk.cuts]
        spans += [(c.from_s, c.to_s) for c in walk.captions]
        for first, last in spans:
            if not first < last:
                raise ReviewError("A cut or a caption ends after it starts.")
        if len({c.id for c in walk.captions}) != len(walk.captions):
            raise ReviewError("Two captions share one id.")


def _retime(state: Walkthroughs, by: float) -> Mapping[str, Any]:
    return {"walkthroughs": stretched_walks(state.walkthroughs, by)}


_TABLES: Final = (WALK, EVENTS, CUT, CAPTION, LEFT_OUT)
PART = declare(Part(Walkthroughs, _TABLES, _groups, _read, _check, _retime))


def find_walk(state: ReviewState, walk_id: str) -> Walkthrough:
    """Return the walkthrough with an id; raises ReviewError when it is gone."""
    return found(state.walkthroughs, walk_id, "That walkthrough is no longer in the review")


def _with(state: ReviewState, walk: Walkthrough) -> ReviewState:
    return replace(state, walkthroughs=put(state.walkthroughs, walk))


@dataclass(frozen=True)
class AddWalkthrough(Change):
    """Keep a walkthrough that was recorded."""

    walk: Walkthrough
    label: ClassVar[str] = "walkthrough"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the walkthrough after the others."""
        check_score(self.walk.score)
        walk = replace(self.walk, title=readable(self.walk.title))
        return replace(state, walkthroughs=(*state.walkthroughs, walk))


@dataclass(frozen=True)
class RenameWalkthrough(Change):
    """Give a walkthrough another title."""

    walk_id: str
    title: str
    label: ClassVar[str] = "name the walkthrough"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that title."""
        walk = find_walk(state, self.walk_id)
        return _with(state, replace(walk, title=readable(self.title)))

    def merges_with(self, previous: Change) -> bool:
        """Typing a title is one undo step."""
        return isinstance(previous, RenameWalkthrough) and previous.walk_id == self.walk_id


@dataclass(frozen=True)
class DeleteWalkthrough(Change):
    """Take a walkthrough away; undo brings it back with its voice."""

    walk_id: str
    label: ClassVar[str] = "delete walkthrough"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without it."""
        gone = find_walk(state, self.walk_id)
        kept = without(state.walkthroughs, gone)
        return without_lost_words(replace(state, walkthroughs=kept))


@dataclass(frozen=True)
class CutOut(Change):
    """Leave out a slip, seconds of the recording in either order."""

    walk_id: str
    from_s: float
    to_s: float
    label: ClassVar[str] = "cut out"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the cut; raises ReviewError where nothing would be cut or left."""
        walk = find_walk(state, self.walk_id)
        first, last = sorted((self.from_s, self.to_s))
        cut = Cut(max(first, 0.0), min(last, walk.length_s))
        if cut.to_s - cut.from_s < SHORTEST_S:
            raise ReviewError("There is nothing to cut out between these moments.")
        cuts = tuple(sorted({*walk.cuts, cut}, key=lambda c: (c.from_s, c.to_s)))
        if Timing(walk.length_s, cuts).length_s < SHORTEST_S:
            raise ReviewError("Nothing would be left; delete the walkthrough instead.")
        return _with(state, replace(walk, cuts=cuts))


@dataclass(frozen=True)
class BringBack(Change):
    """Take back every cut that holds a second of the recording."""

    walk_id: str
    at_s: float
    label: ClassVar[str] = "bring back what was cut"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without those cuts; raises ReviewError where none lies there."""
        walk = find_walk(state, self.walk_id)
        cuts = tuple(c for c in walk.cuts if not c.from_s <= self.at_s <= c.to_s)
        if cuts == walk.cuts:
            raise ReviewError("Nothing was cut out there.")
        return _with(state, replace(walk, cuts=cuts))


@dataclass(frozen=True)
class SetCaption(Change):
    """Add a caption, change it, or take it away with no words. Typing is one undo step."""

    walk_id: str
    caption: Caption
    label: ClassVar[str] = "caption"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the caption in its place in time."""
        walk = find_walk(state, self.walk_id)
        new = replace(self.caption, text=readable(self.caption.text))
        rest = [c for c in walk.captions if c.id != new.id]
        captions = (*rest, new) if new.text else tuple(rest)
        ordered = tuple(sorted(captions, key=lambda c: (c.from_s, c.to_s)))
        return _with(state, replace(walk, captions=ordered))

    def merges_with(self, previous: Change) -> bool:
        """Typing in one caption is one undo step."""
        return (
            isinstance(previous, SetCaption)
            and (previous.walk_id, previous.caption.id) == (self.walk_id, self.caption.id)
            and previous.caption.text != self.caption.text
        )


@dataclass(frozen=True)
class LeaveOutMark(Change):
    """Do not show a mark in a walkthrough, or show it again; in the review it stays."""

    walk_id: str
    mark_id: str
    out: bool = True
    label: ClassVar[str] = "leave a mark out"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the mark left out, or not."""
        walk = find_walk(state, self.walk_id)
        rest = tuple(i for i in walk.left_out if i != self.mark_id)
        return _with(state, replace(walk, left_out=(*rest, self.mark_id) if self.out else rest))
