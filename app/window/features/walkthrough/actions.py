"""The actions of walkthroughs."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.actions.context import ActionContext
from app.window.features.walkthrough.walkthroughs import Walkthroughs
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection


def _leave_out(c: ActionContext) -> None:
    there = {mark.id for mark in c[ReviewSession].state.marks}
    chosen = c[Selection].mark_id
    c[Walkthroughs].walks.leave_out(chosen if chosen in there else "")


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "record_walk",
        "Record a walkthrough",
        "Walkthrough",
        ("F9",),
        "Record your voice and everything you show, until you press it again.",
        lambda c: c[Walkthroughs].toggle_recording(),
        needs="review",
        in_bar="Walkthrough",
        also="screen recording screencast video voiceover narrate movie",
        is_on=lambda c: c[Walkthroughs].recorder.is_on,
    ),
    ActionRow(
        "throw_walk_away",
        "Discard the recording",
        "Walkthrough",
        (),
        "End the recording of the walkthrough and delete it.",
        lambda c: c[Walkthroughs].recorder.throw_away(),
        needs="review",
    ),
    ActionRow(
        "play_walk",
        "Play the walkthrough",
        "Walkthrough",
        ("F8",),
        "Play the chosen walkthrough here, with its voice; again to stop.",
        lambda c: c[Walkthroughs].toggle_playing(),
        needs="review",
        also="watch",
        is_on=lambda c: c[Walkthroughs].player.is_on,
    ),
    ActionRow(
        "walk_from",
        "Start of the span",
        "Walkthrough",
        (),
        "Begin a span where the walkthrough stands, to cut it out or to caption it.",
        lambda c: c[Walkthroughs].walks.span_from(),
        needs="review",
    ),
    ActionRow(
        "walk_to",
        "End of the span",
        "Walkthrough",
        (),
        "End the span where the walkthrough stands.",
        lambda c: c[Walkthroughs].walks.span_to(),
        needs="review",
    ),
    ActionRow(
        "walk_cut",
        "Cut the span out",
        "Walkthrough",
        (),
        "Leave the chosen span out of the walkthrough; nothing is lost.",
        lambda c: c[Walkthroughs].walks.cut_out(),
        needs="review",
        also="trim edit crop shorten clip",
    ),
    ActionRow(
        "walk_back",
        "Bring back a cut",
        "Walkthrough",
        (),
        "Bring back what was cut out where the walkthrough stands.",
        lambda c: c[Walkthroughs].walks.bring_back(),
        needs="review",
    ),
    ActionRow(
        "walk_words",
        "Caption",
        "Walkthrough",
        ("F7",),
        "Type words for the chosen span, or for the seconds from here on.",
        lambda c: c[Walkthroughs].begin_words(),
        needs="review",
        also="subtitle captions text",
    ),
    ActionRow(
        "walk_curve",
        "Curve in the walkthrough on / off",
        "Walkthrough",
        (),
        "While recording: show the force curve under the walkthrough's picture, or not.",
        lambda c: c[Walkthroughs].recorder.toggle_curve(),
        needs="review",
    ),
    ActionRow(
        "walk_leave_out",
        "Leave the chosen mark out",
        "Walkthrough",
        (),
        "Do not show the chosen mark in the walkthrough, or show it again; the mark itself stays.",
        _leave_out,
        needs="review",
    ),
    ActionRow(
        "write_walk",
        "Write the walkthrough as a film",
        "Walkthrough",
        (),
        "Write the chosen walkthrough as MP4 beside the review, at the film's own size.",
        lambda c: c[Walkthroughs].walks.write(),
        needs="review",
        also="export mp4 movie video save share",
    ),
    ActionRow(
        "delete_walk",
        "Delete the walkthrough",
        "Walkthrough",
        (),
        "Take the chosen walkthrough away; undo brings it back.",
        lambda c: c[Walkthroughs].walks.delete(),
        needs="review",
    ),
)
