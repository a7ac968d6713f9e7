"""The actions of the review and its file."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.review_file.archiving import Archiving
from app.window.features.review_file.closing import ReviewClosing
from app.window.features.review_file.films_dialog import FilmsOfPiece
from app.window.features.review_file.name_panel import NamePanel
from app.window.features.review_file.opening import Opening
from app.window.features.review_file.recent import RecentReviews
from app.window.features.review_file.review_files import ReviewFiles
from app.window.session.review_session import ReviewSession

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "open",
        "Open footage, force or a review …",
        "Open",
        ("Ctrl+O",),
        "Choose an athlete's footage and force file together, or a review begun before.",
        lambda c: c[Opening].choose(),
        also=(
            "import load file folder video film clip recent new add csv excel spreadsheet "
            "upload convert xlsx json zip"
        ),
    ),
    ActionRow(
        "recent",
        "Open recent",
        "Open",
        (),
        "Go on with a review worked on lately, listed by athlete and day.",
        lambda c: c[RecentReviews].show(),
        also="last lately previous history again reopen athlete",
    ),
    ActionRow(
        "close",
        "Close the review",
        "Open",
        ("Ctrl+W",),
        "Go back to the empty bench; all is saved, and the place you are at is kept.",
        lambda c: c[ReviewClosing].close_review(),
        needs="review",
        also="end finish leave done empty",
    ),
    ActionRow(
        "find",
        "Find a recording …",
        "Open",
        (),
        "Point to where the review's footage or force file lies now.",
        lambda c: c[Opening].find_recording(),
        needs="review",
        also="missing lost moved relink locate",
    ),
    ActionRow(
        "films",
        "Films of this piece …",
        "Open",
        (),
        "See which films show this piece and where each begins; add one, move it or remove it.",
        lambda c: c[FilmsOfPiece].show(),
        needs="footage",
        also="parts cut several second view camera angle join add remove clips combine merge",
    ),
    ActionRow(
        "sample",
        "Open the sample submission",
        "Open",
        (),
        "Try Strokeside on a simulated athlete.",
        lambda c: c[Opening].open_sample(),
        also="demo example try tutorial",
    ),
    ActionRow(
        "name",
        "Name the athlete",
        "Open",
        ("F2",),
        "Type the athlete's name and the title that the bundle shows.",
        lambda c: c[NamePanel].begin(),
        needs="review",
        also="athlete who person rower rename label client",
    ),
    ActionRow(
        "undo",
        "Undo",
        "Changes",
        ("Ctrl+Z",),
        "Take the last change of the review back.",
        lambda c: c[ReviewSession].undo(),
        needs="review",
        also="back revert mistake",
    ),
    ActionRow(
        "redo",
        "Redo",
        "Changes",
        ("Ctrl+Y",),
        "Do again what was taken back.",
        lambda c: c[ReviewSession].redo(),
        needs="review",
        also="again forward",
    ),
    ActionRow(
        "save_as",
        "Save as …",
        "The review's file",
        (),
        "Go on in a file of another name or in another place, also where the old one is gone.",
        lambda c: c[ReviewFiles].save_as(),
        needs="review",
        also="copy duplicate export rename backup autosave package",
    ),
    ActionRow(
        "archive",
        "Save with recordings …",
        "The review's file",
        (),
        "Write the review and its films and force as one file, to be opened on another machine.",
        lambda c: c[Archiving].begin(),
        needs="review",
        also="archive zip whole media export move machine pack together backup",
    ),
    ActionRow(
        "versions",
        "Earlier versions …",
        "The review's file",
        (),
        "See what the review was before earlier sessions, and open a copy of one.",
        lambda c: c[ReviewFiles].show_versions(),
        needs="review",
        also="history backup restore older revert",
    ),
    ActionRow(
        "rescued",
        "Rescued copies …",
        "The review's file",
        (),
        "See the copies that hold work which could not be saved in its place.",
        lambda c: c[ReviewFiles].rescued.show(),
        also="recover lost crash restore",
    ),
)
