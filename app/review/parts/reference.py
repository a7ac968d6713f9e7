"""What is known of a stroke in the library of reference strokes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final, Literal

from analysis.comparing.phase import PhaseError, StrokeTimes
from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

View = Literal["left", "right"]
VIEWS: Final = ("left", "right")


@dataclass(frozen=True)
class Reference:
    """One reference stroke; its footage and force are those of the review that holds it.

    Attributes
    ----------
    name : how the coach finds it again
    view : which side of the rower the camera saw
    rate_spm : stroke rate, strokes per minute
    level : of the rower, in the coach's own words
    notes : what to look at
    catch_s, finish_s, next_catch_s : video seconds of the review's footage
    """

    name: str
    view: View
    rate_spm: float
    level: str
    notes: str
    catch_s: float
    finish_s: float
    next_catch_s: float

    @property
    def times(self) -> StrokeTimes:
        """Its events; raises PhaseError when they are out of order."""
        return StrokeTimes(self.catch_s, self.finish_s, self.next_catch_s)


def check_reference(reference: Reference | None) -> None:
    """Refuse a reference stroke nobody could use; raises ReviewError."""
    if reference is None:
        return
    if reference.view not in VIEWS:
        raise ReviewError("A reference stroke is seen from the rower's left or right side.")
    if not reference.name.strip():
        raise ReviewError("A reference stroke needs a name to be found again by.")
    if not reference.rate_spm > 0.0:
        raise ReviewError("A stroke rate is above zero.")
    try:
        _ = reference.times
    except PhaseError as error:
        raise ReviewError(str(error)) from error


@dataclass(frozen=True)
class OfLibrary:
    """What the stroke is that this review keeps, in the library of reference strokes."""

    reference: Reference | None = None


REFERENCE = Table(
    "reference",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "name": "TEXT NOT NULL",
        "view": "TEXT NOT NULL",
        "rate_spm": "REAL NOT NULL",
        "level": "TEXT NOT NULL",
        "notes": "TEXT NOT NULL",
        "catch_s": "REAL NOT NULL",
        "finish_s": "REAL NOT NULL",
        "next_catch_s": "REAL NOT NULL",
    },
    ("id",),
    words=("reference stroke", "reference strokes"),
)


def _groups(state: OfLibrary) -> Iterable[Group]:
    r = state.reference
    if r is not None:
        yield ready("reference", r, (REFERENCE, REFERENCE.row(r, id=1)))


def _read(stored: Stored) -> Mapping[str, Any]:
    made = stored.each(REFERENCE, _reference, check_reference)
    return {"reference": made[0] if made else None}


def _reference(c: Cells) -> Reference:
    views: tuple[View, ...] = ("left", "right")
    return Reference(
        c.text("name"),
        c.word("view", views),
        c.number("rate_spm"),
        c.text("level"),
        c.text("notes"),
        c.number("catch_s"),
        c.number("finish_s"),
        c.number("next_catch_s"),
    )


def _check(state: OfLibrary) -> None:
    check_reference(state.reference)


def _retime(state: OfLibrary, by: float) -> Mapping[str, Any]:
    r = state.reference
    if r is None:
        return {}
    names = ("catch_s", "finish_s", "next_catch_s")
    return {"reference": replace(r, **{name: getattr(r, name) * by for name in names})}


PART = declare(Part(OfLibrary, (REFERENCE,), _groups, _read, _check, _retime))


@dataclass(frozen=True)
class SetReference(Change):
    """Say what the reference stroke of this review is."""

    reference: Reference | None
    label: ClassVar[str] = "reference stroke"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that reference."""
        r = self.reference
        if r is not None:
            names = (readable(r.name), readable(r.level), readable(r.notes))
            r = replace(r, name=names[0], level=names[1], notes=names[2])
        return replace(state, reference=r)
