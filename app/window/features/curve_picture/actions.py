"""The actions of curves read from pictures."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.curve_picture.picture_reading import PictureReading

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "curve_from_picture",
        "Read a curve from a picture …",
        "Open",
        (),
        "Read a force curve from a photo of a screen or paper, or from a screen shot.",
        lambda c: c[PictureReading].choose(),
        needs="review",
        also="photo screenshot digitise digitize scan image jpeg png trace import",
    ),
    ActionRow(
        "curve_from_frame",
        "Read a curve from this frame …",
        "View",
        (),
        "Read a force curve that is seen in the film, such as on the monitor, from this frame.",
        lambda c: c[PictureReading].read_frame(),
        needs="footage",
        also="photo screenshot digitise monitor screen display",
    ),
)
