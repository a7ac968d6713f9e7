"""How the coach cuts a piece into sections: where each begins, and what it is called.

As long as there are none here, those found in the recording count. A section reaches to where the
next one begins; what lies before the first belongs to it.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

CLOCKS: Final = ("trace", "video")
LONGEST_NAME: Final = 200
MOST: Final = 1000  # more begins than any piece has sections


@dataclass(frozen=True)
class SectionBegin:
    """Where a section begins.

    Attributes
    ----------
    id : never changes
    start_s : seconds on its clock; the section begins with the first catch from there on
    clock : "trace", the force recorder's, or "video" where strokes are known from the picture alone
    name : the coach's own, "" for what was rowed
    """

    id: str
    start_s: float
    clock: str = "trace"
    name: str = ""


def new_section(start_s: float, name: str = "", clock: str = "trace") -> SectionBegin:
    """Return a begin with an id of its own."""
    return SectionBegin(uuid.uuid4().hex, float(start_s), clock, name)


def check_sections(sections: tuple[SectionBegin, ...]) -> None:
    """Refuse sections that no piece can be cut by.

    Raises
    ------
    ReviewError
        An unknown clock, a name that is too long, too many of them, or two with one id.
    """
    if len({section.id for section in sections}) != len(sections):
        raise ReviewError("Two sections share one id.")
    if len(sections) > MOST:
        raise ReviewError(f"A piece has at most {MOST} sections.")
    for section in sections:
        if section.clock not in CLOCKS:
            raise ReviewError("A section begins on the clock of the force or of the footage.")
        if len(section.name) > LONGEST_NAME:
            raise ReviewError(f"The name of a section has at most {LONGEST_NAME} characters.")


def in_order(sections: Iterable[SectionBegin]) -> tuple[SectionBegin, ...]:
    """The begins as they follow each other."""
    return tuple(sorted(sections, key=lambda section: section.start_s))


@dataclass(frozen=True)
class Sections:
    """The coach's own sections, in order; none: those found count."""

    sections: tuple[SectionBegin, ...] = ()


SECTION = Table(
    "section",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "start_s": "REAL NOT NULL",
        "clock": "TEXT NOT NULL",
        "name": "TEXT NOT NULL",
    },
    ("id",),
    words=("section", "sections"),
)


def _groups(state: Sections) -> Iterable[Group]:
    for place, section in enumerate(state.sections):
        yield ready(section.id, section, (SECTION, SECTION.row(section, place=place)), place=place)


def _read(stored: Stored) -> Mapping[str, Any]:
    sections = stored.each(SECTION, _section, lambda s: check_sections((s,)))
    return {"sections": in_order(unique(sections, lambda s: s.id, "sections", stored.lenient))}


def _section(c: Cells) -> SectionBegin:
    return SectionBegin(c.text("id"), c.number("start_s"), c.word("clock", CLOCKS), c.text("name"))


def _check(state: Sections) -> None:
    check_sections(state.sections)


def _retime(state: Sections, by: float) -> Mapping[str, Any]:
    """Seconds of the force recorder stay what they are, whatever rate the film was made at."""
    return {
        "sections": tuple(
            replace(s, start_s=s.start_s * by) if s.clock == "video" else s for s in state.sections
        )
    }


PART = declare(Part(Sections, (SECTION,), _groups, _read, _check, _retime))


@dataclass(frozen=True)
class SetSections(Change):
    """Cut the piece anew: by begins of the coach's own, or with none by those found."""

    sections: tuple[SectionBegin, ...] = ()
    label: ClassVar[str] = "sections"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with these sections in place of the others."""
        named = (replace(s, name=readable(s.name)) for s in self.sections)
        return replace(state, sections=in_order(named))
