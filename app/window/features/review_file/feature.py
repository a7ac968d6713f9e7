"""Opening a review, naming it, and its file."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.review_file.actions import ACTIONS
from app.window.features.review_file.archiving import ArchiveOpening, Archiving
from app.window.features.review_file.choosing import Choosing
from app.window.features.review_file.closing import ReviewClosing
from app.window.features.review_file.films_dialog import FilmsOfPiece
from app.window.features.review_file.invitation import Invitation
from app.window.features.review_file.name_panel import NamePanel
from app.window.features.review_file.opening import Opening
from app.window.features.review_file.packed import PackedSubmissions
from app.window.features.review_file.place_kept import PlaceKept
from app.window.features.review_file.question_panel import QuestionPanel
from app.window.features.review_file.recent import RecentReviews
from app.window.features.review_file.review_files import ReviewFiles
from app.window.features.review_file.saved_sign import SavedSign
from app.window.session.coach_library import CoachLibrary
from app.window.session.further_films import FurtherFilms
from app.window.session.incoming_files import IncomingFiles
from app.window.session.known_recordings import KnownRecordings
from app.window.session.library_filling import LibraryFilling
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.tasks.unfinished import UnfinishedWork
from app.window.views.stage import Stage
from app.window.views.trace_view import TraceView


class ReviewFileFeature(Feature):
    """How to begin, whose review it is, how it is saved, and what helps when it is not."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        window, session = context[QMainWindow], context[ReviewSession]
        jobs, messages = context[Jobs], context[Messages]
        opening = Opening(window, session, jobs, messages, context[IncomingFiles])
        context[KnownRecordings].find = opening.find_recording
        self.question = QuestionPanel()
        session.question_asked.connect(self.question.ask)
        self.question.answered.connect(session.answer)
        # A low screen has no room for both, and the trace waits for the answer.
        self.question.asking.connect(context[TraceView].setHidden)
        names = NamePanel(session, context[CoachLibrary], context[LibraryFilling])
        self.recent = RecentReviews(session, context[Settings], window)
        further = FurtherFilms(session, jobs, messages)
        Choosing(session, jobs, messages, window, further)
        context.offer(
            further,
            FilmsOfPiece(session, further, window),
            opening,
            names,
            ReviewFiles(session, jobs, messages, window),
            Archiving(session, jobs, messages, window),
            self.recent,
            ReviewClosing(session, context[Playhead], context[UnfinishedWork]),
        )

    def lay_out(self, places: Places) -> None:
        """The invitation on the stage, the names beside the tasks, the sign at the end."""
        session = self.context[ReviewSession]
        # Last, after those who know a .zip of their own, as the athlete's answers.
        jobs, messages = self.context[Jobs], self.context[Messages]
        archives = ArchiveOpening(session, jobs, messages, self.context[QMainWindow])
        packed = PackedSubmissions(session, jobs, messages, archives)
        self.context[IncomingFiles].add(packed.take)
        self.place = PlaceKept(session, self.context[Playhead], places.tabs)
        if "recent" in places.actions:
            places.actions["recent"].setMenu(self.recent.menu)
        self.invitation = Invitation(self.context[Stage], session, self.recent)
        self.invitation.lay_out(places.actions)
        places.over_trace.append(self.question)
        names = self.context[NamePanel]
        places.task_corner.append(names)
        places.end_of_line.append(SavedSign(session.safe))
        places.tab_order += [places.stage, names.athlete, names.title]

    def close(self) -> None:
        """Remember whose the review is, and where it was left."""
        self.recent.remember()
        self.place.keep()
