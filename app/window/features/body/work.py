"""What is done away from the window: following in a process of its own, the rest in a thread."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.body.following.next_click import NextClick
    from analysis.body.track import Click
    from app.review.parts.body_readings import Readings

FOLLOW = "app.window.features.body.work:follow_film"
READ_FRAMES = "app.window.features.body.work:read_frames"
CARRY = "app.window.features.body.work:carry_on"
FOLLOW_MACHINE = "app.window.features.body.work:follow_machine_in"


def follow_film(
    path: Path, pointed: Sequence[Click], report: Callable[[float, str], None]
) -> Readings:
    """Follow the athlete through a film and give what was read, as a review keeps it.

    Parameters
    ----------
    pointed : hip and head of the athlete, where there are several people; seconds of the file
    report : called with a share from 0 to 1 and what is being done

    Raises
    ------
    BodyError
        As `app.body.track_film.followed_film`.
    """
    from app.body.track_film import followed_film
    from app.review.parts.body_readings import readings_of

    found = followed_film(path, pointed, None, lambda share: report(share, "Following the body"))
    return readings_of(found.observed)


def follow_machine_in(
    path: Path, readings: Readings, clicks: Sequence[Click], report: Callable[[float, str], None]
) -> Readings:
    """Follow handle, seat and fixed points and give the readings with them.

    Parameters
    ----------
    clicks : on points of the machine, seconds of the file
    report : called with a share from 0 to 1 and what is being done

    Raises
    ------
    BodyError
        As `app.body.machine.machine_followed`.
    """
    from app.body.machine import machine_followed
    from app.review.parts.body_readings import readings_of

    found = machine_followed(
        path, readings.observed, clicks, lambda: False,
        lambda share: report(share, "Following the machine"),
    )  # fmt: skip
    return readings_of(found)


def read_frames(path: Path, report: Callable[[float, str], None]) -> Readings:
    """Read of a film what placing by hand needs, and of the body nothing.

    Raises
    ------
    BodyError
        As `app.body.by_hand.frames_read`.
    """
    from app.body.by_hand import frames_read
    from app.review.parts.body_readings import readings_of

    said = "Looking for strokes in the picture"
    return readings_of(frames_read(path, lambda: False, lambda share: report(share, said)))


def carry_on(
    path: Path, readings: Readings, clicks: Sequence[Click], report: Callable[[float, str], None]
) -> Readings:
    """Carry points placed in one stroke through the film and give the readings with them.

    Raises
    ------
    BodyError
        As `app.body.by_hand.carried_on`.
    """
    from app.body.by_hand import carried_on
    from app.review.parts.body_readings import readings_of

    found = carried_on(
        path, readings.observed, clicks, lambda: False,
        lambda share: report(share, "Carrying the points through the film"),
    )  # fmt: skip
    return readings_of(found)


def next_worth(readings: Readings, clicks: Sequence[Click]) -> NextClick | None:
    """Say which frame is most worth a click; None where nothing is left to place."""
    from analysis.body.following.estimate import posterior
    from analysis.body.following.next_click import next_click

    return next_click(posterior(readings.observed, clicks))
