"""The actions of curves read from pictures."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.curve_picture.picture_reading import PictureReading
from app.window.features.curve_picture.shown_curves import ShownCurves

SECTION = "Curves from pictures"
ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "curve_from_picture",
        "Read a curve from a picture …",
        SECTION,
        (),
        "Read a force curve from a photo of a screen or paper, or from a screen shot.",
        lambda c: c[PictureReading].choose(),
        needs="review",
        also="photo screenshot digitise digitize scan image jpeg png trace import",
    ),
    ActionRow(
        "curve_from_frame",
        "Read a curve from this frame …",
        SECTION,
        (),
        "Read a force curve that is seen in the film, such as on the monitor, from this frame.",
        lambda c: c[PictureReading].read_frame(),
        needs="footage",
        also="photo screenshot digitise monitor screen display",
    ),
    ActionRow(
        "read_curve_target",
        "Row towards the curve from the picture",
        SECTION,
        (),
        "Make the chosen curve that was read from a picture the target.",
        lambda c: c[ShownCurves].use_as_target(),
        needs="read curves",
        also="ideal goal model reference",
    ),
    ActionRow(
        "read_curve_shown",
        "Show or hide the curve from the picture",
        SECTION,
        (),
        "Draw the chosen curve that was read from a picture beside the athlete's, or hide it.",
        lambda c: c[ShownCurves].toggle(),
        needs="read curves",
        also="overlay reference compare",
    ),
    ActionRow(
        "read_curve_remove",
        "Remove the curve from the picture",
        SECTION,
        (),
        "Take the chosen curve that was read from a picture out of the review.",
        lambda c: c[ShownCurves].remove(),
        needs="read curves",
        also="delete clear",
    ),
)
