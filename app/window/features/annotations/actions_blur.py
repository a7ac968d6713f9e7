"""The actions of hiding faces in what is sent."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.annotations.blurring import Blurring


def _move(name: str, dx: int, dy: int) -> ActionRow:
    return ActionRow(
        f"blur_{name}",
        f"Blur a little to the {name}" if dx else f"Blur a little {name}",
        "Hide faces",
        (),
        "Move the selected blur on this frame.",
        lambda c: c[Blurring].nudge(dx, dy),
        needs="footage",
    )


BLUR: tuple[ActionRow, ...] = (
    ActionRow(
        "blur",
        "Blur a face",
        "Hide faces",
        (),
        "Drag around a face; it is followed and hidden in all that is sent. Again: leave.",
        lambda c: c[Blurring].toggle(),
        needs="footage",
        also="anonymise privacy face hide pixelate censor anonymize",
        is_on=lambda c: c[Blurring].is_on,
    ),
    ActionRow(
        "blur_here",
        "Blur at the pointer",
        "Hide faces",
        (),
        "Put the blur where the pointer is, or in the middle of the picture.",
        lambda c: c[Blurring].place_here(),
        needs="footage",
    ),
    _move("left", -1, 0),
    _move("right", 1, 0),
    _move("up", 0, -1),
    _move("down", 0, 1),
    ActionRow(
        "blur_larger",
        "Larger blur",
        "Hide faces",
        (),
        "Make the selected blur larger on this frame.",
        lambda c: c[Blurring].resize(1.1),
        needs="footage",
    ),
    ActionRow(
        "blur_smaller",
        "Smaller blur",
        "Hide faces",
        (),
        "Make the selected blur smaller on this frame.",
        lambda c: c[Blurring].resize(1 / 1.1),
        needs="footage",
    ),
    ActionRow(
        "blur_lost",
        "Go to where the face was lost",
        "Hide faces",
        (),
        "Go to the next moment at which the face was not recognised, to put the blur right.",
        lambda c: c[Blurring].next_lost(),
        needs="footage",
    ),
    ActionRow(
        "blur_from",
        "Blur from this frame on",
        "Hide faces",
        (),
        "Hide the selected face from this frame on only.",
        lambda c: c[Blurring].span_from(),
        needs="footage",
    ),
    ActionRow(
        "blur_to",
        "Blur up to this frame",
        "Hide faces",
        (),
        "Hide the selected face up to this frame only.",
        lambda c: c[Blurring].span_to(),
        needs="footage",
    ),
    ActionRow(
        "blur_whole",
        "Blur through the whole film",
        "Hide faces",
        (),
        "Hide the selected face from the first frame to the last.",
        lambda c: c[Blurring].span_whole(),
        needs="footage",
    ),
    ActionRow(
        "blur_next",
        "Next blurred face",
        "Hide faces",
        (),
        "Select another blurred face.",
        lambda c: c[Blurring].choose_next(),
        needs="footage",
    ),
    ActionRow(
        "blur_follow",
        "Follow the faces",
        "Hide faces",
        (),
        "Follow blurred faces where that was stopped or never done.",
        lambda c: c[Blurring].follow(asked=True),
        needs="footage",
    ),
    ActionRow(
        "blur_remove",
        "Show the face again",
        "Hide faces",
        (),
        "Take the selected blur away.",
        lambda c: c[Blurring].remove(),
        needs="footage",
    ),
)
