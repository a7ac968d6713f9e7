"""How the clocks of footage and force lie to each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from analysis.clocks.alignment import Alignment, Pair
from app.review.parts.change import Change
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class LineUp:
    """The clocks of a review.

    Attributes
    ----------
    alignment : from video seconds to trace seconds
    pairs : the moments named by hand on both clocks, from which `alignment` follows
    """

    alignment: Alignment = field(default_factory=Alignment)
    pairs: tuple[Pair, ...] = ()


ALIGNMENT = Table(
    "alignment",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "offset_s": "REAL NOT NULL",
        "drift_ppm": "REAL NOT NULL",
        "uncertainty_s": "REAL",
        "method": "TEXT NOT NULL",
        "ambiguous": "INTEGER NOT NULL CHECK (ambiguous IN (0, 1))",
    },
    ("id",),
    words=("line-up", "line-ups"),
)
# Of a line-up that holds on one side of a cut in the film alone.
REACH = Table(
    "alignment_reach",
    {"id": "INTEGER NOT NULL CHECK (id = 1)", "from_s": "REAL", "until_s": "REAL"},
    ("id",),
    words=("reach of the line-up", "reaches of the line-up"),
    counted=False,
    late=True,
)
# Of a film with cuts, the other sides that are lined up as well.
SIDE = Table(
    "alignment_side",
    {
        "place": "INTEGER NOT NULL",
        "offset_s": "REAL NOT NULL",
        "drift_ppm": "REAL NOT NULL",
        "uncertainty_s": "REAL",
        "method": "TEXT NOT NULL",
        "ambiguous": "INTEGER NOT NULL CHECK (ambiguous IN (0, 1))",
        "from_s": "REAL",
        "until_s": "REAL",
    },
    ("place",),
    words=("side of a cut in the film", "sides of cuts in the film"),
    counted=False,
    late=True,
)
MOST_SIDES: Final = 64  # more cuts than any film of a piece; each is asked for every moment
PAIR = Table(
    "pair",
    {"place": "INTEGER NOT NULL", "video_s": "REAL NOT NULL", "trace_s": "REAL NOT NULL"},
    ("place",),
    words=("moment marked on both clocks", "moments marked on both clocks"),
    counted=False,
)


def _groups(state: LineUp) -> Iterable[Group]:
    a = state.alignment
    reach = [(REACH, REACH.row(a, id=1))] if a.is_partial else []
    sides = [(SIDE, SIDE.row(side, place=i)) for i, side in enumerate(a.further)]
    yield ready("alignment", a, (ALIGNMENT, ALIGNMENT.row(a, id=1)), *reach, *sides)
    pairs = [(PAIR, PAIR.row(pair, place=i)) for i, pair in enumerate(state.pairs)]
    yield ready("pairs", state.pairs, *pairs)


def _read(stored: Stored) -> Mapping[str, Any]:
    whole: tuple[float | None, float | None] = (None, None)
    from_s, until_s = stored.one(REACH, _reach, whole)
    alignment = stored.one(ALIGNMENT, _alignment, Alignment())
    sides = stored.each(SIDE, _side)[:MOST_SIDES]
    return {
        "alignment": replace(alignment, from_s=from_s, until_s=until_s, further=sides),
        "pairs": stored.each(PAIR, lambda c: Pair(c.number("video_s"), c.number("trace_s"))),
    }


def _alignment(c: Cells) -> Alignment:
    return Alignment(
        c.number("offset_s"),
        c.number("drift_ppm"),
        c.number_or_none("uncertainty_s"),
        c.text("method"),
        c.flag("ambiguous"),
    )


def _reach(c: Cells) -> tuple[float | None, float | None]:
    return c.number_or_none("from_s"), c.number_or_none("until_s")


def _side(c: Cells) -> Alignment:
    from_s, until_s = _reach(c)
    side = replace(_alignment(c), from_s=from_s, until_s=until_s)
    if side.drift_ppm <= -1e6 or not side.is_partial:
        raise ValueError("alignment_side is no side of a film")
    return side


def _retime(state: LineUp, by: float) -> Mapping[str, Any]:
    return {
        "alignment": state.alignment.stretched(by),
        "pairs": tuple(replace(p, video_s=p.video_s * by) for p in state.pairs),
    }


PART = declare(
    Part(LineUp, (ALIGNMENT, PAIR, REACH, SIDE), _groups, _read, retime=_retime, together=True)
)


@dataclass(frozen=True)
class SetLineUp(Change):
    """Keep the pairs marked by hand and the alignment that follows from them."""

    pairs: tuple[Pair, ...]
    alignment: Alignment
    label: ClassVar[str] = "line up"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state lined up; what is pinned to the force goes with it."""
        from app.review.parts.state import realigned

        new = replace(state, pairs=tuple(self.pairs), alignment=self.alignment)
        return realigned(new, state.alignment)
