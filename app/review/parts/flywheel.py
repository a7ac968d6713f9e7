"""What is known of the flywheel the athlete rows on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar

from analysis.force.coast_down import FlywheelModel
from app.review.parts.change import Change
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class Flywheel:
    """The flywheel of the athlete's machine."""

    flywheel: FlywheelModel = field(default_factory=FlywheelModel)


_NUMBERS = ("inertia_kgm2", "drag_nms2", "sprocket_m", "inertia_sd", "drag_sd")
FLYWHEEL = Table(
    "flywheel",
    {"id": "INTEGER NOT NULL CHECK (id = 1)", **dict.fromkeys(_NUMBERS, "REAL NOT NULL")},
    ("id",),
    words=("flywheel", "flywheels"),
    counted=False,
)


def _groups(state: Flywheel) -> Iterable[Group]:
    yield ready("flywheel", state.flywheel, (FLYWHEEL, FLYWHEEL.row(state.flywheel, id=1)))


def _read(stored: Stored) -> Mapping[str, Any]:
    return {"flywheel": stored.one(FLYWHEEL, _flywheel, FlywheelModel())}


def _flywheel(c: Cells) -> FlywheelModel:
    return FlywheelModel(*(c.number(name) for name in _NUMBERS))


PART = declare(Part(Flywheel, (FLYWHEEL,), _groups, _read))


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
