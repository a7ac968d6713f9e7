"""How the picture is turned, mirrored and lifted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class PictureTurn:
    """How the coach set the picture: quarter turns clockwise, then mirrored left to right.

    `lift` raises the dark parts: 0 as filmed, 1 the most (`app.media.light`).
    """

    quarter_turns: int = 0
    mirrored: bool = False
    lift: float = 0.0


@dataclass(frozen=True)
class Picture:
    """How the coach set the picture."""

    turn: PictureTurn = field(default_factory=PictureTurn)


TURN = Table(
    "turn",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "quarter_turns": "INTEGER NOT NULL",
        "mirrored": "INTEGER NOT NULL CHECK (mirrored IN (0, 1))",
        "lift": "REAL NOT NULL",
    },
    ("id",),
    words=("setting of the picture", "settings of the picture"),
    counted=False,
)


def _groups(state: Picture) -> Iterable[Group]:
    yield ready("turn", state.turn, (TURN, TURN.row(state.turn, id=1)))


def _read(stored: Stored) -> Mapping[str, Any]:
    return {"turn": stored.one(TURN, _turn, PictureTurn())}


def _turn(c: Cells) -> PictureTurn:
    turn = PictureTurn(c.count("quarter_turns"), c.flag("mirrored"), c.number("lift"))
    _check(Picture(turn))
    return turn


def _check(state: Picture) -> None:
    if state.turn.quarter_turns not in (0, 1, 2, 3):
        raise ReviewError("The picture can be turned by 0 to 3 quarter turns.")
    if not 0.0 <= state.turn.lift <= 1.0:
        raise ReviewError("The picture can be lifted from 0 to 1.")


PART = declare(Part(Picture, (TURN,), _groups, _read, _check))


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
