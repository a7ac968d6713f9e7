"""The body in the film: what was read of it, the points placed by hand, how tall the athlete is.

The readings are kept as they were made and never change; every click is a row beside them, and
where the points are follows from both (`app/submission/body.py`).
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from analysis.body.track import FIXED_POINTS, POINTS
from app.review.parts.body_readings import Readings, check_readings
from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

ALL_POINTS: Final = (*POINTS, *FIXED_POINTS)
LEAST_STATURE_M, MOST_STATURE_M = 0.8, 2.5
MOST_CLICKS: Final = 20_000
SAME_MOMENT_S: Final = 1e-3  # two clicks nearer than this are on one frame
_FURTHEST_PX: Final = 1e5
_SCALES: Final = (1e-4, 1e4)


@dataclass(frozen=True)
class BodyOfFilm:
    """What is known of the body in the film of the review.

    Attributes
    ----------
    readings : what was read from the pictures; None while nobody followed the body
    time_scale : seconds of the review for each second of the readings, which count as the file does
    stature_m : how tall the athlete is; None where nobody said
    """

    readings: Readings | None = None
    time_scale: float = 1.0
    stature_m: float | None = None


@dataclass(frozen=True)
class BodyClick:
    """A point of the body put onto a frame by hand.

    Attributes
    ----------
    point : one of `POINTS` or `FIXED_POINTS`
    video_s : the frame's moment
    x_px, y_px : video pixels of the upright picture as filmed
    pointed : it only says who the athlete is among several people, and is no measurement
    """

    id: str
    video_s: float
    point: str
    x_px: float
    y_px: float
    pointed: bool = False


def new_click(
    video_s: float, point: str, x_px: float, y_px: float, pointed: bool = False
) -> BodyClick:
    """A click with an id of its own."""
    return BodyClick(uuid.uuid4().hex, video_s, point, x_px, y_px, pointed)


@dataclass(frozen=True)
class Body:
    """The body in the film."""

    body: BodyOfFilm = field(default_factory=BodyOfFilm)
    body_clicks: tuple[BodyClick, ...] = ()


BODY = Table(
    "body",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "readings_id": "TEXT NOT NULL",
        "time_scale": "REAL NOT NULL",
        "stature_m": "REAL",
    },
    ("id",),
    asset="readings_id",
    words=("followed body", "followed bodies"),
    late=True,
)
CLICK = Table(
    "body_click",
    {
        "place": "INTEGER NOT NULL",
        "id": "TEXT NOT NULL",
        "video_s": "REAL NOT NULL",
        "point": "TEXT NOT NULL",
        "x_px": "REAL NOT NULL",
        "y_px": "REAL NOT NULL",
        "pointed": "INTEGER NOT NULL CHECK (pointed IN (0, 1))",
    },
    ("id",),
    words=("point of the body", "points of the body"),
    late=True,
)


def _groups(state: Body) -> Iterable[Group]:
    body, readings = state.body, state.body.readings
    if body != BodyOfFilm():
        row = BODY.row(body, id=1, readings_id="" if readings is None else readings.id)
        kept = {} if readings is None else {readings.id: readings.data}
        yield Group("body", body, lambda: [(BODY, row)], 0, lambda: kept)
    for i, click in enumerate(state.body_clicks):
        yield ready(
            f"click {click.id}", click,
            (CLICK, CLICK.row(click, place=i, pointed=int(click.pointed))), place=i,
        )  # fmt: skip


def _read(stored: Stored) -> Mapping[str, Any]:
    body = stored.one(BODY, lambda c: _body(c, stored), BodyOfFilm())
    clicks = stored.each(CLICK, _click, _check_click)
    return {
        "body": body,
        "body_clicks": unique(clicks, lambda c: c.id, "points of the body", stored.lenient),
    }


def _body(c: Cells, stored: Stored) -> BodyOfFilm:
    asset_id = c.text("readings_id")
    readings = Readings(stored.asset(asset_id)) if asset_id else None
    body = BodyOfFilm(readings, c.number("time_scale"), c.number_or_none("stature_m"))
    _check_body(body)
    return body


def _click(c: Cells) -> BodyClick:
    return BodyClick(
        c.text("id"), c.number("video_s"), c.word("point", ALL_POINTS), c.number("x_px"),
        c.number("y_px"), c.flag("pointed"),
    )  # fmt: skip


def _check(state: Body) -> None:
    _check_body(state.body)
    if len(state.body_clicks) > MOST_CLICKS:
        raise ReviewError("There are more points of the body than a review can keep.")
    unique(state.body_clicks, lambda c: c.id, "points of the body", lenient=False)
    for click in state.body_clicks:
        _check_click(click)


def _check_body(body: BodyOfFilm) -> None:
    if not _SCALES[0] <= body.time_scale <= _SCALES[1]:
        raise ReviewError("The body was followed on a clock no film has; follow it again.")
    if body.stature_m is not None and not LEAST_STATURE_M <= body.stature_m <= MOST_STATURE_M:
        raise ReviewError("Nobody is that tall; give metres, such as 1.84.")
    if body.readings is not None:
        check_readings(body.readings)


def _check_click(click: BodyClick) -> None:
    if click.point not in ALL_POINTS:
        raise ReviewError("A point of the body has a name nobody knows.")
    if not all(abs(value) <= _FURTHEST_PX for value in (click.x_px, click.y_px)):
        raise ReviewError("A point of the body lies far out of the picture.")


def _retime(state: Body, by: float) -> Mapping[str, Any]:
    body = state.body
    if body.readings is not None:
        body = replace(body, time_scale=body.time_scale * by)
    return {
        "body": body,
        "body_clicks": tuple(replace(c, video_s=c.video_s * by) for c in state.body_clicks),
    }


PART = declare(Part(Body, (BODY, CLICK), _groups, _read, _check, _retime))

GONE: Final = "That point is no longer in the review"


@dataclass(frozen=True)
class SetBody(Change):
    """Take in what was followed; points placed by hand stay.

    Attributes
    ----------
    pointed : the clicks that said who the athlete is
    """

    readings: Readings
    time_scale: float = 1.0
    pointed: tuple[BodyClick, ...] = ()
    label: ClassVar[str] = "follow the body"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with these readings."""
        if state.video is None:
            raise ReviewError("There is no footage; nothing was changed.")
        placed = tuple(c for c in state.body_clicks if not c.pointed)
        body = replace(state.body, readings=self.readings, time_scale=self.time_scale)
        return replace(state, body=body, body_clicks=(*self.pointed, *placed))


