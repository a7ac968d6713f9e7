"""The errors of this room."""

from __future__ import annotations


class BodyError(ValueError):
    """Points that cannot be followed or read. The message is one sentence for the user."""


class NotSetUpError(BodyError):
    """What finds a body in a film is not on this machine."""


class SeveralPeopleError(BodyError):
    """Somebody has to say which of the people in the film is the athlete."""
