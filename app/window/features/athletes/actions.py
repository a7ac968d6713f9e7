"""The actions of the first screen."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.athletes.first_screen import FirstScreen
from app.window.features.athletes.inbox import Inbox
from app.window.features.athletes.retention import Retention

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "athletes",
        "Athletes",
        "Open",
        (),
        "See who sent something, what waits, and who was told something and is silent since.",
        lambda c: c[FirstScreen].toggle(),
        is_on=lambda c: c[FirstScreen].is_shown,
        also=(
            "library list people rowers start home first screen overview search find filter "
            "sort clients statistics delete erase export save everything all about one athlete"
        ),
    ),
    ActionRow(
        "next_athlete",
        "Open what waits longest",
        "Open",
        (),
        "Go on with the athlete who has waited longest for an answer.",
        lambda c: c[FirstScreen].open_next(),
        also="next athlete review queue waiting inbox",
    ),
    ActionRow(
        "inbox",
        "Watch an inbox folder …",
        "Open",
        (),
        "Have films and force files that come into a folder paired and proposed as submissions.",
        lambda c: c[Inbox].choose(),
        also="watch folder incoming download drafts batch automatic",
    ),
    ActionRow(
        "take_in_reviews",
        "Take in old reviews …",
        "Open",
        (),
        "Read all reviews of a folder into the library of athletes.",
        lambda c: c[FirstScreen].take_in_reviews(),
        also="import rebuild library folder",
    ),
    ActionRow(
        "kept_too_long",
        "Reviews kept too long …",
        "Open",
        (),
        "Set how long reviews are kept, see what is older, and delete what you say yes to.",
        lambda c: c[Retention].show(),
        also="retention limit months old delete athlete privacy remove forget",
    ),
)
