"""The wording of the next session, of plain sentences and of answers, in each language."""

from __future__ import annotations

from typing import Final

SESSION_ENGLISH: Final[dict[str, str]] = {
    "next_session": "Your next session",
    "session_dose": "{sets} sets of {strokes} strokes, {rate} a minute, {pressure} pressure",
    "session_rest": "A minute of rest between sets.",
    "pressure_light": "light",
    "pressure_half": "half",
    "pressure_firm": "firm",
    "session_stop": "End a set when two strokes in a row miss the cue: only good strokes count.",
    "session_film": "Then film six strokes at 20 a minute, from the side, camera at seat height.",
    "session_look": "We will look at {what}.",
    "session_and": "; and at ",
    "plain_change_lower_longer": (
        "The dashed line is lower at the top because it stays strong for longer: {aim} % of the "
        "pull near full strength, and not {now} %."
    ),
    "plain_change_lower": "The dashed line is lower at the top, and spread over more of the pull.",
    "plain_change_higher_longer": (
        "The dashed line goes higher and stays strong for longer: {aim} % of the pull near full "
        "strength, and not {now} %."
    ),
    "plain_change_higher": "The dashed line goes higher at the top.",
    "plain_change_longer": (
        "The dashed line is as high as yours and stays strong for longer: {aim} % of the pull near "
        "full strength, and not {now} %."
    ),
    "plain_change_alike": "Your line is close to the dashed one already: keep it so.",
    "plain_area_same": "In all you pull as much as now: it is only spread more evenly.",
    "plain_area_more": "In all you pull more than now.",
    "plain_area_less": "In all you pull less than now.",
    "compare_plain_harder": "The two lines are farthest apart {where}: there “{right}” is harder.",
    "compare_plain_softer": "The two lines are farthest apart {where}: there “{right}” is softer.",
    "compare_plain_higher": "The two lines are farthest apart {where}: there “{right}” is higher.",
    "compare_plain_lower": "The two lines are farthest apart {where}: there “{right}” is lower.",
    "compare_plain_alike": "None of it is more than your strokes vary anyway.",
    "where_start": "at the start of the pull",
    "where_middle": "in the middle of the pull",
    "where_end": "at the end of the pull",
    "compare_unfold": "Pictures, numbers and more curves",
    "care_link": "More on load and pain",
    "facts_frames": "Frame by frame, with the numbers",
    "run_moment": "Moment",
    "film_unplayable": "This clip does not play in this browser. Its picture and its words stay.",
    "pictures_missing": (
        "Pictures are missing: this page seems to be open inside the .zip. Unpack the .zip first, "
        "then open {file} from the new folder. Or ask your coach for the single page (.html)."
    ),
    "pictures_missing_maybe": (
        "If you see no pictures here, unpack the .zip first, then open {file} from the new folder."
    ),
    "files_footage": "Your film itself",
    "files_force": "The force recording itself",
    "answer_ask": "How did it go?",
    "answer_got": "Got it",
    "answer_not_yet": "Not yet",
    "answer_hurts": "It hurts",
    "answer_name": "{answer}: note {number}, {cue}",
    "answer_name_plain": "{answer}: note {number}",
    "answer_words": "In your words",
    "answer_words_name_plain": "In your words: note {number}",
    "answer_words_name": "In your words: note {number}, {cue}",
    "answer_pain": (
        "Stop here. Pain is a reason to stop rowing: see a licensed clinician before you go on, "
        "and tell your coach."
    ),
    "answers": "Tell your coach",
    "answers_intro": (
        "Say at each cue how it went, and write here what you felt. Nothing leaves this page by "
        "itself: you send it."
    ),
    "answers_comment": "What did you feel? What do you want to ask?",
    "answers_ticked": "Answered: {done} of {all}",
    "answers_share": "Share",
    "answers_copy": "Copy",
    "answers_save": "Save",
    "answers_clear": "Delete all",
    "answers_cleared": "Your answers are deleted from this page and this device.",
    "answers_kept": "Kept on this device: you can close the page and come back.",
    "answers_not_kept": (
        "This browser keeps nothing: share, copy or save before you close the page."
    ),
    "answers_shared": "Handed to the app you chose. Please see there that it was sent.",
    "answers_not_shared": "Nothing was shared. You can copy or save instead.",
    "answers_copied": "Copied. Paste it into a message to your coach.",
    "answers_by_hand": "Copy this text by hand, and paste it into a message to your coach.",
    "answers_saving": (
        "Your browser was asked to save {file}. If you cannot find it, use Copy instead."
    ),
    "answers_head": "Answers to {title}, {date}",
    "answers_line": "Note {number}, {cue}: {answer}",
    "answers_leave": "Please leave the next lines as they are; your coach’s program reads them.",
    "answers_without": (
        "Buttons do not work here, so nothing can be answered. Write to your coach: name "
        "the notes by their numbers, and say of each whether you got it, not yet, or it hurts."
    ),
}

