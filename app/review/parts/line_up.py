"""How the clocks of footage and force lie to each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar

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
    yield ready("alignment", a, (ALIGNMENT, ALIGNMENT.row(a, id=1)), *reach)
    pairs = [(PAIR, PAIR.row(pair, place=i)) for i, pair in enumerate(state.pairs)]
    yield ready("pairs", state.pairs, *pairs)


def _read(stored: Stored) -> Mapping[str, Any]:
    whole: tuple[float | None, float | None] = (None, None)
    from_s, until_s = stored.one(REACH, _reach, whole)
    alignment = stored.one(ALIGNMENT, _alignment, Alignment())
    return {
        "alignment": replace(alignment, from_s=from_s, until_s=until_s),
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


def _retime(state: LineUp, by: float) -> Mapping[str, Any]:
    old = state.alignment
    rate = (1.0 + old.drift_ppm * 1e-6) / by
    return {
        "alignment": replace(
            old,
            offset_s=old.offset_s * by,
            drift_ppm=(rate - 1.0) * 1e6,
            from_s=None if old.from_s is None else old.from_s * by,
            until_s=None if old.until_s is None else old.until_s * by,
        ),
        "pairs": tuple(replace(p, video_s=p.video_s * by) for p in state.pairs),
    }


PART = declare(
    Part(LineUp, (ALIGNMENT, PAIR, REACH), _groups, _read, retime=_retime, together=True)
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
