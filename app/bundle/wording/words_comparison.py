"""The fixed wording of comparisons and of the self-test; `words.py` says how it is used."""

from __future__ import annotations

from typing import Final

COMPARISON_ENGLISH: Final[dict[str, str]] = {
    "compare": "Two strokes side by side",
    "note_compared": "See it side by side: {title}",
    "compare_title": "{left} and {right}",
    "compare_left": "first stroke",
    "compare_right": "second stroke",
    "compare_clip": "Clip of comparison {number}: {left} and {right}",
    "compare_timing_phase": "Catch together and finish together.",
    "compare_timing_real": "In real time from the catch.",
    "compare_timing_free": "In real time, shifted by your coach.",
    "compare_layout_beside": "On the left: {left}. On the right: {right}.",
    "compare_layout_above": "Above: {left}. Below: {right}.",
    "compare_layout_over": "{right}, faint over {left}.",
    "compare_still_catch": "At the catch",
    "compare_still_finish": "At the finish",
    "compare_still_alt": "Both strokes at the {event}. {layout}",
    "compare_shaded": "difference",
    "compare_curve_alt": "Handle force of {left} and {right} over each other, {axis}.",
    "compare_above": "They are farthest apart at {at} {unit}: {right} is {gap} N higher.",
    "compare_below": "They are farthest apart at {at} {unit}: {right} is {gap} N lower.",
    "compare_table": "What differs",
    "compare_difference": "Difference",
    "compare_more": "more than your strokes vary",
    "compare_more_hint": "perhaps more than your strokes vary",
    "compare_within": "within how your strokes vary",
    "compare_too_few": "too few strokes to tell",
    "compare_interval": "{low} to {high}",
    "compare_unsure": "{verdict}; range unsure",
    "compare_basis_means": (
        "Means of both recordings, ± how far single strokes lie from them. Under each "
        "difference: the range it lies in, with 95 % confidence."
    ),
    "compare_basis_one_of_many": (
        "One stroke against the mean of many, ± how far single strokes lie from it. Under "
        "each difference: the range that single strokes leave it, 19 times of 20."
    ),
    "compare_basis_same_piece": (
        "Two strokes of one piece, ± how far its strokes lie from their mean. Under each "
        "difference: the range that single strokes leave it, 19 times of 20."
    ),
    "compare_both_seen": (
        "Both are from the picture: drive and recovery run from turn to turn of the hands, a "
        "little longer than the drive under force."
    ),
    "compare_one_seen": (
        "One stroke is from the picture, the other from force: drive, recovery and rhythm are "
        "not the same thing there and are left out."
    ),
    "compare_chance": (
        "Where nothing changed, one such table in twenty says “more” without “perhaps”. The ranges "
        "hold slow wander of a fifth of the variation; the form of the day and wander beyond that "
        "are not in them."
    ),
    "compare_hint": (
        "Perhaps: few strokes, strokes that change slowly, or no more than one of many measures "
        "shows by chance. Take it as a hint, and look again with {count} strokes or more. Ranges "
        "of fewer strokes, or marked unsure, may be too narrow."
    ),
    "compare_missing": (
        "The recordings of comparison {number} were not found when this was written."
    ),
    "compare_no_force": "Comparison {number} has no force curve of both strokes.",
    "compare_failed": "The pictures of comparison {number} could not be made.",
    "curve_percent": "By percent of the drive",
    "x_seconds": "Time from the catch, s",
    "x_seconds_picture": "Time from where the hands turn, s",
    "x_metres_picture": "Handle travel from where the hands turn, m",
    "x_time_picture": "Drive in the picture, % of its time",
    "compare_curve_alt_picture": "{what} of {left} and {right} over each other, {axis}.",
    "x_metres": "Handle travel from the catch, m",
    "files_comparison": "This table for computing (CSV)",
    "self_test": "See it yourself",
    "self_test_question": "Is this stroke rowed right or wrong?",
    "self_test_how": (
        "Watch each stroke, decide, and only then open the answer. Nothing is sent by itself."
    ),
    "self_test_clip": "Stroke {number}",
    "self_test_right": "Right",
    "self_test_wrong": "Wrong",
    "self_test_show": "Show the answer",
    "self_test_count": "How many did I see?",
    "self_test_of": "of {count} seen as your coach sees them",
    "self_test_missing": "Stroke {number} of the self-test has no film, so it is left out.",
}

