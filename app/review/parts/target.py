"""The curve to row towards."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from analysis.force.target import TargetCurve
from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class Target:
    """The curve to row towards, None where there is none."""

    target: TargetCurve | None = None


TARGET = Table(
    "target",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "name": "TEXT NOT NULL",
        "axis": "TEXT NOT NULL",
        "start_pct": "REAL NOT NULL",
        "build_up_end_pct": "REAL NOT NULL",
        "plateau_end_pct": "REAL NOT NULL",
        "decline_end_pct": "REAL NOT NULL",
        "level_n": "REAL NOT NULL",
        "hold_equal": "INTEGER NOT NULL CHECK (hold_equal IN (0, 1))",
    },
    ("id",),
    words=("target curve", "target curves"),
)
POINT = Table(
    "target_point",
    {"place": "INTEGER NOT NULL", "percent": "REAL NOT NULL", "fraction": "REAL NOT NULL"},
    ("place",),
    words=("point of the target curve", "points of the target curve"),
    counted=False,
)


def _groups(state: Target) -> Iterable[Group]:
    t = state.target
    if t is not None:
        points = [
            (POINT, POINT.row(place=i, percent=p, fraction=f))
            for i, (p, f) in enumerate(t.freehand)
        ]
        yield ready("target", t, (TARGET, TARGET.row(t, id=1)), *points)


def _read(stored: Stored) -> Mapping[str, Any]:
    points = stored.each(POINT, lambda c: (c.number("percent"), c.number("fraction")))
    return {"target": stored.one(TARGET, lambda c: _target(c, points), None)}


def _target(c: Cells, points: tuple[tuple[float, float], ...]) -> TargetCurve | None:
    return TargetCurve(
        c.word("axis", ("time", "length")),
        c.number("start_pct"),
        c.number("build_up_end_pct"),
        c.number("plateau_end_pct"),
        c.number("decline_end_pct"),
        c.number("level_n"),
        c.flag("hold_equal"),
        points,
        c.text("name"),
    )


def _check(state: Target) -> None:
    if state.target is not None and state.target.axis not in ("time", "length"):
        raise ReviewError("A target curve runs over the time or the length of the drive.")


PART = declare(Part(Target, (TARGET, POINT), _groups, _read, _check))


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
