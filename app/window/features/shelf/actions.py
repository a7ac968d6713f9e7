"""The actions of the shelf."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow
from app.window.actions.context import ActionContext
from app.window.features.shelf.kept_explanations import KeptExplanations


def show_shelf(c: ActionContext) -> None:
    """Open the list of what is kept, or come back to it."""
    from app.window.features.shelf.shelf_dialog import ShelfDialog

    open_now = c[QMainWindow].findChildren(ShelfDialog)
    if open_now:
        open_now[0].activateWindow()
        return
    ShelfDialog(c[KeptExplanations].shelf, c[KeptExplanations].look_again, c[QMainWindow]).show()


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "use_explanation",
        "Use the kept explanation",
        "Note",
        ("U",),
        "Put what you explained before onto this athlete's frame: words, voice, marks and drill, as"
        " a note you can edit; again for the next finding that has one.",
        lambda c: c[KeptExplanations].use(),
        needs="strokes",
        also="shelf reuse template again offered saved same as last time insert",
    ),
    ActionRow(
        "keep_explanation",
        "Keep this explanation",
        "Note",
        (),
        "Keep the chosen note on your shelf with its voice, marks and drill; it is offered when"
        " somebody shows the same finding.",
        lambda c: c[KeptExplanations].keep(),
        needs="review",
        also="shelf save reuse template favourite library remember",
    ),
    ActionRow(
        "shelf",
        "Kept explanations …",
        "Note",
        (),
        "See your shelf of explanations; rename, remove, export and import them.",
        show_shelf,
        also="shelf library templates manage share colleague backup",
    ),
)