COMPARISON_GERMAN: Final[dict[str, str]] = {
    "compare": "Zwei Schläge nebeneinander",
    "note_compared": "Nebeneinander ansehen: {title}",
    "compare_title": "{left} und {right}",
    "compare_left": "erster Schlag",
    "compare_right": "zweiter Schlag",
    "compare_clip": "Ausschnitt zu Vergleich {number}: {left} und {right}",
    "compare_timing_phase": "Auslage mit Auslage und Endzug mit Endzug.",
    "compare_timing_real": "In wirklicher Zeit ab der Auslage.",
    "compare_timing_free": "In wirklicher Zeit, von Hand verschoben.",
    "compare_layout_beside": "Links: {left}. Rechts: {right}.",
    "compare_layout_above": "Oben: {left}. Unten: {right}.",
    "compare_layout_over": "{right}, blass über {left}.",
    "compare_still_catch": "In der Auslage",
    "compare_still_finish": "Im Endzug",
    "compare_still_alt": "Beide Schläge, Augenblick: {event}. {layout}",
    "compare_shaded": "Unterschied",
    "compare_curve_alt": "Griffkraft von {left} und {right} übereinander, {axis}.",
    "compare_above": "Am weitesten auseinander bei {at} {unit}: {right} liegt {gap} N höher.",
    "compare_below": "Am weitesten auseinander bei {at} {unit}: {right} liegt {gap} N tiefer.",
    "compare_table": "Was sich unterscheidet",
    "compare_difference": "Unterschied",
    "compare_more": "mehr, als deine Schläge schwanken",
    "compare_more_hint": "vielleicht mehr, als deine Schläge schwanken",
    "compare_within": "so viel, wie deine Schläge schwanken",
    "compare_too_few": "zu wenige Schläge, um das zu sagen",
    "compare_interval": "{low} bis {high}",
    "compare_unsure": "{verdict}; Bereich unsicher",
    "compare_basis_means": (
        "Mittel beider Aufnahmen, ± wie weit einzelne Schläge davon abliegen (SD). Unter jedem "
        "Unterschied: der Bereich, in dem er mit 95 % Sicherheit liegt."
    ),
    "compare_basis_one_of_many": (
        "Ein Schlag gegen das Mittel von vielen, ± wie weit einzelne Schläge davon abliegen (SD). "
        "Unter jedem Unterschied: der Bereich, den einzelne Schläge ihm lassen, 19 von 20 Malen."
    ),
    "compare_basis_same_piece": (
        "Zwei Schläge einer Strecke, ± wie weit ihre Schläge vom Mittel abliegen (SD). Unter jedem "
        "Unterschied: der Bereich, den einzelne Schläge ihm lassen, 19 von 20 Malen."
    ),
    "compare_both_seen": (
        "Beide sind aus dem Bild: Durchzug und Vorrollen gehen von Umkehr zu Umkehr der Hände, "
        "etwas länger als der Durchzug unter Kraft."
    ),
    "compare_one_seen": (
        "Ein Schlag ist aus dem Bild, der andere aus der Kraft: Durchzug, Vorrollen und Rhythmus "
        "sind dort nicht dasselbe und fehlen deshalb."
    ),
    "compare_chance": (
        "Wo sich nichts geändert hat, sagt eine von zwanzig solchen Tabellen „mehr“ ohne "
        "„vielleicht“. Langsames Wandern von einem Fünftel der Schwankung ist in den Bereichen; "
        "die Form des Tages und mehr Wandern sind es nicht."
    ),
    "compare_hint": (
        "Vielleicht: wenige Schläge, Schläge, die sich langsam ändern, oder nicht mehr, als eines "
        "von vielen Maßen durch Zufall zeigt. Nimm es als Hinweis, und sieh mit {count} Schlägen "
        "oder mehr noch einmal hin. Bereiche von weniger Schlägen, oder als unsicher bezeichnet, "
        "können zu eng sein."
    ),
    "compare_missing": (
        "Die Aufnahmen zu Vergleich {number} wurden nicht gefunden, als dies geschrieben wurde."
    ),
    "compare_no_force": "Zu Vergleich {number} fehlt die Kraftkurve eines Schlags.",
    "compare_failed": "Die Bilder zu Vergleich {number} konnten nicht gemacht werden.",
    "curve_percent": "Über den Durchzug in Prozent",
    "x_seconds": "Zeit ab der Auslage, s",
    "x_seconds_picture": "Zeit ab der Umkehr der Hände, s",
    "x_metres_picture": "Weg des Griffs ab der Umkehr der Hände, m",
    "x_time_picture": "Durchzug im Bild, % seiner Zeit",
    "compare_curve_alt_picture": "{what} von {left} und {right} übereinander, {axis}.",
    "x_metres": "Weg des Griffs ab der Auslage, m",
    "files_comparison": "Diese Tabelle zum Rechnen (CSV)",
    "self_test": "Sieh es selbst",
    "self_test_question": "Ist dieser Schlag richtig oder falsch gerudert?",
    "self_test_how": (
        "Sieh dir jeden Schlag an, entscheide dich, und öffne erst dann die Antwort. Von selbst "
        "wird nichts gesendet."
    ),
    "self_test_clip": "Schlag {number}",
    "self_test_right": "Richtig",
    "self_test_wrong": "Falsch",
    "self_test_show": "Antwort zeigen",
    "self_test_count": "Wie viele habe ich erkannt?",
    "self_test_of": "von {count} richtig erkannt",
    "self_test_missing": "Schlag {number} des Selbsttests hat keinen Film und fehlt deshalb.",
}