@dataclass(frozen=True)
class PlaceClick(Change):
    """Put a point onto a frame; one that was placed there before gives way."""

    click: BodyClick
    label: ClassVar[str] = "place a point"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that point."""
        new = self.click
        kept = tuple(c for c in state.body_clicks if not _is_same(c, new))
        return replace(state, body_clicks=(*kept, new))


def _is_same(old: BodyClick, new: BodyClick) -> bool:
    return (
        old.point == new.point
        and old.pointed == new.pointed
        and abs(old.video_s - new.video_s) < SAME_MOMENT_S
    )


@dataclass(frozen=True)
class MoveClick(Change):
    """Put a placed point elsewhere on its frame. Changes of one `gesture` are one undo step."""

    click_id: str
    x_px: float
    y_px: float
    gesture: str = ""
    label: ClassVar[str] = "move a point"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the point there."""
        old = found(state.body_clicks, self.click_id, GONE)
        new = replace(old, x_px=self.x_px, y_px=self.y_px)
        return replace(state, body_clicks=put(state.body_clicks, new))

    def merges_with(self, previous: Change) -> bool:
        """The steps of one drag merge."""
        return self.goes_on_from(previous, "click_id")


@dataclass(frozen=True)
class RemoveClick(Change):
    """Take a placed point back: the film alone says where it is."""

    click_id: str
    label: ClassVar[str] = "remove a point"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without it."""
        gone = found(state.body_clicks, self.click_id, GONE)
        return replace(state, body_clicks=without(state.body_clicks, gone))


@dataclass(frozen=True)
class SetStature(Change):
    """Say how tall the athlete is, metres; None where nobody knows."""

    stature_m: float | None
    label: ClassVar[str] = "stature"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that stature."""
        return replace(state, body=replace(state.body, stature_m=self.stature_m))


@dataclass(frozen=True)
class RemoveBody(Change):
    """Forget what was followed and placed; how tall the athlete is stays."""

    label: ClassVar[str] = "forget the body"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without a body."""
        return without_body(state)


def without_body(state: ReviewState) -> ReviewState:
    """A state in which nobody was followed."""
    body = BodyOfFilm(stature_m=state.body.stature_m)
    return replace(state, body=body, body_clicks=())
