"""The wording of what is known from the picture alone, in each language.

A stroke seen in the picture runs from where the hands turn to where they turn again: the catch is
a matter of force, so the word does not stand here.
"""

from __future__ import annotations

from typing import Final

PICTURE_ENGLISH: Final[dict[str, str]] = {
    "hands_turn": "hands turn",
    "finish_turn": "finish turn",
    "signal_picture_knee": "Knee flexion (picture)",
    "signal_picture_hip": "Hip flexion (picture)",
    "signal_picture_trunk_lean": "Trunk lean (picture)",
    "signal_picture_lumbar_flexion": "Low-back flexion (picture)",
    "signal_picture_elbow": "Elbow flexion (picture)",
    "signal_picture_shank": "Shank (picture)",
    "signal_picture_seat": "Seat (picture)",
    "signal_picture_handle": "Handle (picture)",
    "signal_picture_handle_height": "Handle height (picture)",
    "signal_picture_handle_speed": "Handle speed (picture)",
    "signals_picture": "What the picture shows over your stroke",
    "legend_doubt": "how sure",
    "movement": "Your stroke in the picture",
    "movement_no_force": "No force recording came with your film.",
    "movement_lead": (
        "This is what the picture tells: where your hands turn, and when legs, trunk and arms "
        "move. It cannot tell how hard you pull. Its times are good to about "
        "{frame_ms} ms."
    ),
    "strip_alt_picture": (
        "Stroke {number} in {frames} frames, from just before the hands turn to just after they "
        "turn at the finish."
    ),
    "facts_picture": "What the picture says about this stroke",
    "numbers_intro_picture": (
        "For those who want them, from the picture: the mean over {count} whole strokes, and how "
        "far single strokes lie from it: about two in three lie within ±."
    ),
    "picture_meaning_drive_s": (
        "From where the hands turn to where they turn at the finish: some tenths of a second "
        "longer than the drive under force, and not to be held against it."
    ),
    "picture_meaning_recovery_s": "From there to where the hands turn again.",
    "picture_meaning_rate_spm": "Strokes a minute, from one turn of the hands to the next.",
    "order_title": "Order of movement",
    "order_caption": (
        "When each part moves in your drive, from the picture. The gap in a bar is where that "
        "part is fastest; the thin lines show how far single strokes differ."
    ),
    "order_share": "of the handle’s way",
    "order_still": "hardly move",
    "order_legs": "Legs",
    "order_trunk": "Trunk",
    "order_arms": "Arms",
    "order_the_legs": "the legs",
    "order_the_trunk": "the trunk",
    "order_the_arms": "the arms",
    "order_sentence": "In your drive {groups}.",
    "order_first": "first come {parts}",
    "order_then": ", then {parts}",
    "order_and": "{parts} and {last}",
    "order_together": "{parts} together",
    "order_all": "{parts} come together",
    "order_alt_part": (
        "{part}: from {begin} to {end} % of the drive, {share} % of the handle’s way."
    ),
    "order_alt_still": "{part}: hardly move, {share} % of the handle’s way.",
    "curve_moments": (
        "The numbers on it are the notes about your body, each at the moment it speaks of."
    ),
    "curve_alt_moment": " Note {number}, about the body, stands at {at} %.",
    "body_no_strokes": (
        "No whole stroke could be followed in the film, so there are no numbers. Film yourself "
        "from the side, with head, hands and feet always in the picture."
    ),
    "body_no_angles": (
        "The camera stood too far from square to the side to say how knees, trunk and elbows "
        "bend; only times are told here."
    ),
}

