"""The actions of the body."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.body.by_hand import ByHand
from app.window.features.body.following import Following
from app.window.features.body.machine import Machine
from app.window.features.body.placing import Placing
from app.window.features.body.skeleton_sheet import SkeletonSheet
from app.window.features.body.stature import Stature

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "follow_body",
        "Follow the body",
        "Body",
        (),
        "Find the athlete's joints in every frame: strokes, angles and the order of movement are "
        "read from the picture then, also without a force file.",
        lambda c: c[Following].follow(),
        needs="footage",
        also="pose skeleton joints track detect athlete angles",
    ),
    ActionRow(
        "body_by_hand",
        "Place the body by hand",
        "Body",
        (),
        "Without anything that finds joints: place them in eight moments of one stroke; they are "
        "carried to all the others.",
        lambda c: c[ByHand].begin(),
        needs="footage",
        also="manual click digitise joints skeleton offline",
    ),
    ActionRow(
        "show_body",
        "Show the body",
        "Body",
        (),
        "Lay the followed joints over the picture; a ring says how sure a joint is.",
        lambda c: c[SkeletonSheet].show_body(not c[SkeletonSheet].is_shown),
        needs="body",
        also="skeleton overlay joints hide",
        is_on=lambda c: c[SkeletonSheet].is_shown,
    ),
    ActionRow(
        "place_point",
        "Place a point by hand",
        "Body",
        (),
        "Drag a joint to where it is; what is known of all other frames gets better with it.",
        lambda c: c[Placing].toggle(),
        needs="body",
        also="correct joint click move put right digitise",
        is_on=lambda c: c[Placing].is_on,
    ),
    ActionRow(
        "take_back_point",
        "Take a placed point back",
        "Body",
        (),
        "Remove the point placed last on this frame: the film alone says where it is then.",
        lambda c: c[Placing].take_back(),
        needs="body",
        also="delete remove joint click by hand",
    ),
    ActionRow(
        "next_point",
        "Next point worth a click",
        "Body",
        (),
        "Go to the frame where a joint placed by hand makes the angles of all frames surest.",
        lambda c: c[Placing].go_to_next(),
        needs="body",
        also="suggest uncertain correct joint",
    ),
    ActionRow(
        "place_handle_seat",
        "Place handle and seat",
        "Body",
        (),
        "Click handle and seat once; they are then followed through the film.",
        lambda c: c[Machine].place_moving(),
        needs="body",
        also="grip slide machine follow track",
    ),
    ActionRow(
        "place_fixed_points",
        "Place fixed points of the machine",
        "Body",
        (),
        "Click what stands still: it takes the camera's creep out, and the bars on the floor tell "
        "how far the camera stood off square.",
        lambda c: c[Machine].place_fixed(),
        needs="body",
        also="stretcher foot plate rail wheel camera yaw tilt angle square",
    ),
    ActionRow(
        "stature",
        "Athlete's stature …",
        "Body",
        (),
        "Say how tall the athlete is: ways seen in the picture are then told in metres.",
        lambda c: c[Stature].ask(),
        needs="footage",
        also="height tall scale metres",
    ),
    ActionRow(
        "forget_body",
        "Forget the body",
        "Body",
        (),
        "Drop what was followed and placed by hand; undo brings it back.",
        lambda c: c[Following].forget(),
        needs="body",
        also="delete remove skeleton",
    ),
)
