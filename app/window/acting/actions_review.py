"""The actions on the review: taking in, sending, notes, the target, help."""

from __future__ import annotations

from app.window.acting.action_row import ActionRow

SUBMISSION: tuple[ActionRow, ...] = (
    ActionRow(
        "open",
        "Open footage, force or a review …",
        "Take in",
        ("Ctrl+O",),
        "Choose an athlete's footage and force file together, or a review begun before.",
        lambda c: c.opening.choose(),
    ),
    ActionRow(
        "find",
        "Find a recording …",
        "Take in",
        (),
        "Point to where the review's footage or force file lies now.",
        lambda c: c.opening.find_recording(),
        needs="review",
    ),
    ActionRow(
        "sample",
        "Open the sample submission",
        "Take in",
        (),
        "Try the bench on a simulated athlete.",
        lambda c: c.opening.open_sample(),
    ),
    ActionRow(
        "name",
        "Name the athlete",
        "Take in",
        ("F2",),
        "Type the athlete's name and the title that the bundle shows.",
        lambda c: c.names.begin(),
        needs="review",
    ),
    ActionRow(
        "send_panel",
        "Send …",
        "Feedback bundle",
        ("Ctrl+Shift+E",),
        "Pick the notes, write the words around them, see the size, look at it, and write it.",
        lambda c: c.sending.show_panel(),
        needs="review",
    ),
    ActionRow(
        "send",
        "Write the feedback bundle",
        "Feedback bundle",
        ("Ctrl+E",),
        "Write what the athlete gets, as a folder beside the review.",
        lambda c: c.sending.write(),
        needs="review",
    ),
    ActionRow(
        "send_zip",
        "Write the bundle as one zip file",
        "Feedback bundle",
        (),
        "The same bundle packed for sending.",
        lambda c: c.sending.write("zip"),
        needs="review",
    ),
    ActionRow(
        "send_page",
        "Write the bundle as one web page",
        "Feedback bundle",
        (),
        "The same bundle as a single file that opens anywhere.",
        lambda c: c.sending.write("page"),
        needs="review",
    ),
    ActionRow(
        "answers",
        "Open an athlete's answers …",
        "What comes back",
        ("Ctrl+Shift+A",),
        "Take in what an athlete's page saved, or look into a bundle somebody sent.",
        lambda c: c.answers.choose(),
    ),
)

EDIT: tuple[ActionRow, ...] = (
    ActionRow(
        "undo",
        "Undo",
        "Changes",
        ("Ctrl+Z",),
        "Take the last change of the review back.",
        lambda c: c.desk.undo(),
        needs="review",
    ),
    ActionRow(
        "redo",
        "Redo",
        "Changes",
        ("Ctrl+Shift+Z", "Ctrl+Y"),
        "Do again what was taken back.",
        lambda c: c.desk.redo(),
        needs="review",
    ),
)

KEEP: tuple[ActionRow, ...] = (
    ActionRow(
        "save_as",
        "Save as …",
        "The review's file",
        ("Ctrl+Shift+S",),
        "Go on in a file of another name or in another place, also where the old one is gone.",
        lambda c: c.way_out.save_as(),
        needs="review",
    ),
    ActionRow(
        "versions",
        "Earlier versions …",
        "The review's file",
        (),
        "See what the review was before earlier sessions, and open a copy of one.",
        lambda c: c.way_out.show_versions(),
        needs="review",
    ),
    ActionRow(
        "rescued",
        "Rescued copies …",
        "The review's file",
        (),
        "See the copies that hold work which could not be saved in its place.",
        lambda c: c.way_out.rescued.show(),
    ),
)

NOTE: tuple[ActionRow, ...] = (
    ActionRow(
        "note",
        "Note here",
        "Note",
        ("N",),
        "Pin a note to this moment and type; Esc when done. Playing goes on.",
        lambda c: c.notes.drop(),
        needs="review",
        in_bar="Note",
    ),
    ActionRow(
        "delete_note",
        "Delete the note",
        "Note",
        ("Delete",),
        "Take the chosen note away.",
        lambda c: c.notes.delete(),
        needs="review",
    ),
)

FINDING: tuple[ActionRow, ...] = (
    ActionRow(
        "next_finding",
        "Next finding",
        "Findings",
        ("F",),
        "Take the next finding in hand: its number on the curve, its moment in the picture.",
        lambda c: c.findings.choose_next(1),
        needs="force",
    ),
    ActionRow(
        "previous_finding",
        "Previous finding",
        "Findings",
        ("Shift+F",),
        "Take the finding before in hand.",
        lambda c: c.findings.choose_next(-1),
        needs="force",
    ),
    ActionRow(
        "keep_finding",
        "Keep the finding",
        "Findings",
        ("K",),
        "Make the finding in hand a note with its cue and drill.",
        lambda c: c.findings.keep(),
        needs="force",
    ),
    ActionRow(
        "reword_finding",
        "Keep and reword the finding",
        "Findings",
        ("E",),
        "Make the finding in hand a note and type your own words at once.",
        lambda c: c.findings.reword(),
        needs="force",
    ),
    ActionRow(
        "drop_finding",
        "Drop the finding",
        "Findings",
        ("X",),
        "Drop the finding in hand, or open it again; it does not reach the athlete.",
        lambda c: c.findings.drop(),
        needs="force",
    ),
    ActionRow(
        "thresholds",
        "Thresholds …",
        "Findings",
        (),
        "See and change the numbers that the findings are held against.",
        lambda c: c.show_thresholds(),
        needs="review",
    ),
)

TARGET: tuple[ActionRow, ...] = (
    ActionRow(
        "target_steady",
        "Target for steady rowing",
        "Target",
        ("T",),
        "A soft build-up, a plateau that reaches late, then a decline.",
        lambda c: c.target.use_preset("steady"),
        needs="force",
    ),
    ActionRow(
        "target_race",
        "Target for racing",
        "Target",
        ("Shift+T",),
        "A softer catch and a shorter plateau.",
        lambda c: c.target.use_preset("racing"),
        needs="force",
    ),
    ActionRow(
        "target_draw",
        "Draw the target",
        "Target",
        ("D",),
        "Draw the curve to row towards with the mouse.",
        lambda c: c.target.toggle_drawing(),
        needs="force",
    ),
    ActionRow(
        "flywheel",
        "Flywheel …",
        "Target",
        (),
        "Say what is known of the flywheel that the target's table is reckoned on.",
        lambda c: c.show_flywheel(),
        needs="review",
    ),
    ActionRow(
        "target_remove",
        "Remove the target",
        "Target",
        (),
        "Take the target curve away.",
        lambda c: c.target.remove(),
        needs="review",
    ),
)

HELP: tuple[ActionRow, ...] = (
    ActionRow(
        "keys",
        "Keys",
        "Help",
        ("F1",),
        "Show every action with its key.",
        lambda c: c.show_keys(),
    ),
    ActionRow(
        "search",
        "Find an action",
        "Help",
        ("Ctrl+K",),
        "Type a few letters of what you want to do.",
        lambda c: c.search(),
    ),
)

CLOSE: tuple[ActionRow, ...] = (
    ActionRow(
        "quit",
        "Quit",
        "Bench",
        ("Ctrl+Q",),
        "Close the bench; where something is not saved, it asks first.",
        lambda c: c.quit(),
    ),
)
