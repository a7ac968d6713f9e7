"""Which further signals of the recordings are shown beside the force."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

LONGEST_NAME = 200


@dataclass(frozen=True)
class ShownSignals:
    """The signals the coach ticked, by the names they have in the recording.

    A name may belong to no signal of the recording that is open; it counts for none then.
    """

    shown_signals: tuple[str, ...] = ()


SHOWN_SIGNAL = Table(
    "shown_signal",
    {"name": "TEXT NOT NULL", "place": "INTEGER NOT NULL"},
    ("name",),
    words=("signal that is shown", "signals that are shown"),
    counted=False,
)


def _groups(state: ShownSignals) -> Iterable[Group]:
    for place, name in enumerate(state.shown_signals):
        yield ready(name, name, (SHOWN_SIGNAL, (name, place)), place=place)


def _read(stored: Stored) -> Mapping[str, Any]:
    names = stored.each(SHOWN_SIGNAL, _name, _check_one)
    return {"shown_signals": unique(names, lambda n: n, "signals that are shown", stored.lenient)}


def _name(c: Cells) -> str:
    return c.text("name")


def _check_one(name: str) -> None:
    if not 0 < len(name) <= LONGEST_NAME:
        raise ReviewError(f"The name of a signal has 1 to {LONGEST_NAME} characters.")


def _check(state: ShownSignals) -> None:
    for name in unique(state.shown_signals, lambda n: n, "signals that are shown", lenient=False):
        _check_one(name)


PART = declare(Part(ShownSignals, (SHOWN_SIGNAL,), _groups, _read, _check))


@dataclass(frozen=True)
class ShowSignal(Change):
    """Show a further signal beside the force, after those that are shown, or hide it."""

    name: str
    on: bool = True
    label: ClassVar[str] = "signals"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with it."""
        others = tuple(n for n in state.shown_signals if n != self.name)
        if not self.on:
            return replace(state, shown_signals=others)
        if self.name in state.shown_signals:
            return state
        return replace(state, shown_signals=(*others, self.name))
