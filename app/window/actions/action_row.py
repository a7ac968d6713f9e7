"""What one action is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.window.actions.context import ActionContext


@dataclass(frozen=True)
class ActionRow:
    """One action: its name, where it hangs, its keys, what it does and what the help says.

    Attributes
    ----------
    section : the part of a menu it hangs in; `menu_order.MENUS` says which menu that is
    needs : name of a condition: "" always; "recordings" something open; "review" a review;
        "footage"; "force"; "drawing" while a mode is on that Escape ends; and what features add
    in_bar : also a button under the picture, with this short name
    is_on : for what is on or off: whether it is on; it has a tick in the menus then
    first_for : words of a search before all others' titles, for what they ask for is this
    also : everyday words it is looked for by, besides those of its title and help
    """

    name: str
    title: str
    section: str
    keys: tuple[str, ...]
    help: str
    run: Callable[[ActionContext], object]
    needs: str = ""
    in_bar: str = ""
    also: str = ""
    first_for: str = ""
    is_on: Callable[[ActionContext], bool] | None = None
