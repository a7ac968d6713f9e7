"""The words of the trade, what everybody says, and what is known to be misheard.

A word everybody says is never taken for one of the trade by its sound alone: a coach who says
"look at the side" shall not read "look at the slide". Add a word to `EVERYDAY` where the correction
was wrong, a phrase to `TRADE` where one is missing, and to `CONFUSED` what a rule by sound cannot
know.
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

# Said in any talk, or by any coach: left as they are unless a whole phrase around them fits.
EVERYDAY: Final = frozenset(
    """
    a about above across after again against ago all almost alone along already also always am an
    and angle another any anybody anything are arm around as ask at athlete away back bad balance be
    because become been before begin behind being below bend best better between big bit blade boat
    body both bottom break breath breathe bring but by call came can carry chain change check chest
    chin clean clear clip close coach coaching come comfortable coming compare control core could
    curve cut day did different dip direction do does doing done down draw drill drop during each
    early easy effort eight eighteen either eleven elbow end enough even ever every everything
    exactly extra eye face fact fall far fast feel feeling feet felt few fifteen fifty film find
    fine fingers firm first fit five fix flat flow focus follow foot footage for force forty forward
    four fourteen frame free from front full fun further gave get gets getting give go goes going
    gone good got great ground grow had half hand hands hang hard has have he head hear heavy heel
    held help her here hers high him hip hips his hit hold home hour how hundred hurt i idea if
    important improve in inside instead into is it its just keep keeps kept kind knee knees know
    last late later lean learn least leave left leg less let level lift light like line little load
    long longer look looks loose lose lot low lower machine made make makes many maybe me mean meet
    meter meters middle might minute minutes mirror moment month more morning most move movement
    moves much must my natural near nearly neck need never new next nice nine nineteen no nobody
    none not nothing notice now number of off often oh ok okay old on once one only open opens or
    other our out over own pace pain part pass past pause people perfect perhaps phone picture
    piece place plan play please point position possible posture power practice press pretty
    problem pull push put question quick quicker quickly quiet quite rather reach ready real really
    reason relax remember rest result ribs right rock roll round row rower rowing run rush said same
    saw say says second seconds see seems seen send session set seven seventeen seventy several
    shape sharp she short should shoulder show shown side sign simple since sit sitting six sixteen
    sixty slide slight slightly slow slower slowly small smooth so soft some somebody something
    soon sort sound speak speed spend spine spot square stage stand start starts stay stays step
    stick still stop straight strength stretch strong sure swing take taken takes talk tall tell
    ten tension than thank thanks that the their them then there these they thing things think
    third thirteen thirty this those though thought three through time times to today together
    told tomorrow too took top toward towards train training tried try trying turn twelve twenty
    twice two under until up upper us use used usual usually very video voice wait walk want warm
    was watch water way we week weight well went were what when where which while who whole why
    will wish with without woman word work works would wrist write wrong year yes yesterday yet you
    young your yours yourself zero
    comparison file list noise lay laid main sleep read coaches done dropped edge feels finished
    forearm hour hunch lazy lean leaning
    minus moving note nothing plus program quality rounded rounding sense shift sides slack slump
    snap squeeze sudden target technique thigh tight timing tip touch touching ugly wobble
    """.split()  # noqa: SIM905 - a list of words is read and mended more easily than one of strings
)

# Heard, and what was meant, where the words around it leave no doubt. Measured on synthetic speech
# (`docs/voice-words.md`).
_CATCH: Final = "(?:couch|cash|cache|ketch|catcher|cat|care)"
_SLIDE: Final = "(?:side|slight|sly|glide)"
_LOOKED: Final = (
    "want|need|have|has|going|like|thing|things|what|try|nice|good|lot|much|more|you|us|me|way|is"
)
_CONFUSED: Final = (
    (rf"\b(at|into|before|after|yet) the {_CATCH}\b", r"\1 the catch"),
    (r"\bat the touch(?=[.,;!?]|$)", "at the catch"),
    # At the end of what is said, where nothing was spoken of that could be looked at.
    (
        "".join(f"(?<!\\b{word} )" for word in _LOOKED.split("|")) + r"\bto look at(?=[.,;!?]|$)",
        "at the catch",
    ),
    (rf"\b(half|full|quarter) {_SLIDE}\b", r"\1 slide"),
    (rf"\b(up|down|shoot|shooting) the {_SLIDE}\b", r"\1 the slide"),
    (r"\b(your|the) side is too (?=fast|slow|quick)", r"\1 slide is too "),
    (rf"\b(before|when|until) the {_SLIDE} (?=moves|comes|starts|stops)", r"\1 the slide "),
    (
        r"\b(the|your) (?:slit|sleet|slip)(?= (?:drop|drops|is|goes|at|was|comes|while)\b)",
        r"\1 split",
    ),
    (r"\b(?:lay|lie|late|lead|way) back(?= at the finish)", "layback"),
    (r"\bat the (?:finnish|furnish|fish|phoenix|finished)\b", "at the finish"),
    (r"\b(the|your) (?:hand or|hand will|hand ill|candle)\b(?! (?:left|right))", r"\1 handle"),
    (r"\b(the|your) (?:stretch her|stretch a|structure)(?=[.,;!?]|$)", r"\1 stretcher"),
    (r"\bporsche (?=with|against|the)", "push "),
    (r"\b(the|your) (?:rib|drip)(?= and\b)", r"\1 grip"),
    (r"\bcomes to (late|early|soon)\b", r"comes too \1"),
)
CONFUSED: Final = tuple((re.compile(heard, re.IGNORECASE), said) for heard, said in _CONFUSED)
