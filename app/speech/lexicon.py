"""The words of the trade, and what is known to be misheard.

Add a phrase to `TRADE` where one is missing, to `CONFUSED` what a rule by sound cannot know, and a
word to `EVERYDAY` (`everyday.py`) where the correction was wrong.
"""

from __future__ import annotations

import re
from typing import Final

# As they are said: one to three words, the more the safer.
TRADE: Final = tuple(
    phrase.strip()
    for phrase in """
    at the catch; the catch; into the catch; before the catch; catch; quick catch; late catch
    at the finish; the finish; finish; drive; the drive; in the drive; recovery; on the recovery
    slide; the slide; half slide; full slide; quarter slide; up the slide; shoot the slide
    layback; the layback; stretcher; the stretcher; handle; the handle; hip swing; the hip swing
    body swing; body over; hands away; hands away before the knees; legs only; arms only
    ratio; the ratio; rate; stroke rate; rate twenty; split; the split; stroke; the stroke
    through the stroke; through the whole stroke; strokes; ten strokes; drive length
    force curve; peak force; handle force; connection; connect the legs; compression; rhythm
    sequencing; rock over; shins; shins vertical; heels; the heels; knees; the knees
    legs; with the legs; the legs are flat; legs are down; trunk; the trunk; elbows; wrists; ribs
    shoulders; lower back; open the back; lunge; lunge at the catch; damper; flywheel; drag factor
    pressure; light pressure; firm pressure; rail; monorail; chain; the chain; seat; the seat
    body angle; forward angle; grip; relax the grip; pause at hands away; rushing; suspension
    hang your weight; push with the legs; press with the legs; leg drive; pick drill; sit tall
    """.replace("\n", ";").split(";")
    if phrase.strip()
)

# Of these a sentence must hold one besides what was misheard.
_ROWING: Final = frozenset(
    """
    legs knees shins heels handle slide blade stretcher layback drive recovery catch finish stroke
    strokes split rate ratio compression lunge connect vertical trunk hips weight shoulders elbows
    wrists grip rhythm ribs seat
    """.split()  # noqa: SIM905 - a list of words is read and mended more easily than one of strings
)
# Of these, where what was heard is itself said at home ("stretch your legs at the couch").
_GEAR: Final = frozenset(
    """
    handle slide blade stretcher layback shins compression lunge connect vertical ratio split
    """.split()  # noqa: SIM905 - as above
)

# Heard, and what was meant, where the words around it leave no doubt. Measured on synthetic speech
# (`docs/voice-words.md`).
_ENDS: Final = r"(?=[.,;!?]|$)"
_SLIDE: Final = "(?:side|slight|sly|glide)"
_SLOWLY: Final = "slowly|slower|too fast|too slow|too quickly|too early"
_AT_HOME: Final = (
    (rf"\b(at|into|before|after) the (?:couch|cash|cache|ketch){_ENDS}", r"\1 the catch"),
    (rf"\bat the (?:finnish|furnish|phoenix){_ENDS}", "at the finish"),
)
_CONFUSED: Final = (
    # "to look at" alone is said of anything: only where weight is hung or the shins stand.
    (rf"\b(hang your weight|vertical) to look at{_ENDS}", r"\1 at the catch"),
    (
        rf"\b(come|comes|coming|rush|rushes|rushing) (up|down) the {_SLIDE}(?= (?:{_SLOWLY})\b)",
        r"\1 \2 the slide",
    ),
    (
        rf"\b(you shoot|you are shooting|not shoot) the {_SLIDE}(?= at the (?:start|catch)\b)",
        r"\1 the slide",
    ),
    (r"(?<!on )(?<!from )\byour side is too (?=fast|slow|quick)", "your slide is too "),
    (r"\b(the|your) (?:slit|sleet|slip)(?= (?:drop|drops)\b)", r"\1 split"),
    (r"\bhold the slit(?= (?:while|when|at)\b)", "hold the split"),
    (r"\b(the|your|less|more) (?:lay|lie) back(?= at the finish)", r"\1 layback"),
    (
        r"\b(hold|draw|drop) the (?:hand or|hand ill|candle)(?= (?:loosely|to|in|with)\b)",
        r"\1 the handle",
    ),
    (rf"\b(from|into|against) the (?:stretch her|stretch a){_ENDS}", r"\1 the stretcher"),
    (r"\brelax the (?:rib|drip)(?= and\b)", "relax the grip"),
    (r"\b(?:hip|ship) (?:sling|wing|wings)(?= (?:is|starts|comes|goes)\b)", "hip swing"),
    (rf"\bcomes to (late|early|soon)(?: (?=in the drive|at the)|{_ENDS})", r"comes too \1 "),
)
# What was heard, what was meant, and the words of which the sentence must hold one.
CONFUSED: Final = tuple(
    (re.compile(heard, re.IGNORECASE), said, needed)
    for pairs, needed in ((_AT_HOME, _GEAR), (_CONFUSED, _ROWING))
    for heard, said in pairs
)