PICTURE_GERMAN: Final[dict[str, str]] = {
    "hands_turn": "Hände kehren um",
    "finish_turn": "Umkehr am Ende",
    "signal_picture_knee": "Kniebeugung (Bild)",
    "signal_picture_hip": "Hüftbeugung (Bild)",
    "signal_picture_trunk_lean": "Rumpfneigung (Bild)",
    "signal_picture_lumbar_flexion": "Beugung der Lendenwirbelsäule (Bild)",
    "signal_picture_elbow": "Ellbogenbeugung (Bild)",
    "signal_picture_shank": "Unterschenkel (Bild)",
    "signal_picture_seat": "Rollsitz (Bild)",
    "signal_picture_handle": "Griff (Bild)",
    "signal_picture_handle_height": "Griffhöhe (Bild)",
    "signal_picture_handle_speed": "Grifftempo (Bild)",
    "signals_picture": "Was das Bild über deinen Schlag zeigt",
    "legend_doubt": "wie sicher",
    "movement": "Dein Schlag im Bild",
    "movement_no_force": "Zu deinem Film kam keine Kraftaufnahme.",
    "movement_lead": (
        "Hier steht, was das Bild sagt: wo deine Hände umkehren und wann sich Beine, Rumpf und "
        "Arme bewegen. Wie stark du ziehst, kann es nicht sagen. Seine Zeiten stimmen auf etwa "
        "{frame_ms} ms genau."
    ),
    "strip_alt_picture": (
        "Schlag {number} in {frames} Bildern, von kurz vor der Umkehr der Hände bis kurz nach "
        "ihrer Umkehr am Ende des Durchzugs."
    ),
    "facts_picture": "Was das Bild über diesen Schlag sagt",
    "numbers_intro_picture": (
        "Für alle, die sie wollen, aus dem Bild: das Mittel über {count} ganze Schläge, und wie "
        "weit einzelne Schläge davon abweichen: etwa zwei von drei liegen innerhalb von ±."
    ),
    "picture_meaning_drive_s": (
        "Von der Umkehr der Hände bis zu ihrer Umkehr am Ende: einige Zehntelsekunden länger als "
        "der Durchzug unter Kraft und nicht mit ihm zu vergleichen."
    ),
    "picture_meaning_recovery_s": "Von dort, bis die Hände wieder umkehren.",
    "picture_meaning_rate_spm": "Schläge in der Minute, von einer Umkehr der Hände zur nächsten.",
    "order_title": "Reihenfolge der Bewegung",
    "order_caption": (
        "Wann sich jeder Teil in deinem Durchzug bewegt, aus dem Bild. Die Lücke im Balken steht, "
        "wo er am schnellsten ist; die dünnen Linien zeigen, wie sich einzelne Schläge "
        "unterscheiden."
    ),
    "order_share": "vom Weg des Griffs",
    "order_still": "bewegen sich kaum",
    "order_legs": "Beine",
    "order_trunk": "Rumpf",
    "order_arms": "Arme",
    "order_the_legs": "die Beine",
    "order_the_trunk": "der Rumpf",
    "order_the_arms": "die Arme",
    "order_sentence": "In deinem Durchzug kommen {groups}.",
    "order_first": "zuerst {parts}",
    "order_then": ", dann {parts}",
    "order_and": "{parts} und {last}",
    "order_together": "{parts} zusammen",
    "order_all": "{parts} zusammen",
    "order_alt_part": (
        "{part}: von {begin} bis {end} % des Durchzugs, {share} % vom Weg des Griffs."
    ),
    "order_alt_still": "{part}: bewegen sich kaum, {share} % vom Weg des Griffs.",
    "curve_moments": (
        "Die Zahlen darauf sind die Anmerkungen zu deinem Körper, jede bei ihrem Augenblick."
    ),
    "curve_alt_moment": " Anmerkung {number}, zum Körper, steht bei {at} %.",
    "body_no_strokes": (
        "Im Film ließ sich kein ganzer Schlag verfolgen, also gibt es keine Zahlen. Filme dich "
        "von der Seite, mit Kopf, Händen und Füßen immer im Bild."
    ),
    "body_no_angles": (
        "Die Kamera stand zu schräg, um zu sagen, wie sich Knie, Rumpf und Ellbogen beugen; hier "
        "stehen nur Zeiten."
    ),
}