SESSION_GERMAN: Final[dict[str, str]] = {
    "next_session": "Deine nächste Einheit",
    "session_dose": "{sets} Serien zu {strokes} Schlägen, {rate} in der Minute, Druck: {pressure}",
    "session_rest": "Zwischen den Serien eine Minute Pause.",
    "pressure_light": "leicht",
    "pressure_half": "halb",
    "pressure_firm": "kräftig",
    "session_stop": (
        "Beende eine Serie, wenn zwei Schläge hintereinander danebengehen: nur gute Schläge zählen."
    ),
    "session_film": (
        "Dann filme sechs Schläge mit 20 in der Minute, von der Seite, Kamera auf Sitzhöhe."
    ),
    "session_look": "Wir sehen uns an: {what}.",
    "session_and": "; außerdem ",
    "plain_change_lower_longer": (
        "Die gestrichelte Linie ist oben tiefer, weil sie länger kräftig bleibt: {aim} % des Zugs "
        "nahe der vollen Stärke statt {now} %."
    ),
    "plain_change_lower": (
        "Die gestrichelte Linie ist oben tiefer und über mehr vom Zug verteilt."
    ),
    "plain_change_higher_longer": (
        "Die gestrichelte Linie geht höher und bleibt länger kräftig: {aim} % des Zugs nahe der "
        "vollen Stärke statt {now} %."
    ),
    "plain_change_higher": "Die gestrichelte Linie geht oben höher.",
    "plain_change_longer": (
        "Die gestrichelte Linie ist so hoch wie deine und bleibt länger kräftig: {aim} % des Zugs "
        "nahe der vollen Stärke statt {now} %."
    ),
    "plain_change_alike": "Deine Linie liegt schon nahe an der gestrichelten: so lassen.",
    "plain_area_same": "Insgesamt ziehst du so viel wie jetzt: nur gleichmäßiger verteilt.",
    "plain_area_more": "Insgesamt ziehst du mehr als jetzt.",
    "plain_area_less": "Insgesamt ziehst du weniger als jetzt.",
    "compare_plain_harder": (
        "Am weitesten auseinander sind die beiden Linien {where}: dort ist „{right}“ kräftiger."
    ),
    "compare_plain_softer": (
        "Am weitesten auseinander sind die beiden Linien {where}: dort ist „{right}“ schwächer."
    ),
    "compare_plain_higher": (
        "Am weitesten auseinander sind die beiden Linien {where}: dort liegt „{right}“ höher."
    ),
    "compare_plain_lower": (
        "Am weitesten auseinander sind die beiden Linien {where}: dort liegt „{right}“ tiefer."
    ),
    "compare_plain_alike": "Nichts davon ist mehr, als deine Schläge ohnehin schwanken.",
    "where_start": "am Anfang des Zugs",
    "where_middle": "in der Mitte des Zugs",
    "where_end": "am Ende des Zugs",
    "compare_unfold": "Bilder, Zahlen und weitere Kurven",
    "care_link": "Mehr zu Last und Schmerz",
    "facts_frames": "Bild für Bild, mit den Zahlen",
    "run_moment": "Augenblick",
    "film_unplayable": ("Dieser Ausschnitt läuft in diesem Browser nicht. Bild und Worte bleiben."),
    "pictures_missing": (
        "Hier fehlen Bilder: Die Seite ist wohl in der .zip geöffnet. Entpacke zuerst die .zip, "
        "dann öffne {file} aus dem neuen Ordner. Oder bitte um die einzelne Seite (.html)."
    ),
    "pictures_missing_maybe": (
        "Siehst du hier keine Bilder, dann entpacke zuerst die .zip und öffne {file} aus dem neuen "
        "Ordner."
    ),
    "files_footage": "Dein Film selbst",
    "files_force": "Die Kraftaufnahme selbst",
    "answer_ask": "Wie ging es?",
    "answer_got": "Klappt",
    "answer_not_yet": "Noch nicht",
    "answer_hurts": "Tut weh",
    "answer_name": "{answer}: Anmerkung {number}, {cue}",
    "answer_words": "In deinen Worten",
    "answer_name_plain": "{answer}: Anmerkung {number}",
    "answer_words_name_plain": "In deinen Worten: Anmerkung {number}",
    "answer_words_name": "In deinen Worten: Anmerkung {number}, {cue}",
    "answer_pain": (
        "Hör hier auf. Schmerz ist ein Grund, mit dem Rudern aufzuhören: Geh zu einer zugelassenen "
        "Fachkraft, bevor du weitermachst, und sag im Training Bescheid."
    ),
    "answers": "Deine Antwort",
    "answers_intro": (
        "Sag bei jedem Merksatz, wie es ging, und schreib, was du gespürt hast. Von selbst "
        "verlässt nichts diese Seite: Du schickst es."
    ),
    "answers_comment": "Was hast du gespürt? Was willst du fragen?",
    "answers_ticked": "Beantwortet: {done} von {all}",
    "answers_share": "Teilen",
    "answers_copy": "Kopieren",
    "answers_save": "Speichern",
    "answers_clear": "Alles löschen",
    "answers_cleared": "Deine Antworten sind von dieser Seite und diesem Gerät gelöscht.",
    "answers_kept": "Auf diesem Gerät behalten: Du kannst die Seite schließen und wiederkommen.",
    "answers_not_kept": (
        "Dieser Browser behält nichts: teile, kopiere oder speichere, bevor du die Seite schließt."
    ),
    "answers_shared": "An die gewählte App übergeben. Sieh dort nach, ob es gesendet wurde.",
    "answers_not_shared": "Es wurde nichts geteilt. Du kannst kopieren oder speichern.",
    "answers_copied": "Kopiert. Füg es in eine Nachricht ein.",
    "answers_by_hand": "Kopiere diesen Text von Hand und füg ihn in eine Nachricht ein.",
    "answers_saving": (
        "Dein Browser wurde gebeten, {file} zu speichern. Findest du die Datei nicht, dann "
        "nimm Kopieren."
    ),
    "answers_head": "Antworten auf {title}, {date}",
    "answers_line": "Anmerkung {number}, {cue}: {answer}",
    "answers_leave": "Bitte lass die nächsten Zeilen, wie sie sind; ein Programm liest sie.",
    "answers_without": (
        "Die Knöpfe gehen hier nicht, also lässt sich nichts beantworten. "
        "Schreib die Nummern der Anmerkungen und zu jeder, ob es klappt, noch nicht klappt oder "
        "weh tut."
    ),
}
