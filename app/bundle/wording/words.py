"""The fixed wording of a bundle, in one table so that it can be read, changed and translated.

Placeholders in braces are filled by `str.format`; nothing here is HTML.
"""

from __future__ import annotations

from typing import Final

from app.bundle.wording.words_back import BACK_ENGLISH
from app.bundle.wording.words_comparison import COMPARISON_ENGLISH
from app.bundle.wording.words_last_time import LAST_TIME_ENGLISH
from app.bundle.wording.words_picture import PICTURE_ENGLISH
from app.bundle.wording.words_session import SESSION_ENGLISH

Words = dict[str, str]

ENGLISH: Final[Words] = {
    "language": "en",
    "direction": "ltr",
    "decimal": ".",
    "draft": "Draft: no coach has seen this. A program prepared it from the recordings alone.",
    "draft_mark": "Draft",
    "default_title": "Rowing feedback",
    "for_athlete": "For {athlete}",
    "skip": "Skip to the notes",
    "contents": "On this page",
    "notes": "Notes",
    "notes_from_coach": "What your coach saw",
    "sheet_else": "What else your coach saw",
    "sheet_else_draft": "Other notes",
    "sheet_left": "There was no room here for notes {numbers}: they are on the page.",
    "sheet_left_one": "There was no room here for note {numbers}: it is on the page.",
    "no_notes": "There are no notes in this review.",
    "note_word": "Note",
    "note_plain": "No words were written for this moment.",
    "at_time": "at {time} of your film",
    "at_trace_time": "at {time} of the force recording",
    "span_time": "from {time} to {end} of your film",
    "span_trace_time": "from {time} to {end} of the force recording",
    "stroke": "stroke {number}",
    "still_alt": "Frame of the film at {time}, the moment of note {number}{tags}.",
    "still_alt_marks": "Drawn on it: {marks}.",
    "clip_label": "Clip for note {number}: {time} to {end} of the film",
    "clip_caption_stroke": "The stroke, {seconds} s",
    "clip_caption": "Around the moment, {seconds} s",
    "still_caption": "The moment",
    "view_caption": "The same moment from the second camera, as near as could be told",
    "view_caption_within": "The same moment from the second camera, within {ms} ms",
    "voice_label": "What your coach says in note {number}: {seconds} s, {about}",
    "voice_label_cue": " Cue: {cue}",
    "voice_name": "Spoken note, {seconds} s",
    "voice_plain": "Spoken, not written: press play to hear your coach ({seconds} s).",
    "voice_paper": "Spoken, not written: the page plays it ({seconds} s).",
    "voice_caption": "Your coach, {seconds} s",
    "voice_words_unread": "Written by a program; your coach has not read it",
    "voice_failed": "The voice of note {number} could not be read, so it is missing here.",
    "no_voice_here": "Your browser cannot play this here; the file is {file}.",
    "no_video_here": "Your browser cannot play this clip here; the file is {file}.",
    "own_curve": "this stroke",
    "own_curve_alt": (
        "Handle force of stroke {number} over the drive: peak {peak} N at {at} % of drive time."
    ),
    "own_curve_alt_moment": " The note stands at {at} % of the drive.",
    "moment": "this moment",
    "cue": "Cue",
    "drill": "Drill",
    "care": "With care",
    "good": "What works",
    "peak": "peak",
    "strip_caption": "Stroke {number}, each frame above its own moment",
    "strip_alt": (
        "Stroke {number} in {frames} frames from just before the catch to just after the finish, "
        "each above its moment on the force curve, which peaks at {peak} N at {at} % of the drive."
    ),
    "strip_alt_span": " Shaded from {begin} to {end} % of the drive: {what}.",
    "strip_typical": "Your typical stroke: each frame above its own moment",
    "not_averaged": "This stroke is not part of the mean: {why}.",
    "facts": "What the force says about this stroke",
    "read_caution": "This note speaks of the back. Please read {link} with it.",
    "read_caution_link": "the caution on load and pain",
    "curve": "Your force curve",
    "curve_with_target": "Your force curve, and the one to row towards",
    "curve_time": "By time",
    "curve_length": "By length",
    "curve_alt": "Handle force over the drive, {axis}. Your mean peaks at {peak} N at {at} %.",
    "curve_alt_target": " The target peaks at {peak} N at {at} %.",
    "curve_alt_only_target": "The target curve over the drive, {axis}: {peak} N at {at} %.",
    "axis_time": "by time",
    "axis_length": "by length",
    "curve_reading": (
        "From the catch on the left to the finish on the right: the higher, the harder the pull."
    ),
    "section_reading": "The mean is of the longest section{name}: {section}.",
    "section_of": "{count} strokes, number {first} to {last}",
    "section_rate": ", at {rate} a minute",
    "target_reading": "Dashed: the curve to row towards.",
    "legend_mean": "your mean",
    "legend_spread": "about two strokes in three",
    "legend_typical": "typical stroke",
    "legend_target": "target",
    "signals": "Besides the force",
    "signal_alt": "{signal}, over the drive of stroke {number}, with your mean.",
    "signal_mean_alt": "{signal}, over the drive: your mean, its spread and the typical stroke.",
    "files_signal": "{signal} over the drive as a picture (PNG)",
    "files_signal_stroke": "{signal} over the drive of stroke {number} as a picture (PNG)",
    "x_time": "Drive, % of its time",
    "x_length": "Drive, % of its length",
    "y_force": "Handle force, N",
    "catch": "catch",
    "finish": "finish",
    "change": "What would change",
    "change_measure": "Measure",
    "change_now": "Now",
    "change_target": "Target",
    "change_difference": "Change",
    "change_none": "cannot be told",
    "change_same": "as now",
    "change_caption_time": "Your mean curve and the target, measured alike, by time.",
    "change_caption_length": "Your mean curve and the target, measured alike, by length.",
    "change_work_same": "The work of a stroke stays as it is: it is only spread differently.",
    "change_impulse_same": "The impulse of a stroke stays as it is: it is only spread differently.",
    "change_work": "The work of a stroke becomes {percent} % of what it is now.",
    "change_impulse": "The impulse of a stroke becomes {percent} % of what it is now.",
    "wheel": "Rowed on a flywheel",
    "wheel_caption": "The same work, drive length and stroke rate, as a model gives it.",
    "wheel_limits": "What the model takes for granted, and what it cannot know",
    "wheel_drive_s": "Drive time, s",
    "wheel_peak_handle_m_s": "Fastest handle speed, m/s",
    "wheel_peak_power_w": "Peak power, W",
    "wheel_rfd_n_per_s": "Rate of force development, N/s",
    "wheel_fluctuation_pct": "Flywheel speed from slowest to fastest, % of its mean",
    "wheel_mean_power_w": "Mean power, W",
    "numbers": "The numbers",
    "numbers_intro": (
        "For those who want them: the mean over {count} whole strokes, and how far single "
        "strokes lie from it: about two in three lie within ±."
    ),
    "numbers_measure": "Measure",
    "numbers_mean": "Mean",
    "numbers_sd": "±",
    "numbers_unit": "Unit",
    "no_numbers": "No whole stroke was measured, so there are no numbers.",
    "caution": "Before you work on your back",
    "next": "What to film next time",
    "remarks": "What is missing or unsure",
    "files": "The files in this bundle",
    "files_captions": "The notes as captions for your own film (WebVTT)",
    "files_notes": "The notes as a table (CSV)",
    "files_strokes": "Every stroke with its measures (CSV)",
    "files_review": "All of it for a program (JSON)",
    "files_strip": "Stroke strip of note {number} as a picture (JPEG)",
    "files_strip_typical": "Stroke strip of the typical stroke as a picture (JPEG)",
    "files_curve": "Force curve {axis} as a picture (PNG)",
    "footer": (
        "This bundle shows a person at training. Share it as carefully as you would want your own "
        "shared; where it shows a minor, local safeguarding rules apply."
    ),
    "written_on": "Written on {date}.",
    "original_hidden": (
        "The footage itself is not among the originals: it would show a face that is hidden here."
    ),
    "original_failed": "The footage itself could not be copied, so it is not among the originals.",
    "missing_video": "The film was not found when this was written: there are no stills and clips.",
    "missing_trace": (
        "The force recording was not found when this was written: there are no curves and numbers."
    ),
    "unreadable_video": "The film could not be read: there are no stills and clips.",
    "unreadable_trace": ("The force recording could not be read: there are no curves and numbers."),
    "other_video": "The film in its place is another one than the one reviewed.",
    "other_trace": "The force recording in its place is another one than the one reviewed.",
    "no_whole_stroke": "No whole stroke was found in the force recording: there is no mean curve.",
    "still_failed": "The still of note {number} could not be made.",
    "clip_failed": "The clip of note {number} could not be made.",
    "strip_failed": "The stroke strip of note {number} could not be made.",
    "note_outside": "Note {number} lies outside the film: it has no still and no clip.",
    "not_lined_up": (
        "Film and force were taken to start at the same moment. Nobody checked that, so a force "
        "shown for a moment of the film may belong to another moment."
    ),
    **COMPARISON_ENGLISH,
    **PICTURE_ENGLISH,
    **BACK_ENGLISH,
    **SESSION_ENGLISH,
    **LAST_TIME_ENGLISH,
    "walk": "Your coach shows you",
    "walk_lead": "Your coach’s voice over your film and your force curve.",
    "walk_lead_bare": "Your coach’s voice over your film.",
    "walk_lead_silent": "Your film, your force curve under it.",
    "walk_lead_bare_silent": "On your own film.",
    "walk_title": "Walkthrough {number}",
    "walk_label": "{title}, {length}, with your coach’s voice",
    "walk_label_silent": "{title}, {length}, without sound",
    "walk_captions": "Captions",
    "walk_said": "What is said, in words",
    "walk_no_stroke": "No stroke here",
    "walk_no_film": "The film does not show this moment",
    "walk_sound_failed": "The voice of walkthrough {number} could not be read; it is silent here.",
    "walk_pair_failed": (
        "Walkthrough {number} shows one picture where two stood side by side; the other was not "
        "found."
    ),
    "walk_failed": "Walkthrough {number} could not be made.",
    "rough": (
        "Film and force are lined up only roughly: a force shown for a moment of the film may "
        "belong to some frames before or after it."
    ),
    "ambiguous": "The line-up of film and force fits another stroke as well; treat it with care.",
    # The opening.
    "work_on_one": "Work on this",
    "work_on_two": "Work on these two",
    "to_work_on": "To work on",
    "from_coach": "From {coach}",
    "logo_alt": "Logo of {coach}",
    "logo_alt_plain": "Your coach’s logo",
    "see_note": "See note {number}",
    # The clip with the force running under it.
    "play": "Play",
    "pause": "Pause",
    "slow": "Slow",
    "slow_label": "Slow: a quarter of the speed, without sound",
    "full_screen": "Full screen",
    "run_buttons": "Play the clip of note {number}",
    "run_label": "Move through the clip of note {number}",
    "run_drive": "{percent} % of the drive: {force} N",
    "run_drive_target": "{percent} % of the drive: {force} N (target {target})",
    "run_before": "{seconds} s before the catch: {force} N",
    "run_after": "{seconds} s after the finish: {force} N",
    "run_force": "{seconds} s into the clip: {force} N",
    "run_plain": "{seconds} s into the clip",
    "run_alt": "Handle force while the clip of note {number} runs.",
    "run_hint": "Move along the curve: the clip follows.",
    "run_tail": "recovery, drawn shorter",
    "run_unplayable": "This clip does not play in this browser. Picture, curve and words stay.",
    # The parts of a stroke and of a body.
    "phase_catch": "catch",
    "phase_drive": "drive",
    "phase_finish": "finish",
    "phase_recovery": "recovery",
    "part_legs": "legs",
    "part_back": "back",
    "part_trunk": "trunk",
    "part_shoulders": "shoulders",
    "part_arms": "arms",
    "part_hands": "hands",
    "part_head": "head",
    "part_seat": "seat",
    # What is drawn on a still.
    "mark_line": "a line",
    "mark_arrow": "an arrow",
    "mark_freehand": "a freehand line",
    "mark_circle": "a circle",
    "mark_angle": "an angle of {value}",
    "mark_plumb": "a plumb line",
    "mark_level": "a level line",
    "mark_text": "the words “{value}”",
    "curve_mark_line": "a line from {begin} to {end} % of the drive",
    "curve_mark_span": "a shaded stretch from {begin} to {end} % of the drive",
    "curve_mark_words": " with the words “{value}”",
    "legend_drawn": "drawn by your coach",
    "mark_distance": "a distance of {value}",
    # Sentences about one stroke.
    "said_pull": "Your hardest pull was {peak}",
    "said_pull_same": ", the same as your mean",
    "said_pull_above": ", {gap} above your mean",
    "said_pull_below": ", {gap} below your mean",
    "said_pull_at": "; it came {at} of the way through the drive",
    "said_shape": (
        "You held close to it for {plateau} of the drive and your mean pull was {share} of it"
    ),
    "said_plateau": "You held close to it for {plateau} of the drive",
    "said_share": "Your mean pull was {share} of it",
    "said_drive": "The drive took {drive}",
    "said_recovery": " and the recovery {recovery}",
    "said_rate": ", at {rate} strokes a minute",
    # What the model of a flywheel takes for granted.
    "wheel_limit_1": (
        "Same work, same length of drive, same stroke rate; only the shape of the force changes."
    ),
    "wheel_limit_2": (
        "The flywheel is a model: one inertia, drag with the square of its speed, no slack in the "
        "chain, no pull of the return cord."
    ),
    "wheel_limit_3": (
        "Whether an athlete can row the target curve, and what it costs their body, is not in it."
    ),
    "wheel_limit_4": (
        "Inertia and drag are those entered; where they are guesses, read the differences, not the "
        "values."
    ),
    # The caution on the back.
    "caution_describes": (
        "What is said here about the back describes movement. Where it speaks of load, that is an "
        "estimate from a side view and the pull on the handle. It is no diagnosis."
    ),
    "caution_pain": (
        "Pain is a reason to stop. Stop rowing, and see a licensed clinician, such as a doctor or "
        "physiotherapist, before you go on."
    ),
    "caution_history": (
        "Your coach’s own eyes and your own history come first. If they and this page disagree, "
        "go by them."
    ),
    "caution_growing": (
        "If you are still growing, your limit is lower: do not work towards an adult’s forces."
    ),
    "caution_minor": "Where the film shows a minor, local safeguarding rules apply to it.",
    # What to film next time.
    "film_with_force": (
        "Send the film with the force recording: the two together say what each cannot."
    ),
    "film_camera": (
        "Put the camera still, square to the side of the machine, at the height of your hips, and "
        "far enough away that head, hands and feet stay in the picture all the time."
    ),
    "film_rate": "Film across, not upright, at 60 frames a second or more if your camera can.",
    "film_light": "Let light fall on you from the camera’s side, with a plain wall behind you.",
    "film_strokes": "Row at least fifteen whole strokes at one rate, after warming up.",
    "film_force": (
        "Record the handle force of the same piece, with the handle’s position if your machine "
        "has it."
    ),
    "film_line_up": (
        "Start both recordings, sit still for five seconds, knock once on the handle so that it "
        "can be heard, then take one single hard stroke: that lines film and force up."
    ),
}

_CAUTION = (
    "caution_describes",
    "caution_pain",
    "caution_history",
    "caution_growing",
    "caution_minor",
)
_WHEEL_LIMITS = ("wheel_limit_1", "wheel_limit_2", "wheel_limit_3", "wheel_limit_4")


def caution(words: Words) -> tuple[str, ...]:
    """Give the caution that goes with every word about the back."""
    return tuple(words[name] for name in _CAUTION)


def wheel_limits(words: Words) -> tuple[str, ...]:
    """Give what the model of a flywheel takes for granted."""
    return tuple(words[name] for name in _WHEEL_LIMITS)


def next_film(words: Words, has_video: bool, has_trace: bool) -> tuple[str, ...]:
    """Give what to film next time, by what was sent this time."""
    names = ["film_camera", "film_rate", "film_light", "film_strokes"]
    if not has_video:
        names.insert(0, "film_with_force")
    if not has_trace:
        names.append("film_force")
    return tuple(words[name] for name in (*names, "film_line_up"))
