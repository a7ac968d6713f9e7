"""The one table of actions. Menus, keys, the key card and the search are all made from it."""

from __future__ import annotations

from app.window.acting.action_row import ActionRow
from app.window.acting.actions_blur import BLUR
from app.window.acting.actions_comparing import COMPARE
from app.window.acting.actions_curve import CURVE
from app.window.acting.actions_drawing import DRAW
from app.window.acting.actions_looking import MOVE, PICTURE, TRACE
from app.window.acting.actions_review import EDIT, FINDING, HELP, NOTE, SUBMISSION, TARGET
from app.window.acting.actions_voice import VOICE
from app.window.acting.actions_walkthrough import WALKTHROUGH

# In the order of the menus.
ACTIONS: tuple[ActionRow, ...] = (
    *SUBMISSION,
    *EDIT,
    *MOVE,
    *PICTURE,
    *DRAW,
    *BLUR,
    *COMPARE,
    *TRACE,
    *FINDING,
    *NOTE,
    *VOICE,
    *WALKTHROUGH,
    *TARGET,
    *CURVE,
    *HELP,
)
