"""Every feature of the window, listed once."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.actions.feature import Feature
from app.window.actions.menu_order import in_order
from app.window.actions.window_actions import WINDOW_ACTIONS
from app.window.features.annotations.annotation_tools import AnnotationTools
from app.window.features.answers.feature import AnswersFeature
from app.window.features.athletes.feature import AthletesFeature
from app.window.features.body.feature import BodyFeature
from app.window.features.comparing.feature import ComparingFeature
from app.window.features.curve_picture.feature import CurvePictureFeature
from app.window.features.findings.feature import FindingsFeature
from app.window.features.footage.feature import FootageFeature
from app.window.features.help.feature import HelpFeature
from app.window.features.last_time.feature import LastTimeFeature
from app.window.features.line_up.feature import LineUpFeature
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.second_view.feature import SecondViewFeature
from app.window.features.sections.feature import SectionsFeature
from app.window.features.sending.feature import SendingFeature
from app.window.features.shelf.feature import ShelfFeature
from app.window.features.signals.feature import SignalsFeature
from app.window.features.stroke_strip.feature import StrokeStripFeature
from app.window.features.target.feature import TargetFeature
from app.window.features.walkthrough.feature import WalkthroughFeature

# Where several stand in one place, in this order.
FEATURES: tuple[type[Feature], ...] = (
    ReviewFileFeature,
    AthletesFeature,
    FindingsFeature,
    NotesFeature,
    ShelfFeature,
    LineUpFeature,
    SendingFeature,
    AnswersFeature,
    LastTimeFeature,
    AnnotationTools,
    FootageFeature,
    SecondViewFeature,
    SignalsFeature,
    SectionsFeature,
    TargetFeature,
    CurvePictureFeature,
    ComparingFeature,
    StrokeStripFeature,
    BodyFeature,
    WalkthroughFeature,
    HelpFeature,
)

ACTIONS: tuple[ActionRow, ...] = in_order(
    (*(row for kind in FEATURES for row in kind.actions), *WINDOW_ACTIONS)
)
