"""The fixed wording of a bundle in German; `words.py` says what each is for."""

from __future__ import annotations

from typing import Final

from app.bundle.wording.words import Words
from app.bundle.wording.words_back import BACK_GERMAN
from app.bundle.wording.words_comparison import COMPARISON_GERMAN
from app.bundle.wording.words_last_time import LAST_TIME_GERMAN
from app.bundle.wording.words_picture import PICTURE_GERMAN
from app.bundle.wording.words_session import SESSION_GERMAN

GERMAN: Final[Words] = {
    "language": "de",
    "direction": "ltr",
    "decimal": ",",
    "draft": (
        "Entwurf: Niemand vom Training hat das gesehen. Ein Programm hat es allein aus "
        "den Aufnahmen vorbereitet."
    ),
    "draft_mark": "Entwurf",
    "default_title": "Rückmeldung zum Rudern",
    "for_athlete": "Für {athlete}",
    "skip": "Zu den Anmerkungen springen",
    "contents": "Auf dieser Seite",
    "notes": "Anmerkungen",
    "notes_from_coach": "Was zu sehen war",
    "sheet_else": "Was sonst noch zu sehen war",
    "sheet_else_draft": "Weitere Anmerkungen",
    "sheet_left": "Für die Anmerkungen {numbers} war hier kein Platz: Sie stehen auf der Seite.",
    "sheet_left_one": "Für Anmerkung {numbers} war hier kein Platz: Sie steht auf der Seite.",
    "no_notes": "In dieser Durchsicht gibt es keine Anmerkungen.",
    "note_word": "Anmerkung",
    "note_plain": "Zu diesem Augenblick wurde nichts geschrieben.",
    "at_time": "bei {time} deines Films",
    "at_trace_time": "bei {time} der Kraftaufnahme",
    "span_time": "von {time} bis {end} deines Films",
    "span_trace_time": "von {time} bis {end} der Kraftaufnahme",
    "stroke": "Schlag {number}",
    "still_alt": "Bild des Films bei {time}, der Augenblick von Anmerkung {number}{tags}.",
    "still_alt_marks": "Darauf gezeichnet: {marks}.",
    "clip_label": "Ausschnitt zu Anmerkung {number}: {time} bis {end} des Films",
    "clip_caption_stroke": "Der Schlag, {seconds} s",
    "clip_caption": "Rund um den Augenblick, {seconds} s",
    "still_caption": "Der Augenblick",
    "view_caption": "Derselbe Augenblick von der zweiten Kamera, so genau es sich sagen ließ",
    "view_caption_within": "Derselbe Augenblick von der zweiten Kamera, auf {ms} ms genau",
    "voice_label": "Gesprochen zu Anmerkung {number}: {seconds} s, {about}",
    "voice_label_cue": " Merksatz: {cue}",
    "voice_name": "Gesprochene Anmerkung, {seconds} s",
    "voice_plain": "Gesprochen, nicht geschrieben: Drück auf Abspielen ({seconds} s).",
    "voice_paper": "Gesprochen, nicht geschrieben: Die Seite spielt es ab ({seconds} s).",
    "voice_caption": "Gesprochen, {seconds} s",
    "voice_words_unread": "Von einem Programm geschrieben, nicht gegengelesen",
    "voice_failed": (
        "Die Stimme von Anmerkung {number} ließ sich nicht lesen und fehlt deshalb hier."
    ),
    "no_voice_here": "Dein Browser kann das hier nicht abspielen; die Datei heißt {file}.",
    "no_video_here": (
        "Dein Browser kann diesen Ausschnitt hier nicht abspielen; die Datei heißt {file}."
    ),
    "own_curve": "dieser Schlag",
    "own_curve_alt": (
        "Griffkraft von Schlag {number} über den Durchzug: höchster Wert {peak} N bei {at} % der "
        "Durchzugszeit."
    ),
    "own_curve_alt_moment": " Die Anmerkung steht bei {at} % des Durchzugs.",
    "moment": "dieser Augenblick",
    "cue": "Merksatz",
    "drill": "Übung",
    "care": "Mit Vorsicht",
    "good": "Was gelingt",
    "peak": "Spitze",
    "strip_caption": "Schlag {number}, jedes Bild über seinem eigenen Augenblick",
    "strip_alt": (
        "Schlag {number} in {frames} Bildern, von kurz vor der Auslage bis kurz nach dem Endzug, "
        "jedes über seinem Augenblick auf der Kraftkurve, deren Spitze {peak} N bei {at} % des "
        "Durchzugs erreicht."
    ),
    "strip_alt_span": " Getönt von {begin} bis {end} % des Durchzugs: {what}.",
    "strip_typical": "Dein typischer Schlag: jedes Bild über seinem eigenen Augenblick",
    "not_averaged": "Dieser Schlag zählt nicht zum Mittel: {why}.",
    "facts": "Was die Kraft über diesen Schlag sagt",
    "read_caution": "Diese Anmerkung spricht vom Rücken. Bitte lies dazu {link}.",
    "read_caution_link": "den Hinweis zu Last und Schmerz",
    "curve": "Deine Kraftkurve",
    "curve_with_target": "Deine Kraftkurve und die, auf die du hinrudern sollst",
    "curve_time": "Über die Zeit",
    "curve_length": "Über die Länge",
    "curve_alt": (
        "Griffkraft über den Durchzug, {axis}. Die Spitze deines Mittels ist {peak} N bei {at} %."
    ),
    "curve_alt_target": " Die Spitze des Ziels ist {peak} N bei {at} %.",
    "curve_alt_only_target": "Die Zielkurve über den Durchzug, {axis}: {peak} N bei {at} %.",
    "axis_time": "über die Zeit",
    "axis_length": "über die Länge",
    "curve_reading": (
        "Von der Auslage links bis zum Endzug rechts: je höher, desto stärker der Zug."
    ),
    "section_reading": "Der Mittelwert gilt für den längsten Abschnitt{name}: {section}.",
    "section_of": "{count} Schläge, Nummer {first} bis {last}",
    "section_rate": ", mit Schlagzahl {rate}",
    "target_reading": "Gestrichelt: die Kurve, auf die du hinrudern sollst.",
    "legend_mean": "dein Mittel",
    "legend_spread": "etwa zwei von drei Schlägen",
    "legend_typical": "typischer Schlag",
    "legend_target": "Ziel",
    "signals": "Neben der Kraft",
    "signal_alt": "{signal}, über den Durchzug von Schlag {number}, mit deinem Mittel.",
    "signal_mean_alt": (
        "{signal}, über den Durchzug: dein Mittel, seine Streuung und der typische Schlag."
    ),
    "files_signal": "{signal} über den Durchzug als Bild (PNG)",
    "files_signal_stroke": "{signal} über den Durchzug von Schlag {number} als Bild (PNG)",
    "x_time": "Durchzug, % seiner Zeit",
    "x_length": "Durchzug, % seiner Länge",
    "y_force": "Griffkraft, N",
    "catch": "Auslage",
    "finish": "Endzug",
    "change": "Was sich ändern würde",
    "change_measure": "Größe",
    "change_now": "Jetzt",
    "change_target": "Ziel",
    "change_difference": "Änderung",
    "change_none": "nicht zu sagen",
    "change_same": "wie jetzt",
    "change_caption_time": (
        "Deine mittlere Kurve und das Ziel, auf gleiche Art gemessen, über die Zeit."
    ),
    "change_caption_length": (
        "Deine mittlere Kurve und das Ziel, auf gleiche Art gemessen, über die Länge."
    ),
    "change_work_same": "Die Arbeit eines Schlags bleibt gleich: sie ist nur anders verteilt.",
    "change_impulse_same": "Der Kraftstoß eines Schlags bleibt gleich: er ist nur anders verteilt.",
    "change_work": "Die Arbeit eines Schlags wird zu {percent} % der jetzigen.",
    "change_impulse": "Der Kraftstoß eines Schlags wird zu {percent} % des jetzigen.",
    "wheel": "Auf einem Schwungrad gerudert",
    "wheel_caption": "Gleiche Arbeit, Zuglänge und Schlagfrequenz, wie ein Modell sie ergibt.",
    "wheel_limits": "Was das Modell voraussetzt und was es nicht wissen kann",
    "wheel_drive_s": "Durchzugszeit, s",
    "wheel_peak_handle_m_s": "Größte Griffgeschwindigkeit, m/s",
    "wheel_peak_power_w": "Spitzenleistung, W",
    "wheel_rfd_n_per_s": "Kraftanstieg, N/s",
    "wheel_fluctuation_pct": ("Schwungradtempo vom langsamsten zum schnellsten, % seines Mittels"),
    "wheel_mean_power_w": "Mittlere Leistung, W",
    "numbers": "Die Zahlen",
    "numbers_intro": (
        "Für alle, die sie haben wollen: das Mittel über {count} ganze Schläge, und wie weit "
        "einzelne Schläge davon abweichen: etwa zwei von drei liegen innerhalb von ±."
    ),
    "numbers_measure": "Größe",
    "numbers_mean": "Mittel",
    "numbers_sd": "±",
    "numbers_unit": "Einheit",
    "no_numbers": "Es gibt keine Kraftaufnahme mit ganzen Schlägen, also auch keine Zahlen.",
    "caution": "Bevor du an deinem Rücken arbeitest",
    "next": "Was du nächstes Mal filmst",
    "remarks": "Was fehlt oder unsicher ist",
    "files": "Die Dateien in diesem Paket",
    "files_captions": "Die Anmerkungen als Untertitel für deinen eigenen Film (WebVTT)",
    "files_notes": "Die Anmerkungen als Tabelle (CSV)",
    "files_strokes": "Jeder Schlag mit seinen Größen (CSV)",
    "files_review": "Alles für ein Programm (JSON)",
    "files_strip": "Bildstreifen von Anmerkung {number} als Bild (JPEG)",
    "files_strip_typical": "Bildstreifen des typischen Schlags als Bild (JPEG)",
    "files_curve": "Kraftkurve {axis} als Bild (PNG)",
    "footer": (
        "Dieses Paket zeigt einen Menschen beim Training. Gib es so sorgsam weiter, wie du es für "
        "dich selbst wünschst; zeigt es Minderjährige, so gelten die örtlichen Schutzregeln."
    ),
    "written_on": "Geschrieben am {date}.",
    "original_hidden": (
        "Die Aufnahme selbst liegt nicht bei: Sie würde ein Gesicht zeigen, das hier verdeckt ist."
    ),
    "original_failed": (
        "Die Aufnahme selbst ließ sich nicht kopieren und liegt deshalb nicht bei."
    ),
    "missing_video": (
        "Der Film war beim Schreiben nicht zu finden: es gibt keine Bilder und Ausschnitte."
    ),
    "missing_trace": (
        "Die Kraftaufnahme war beim Schreiben nicht zu finden: es gibt keine Kurven und Zahlen."
    ),
    "unreadable_video": ("Der Film ließ sich nicht lesen: es gibt keine Bilder und Ausschnitte."),
    "unreadable_trace": (
        "Die Kraftaufnahme ließ sich nicht lesen: es gibt keine Kurven und Zahlen."
    ),
    "other_video": "Der Film an seiner Stelle ist ein anderer als der durchgesehene.",
    "other_trace": ("Die Kraftaufnahme an ihrer Stelle ist eine andere als die durchgesehene."),
    "no_whole_stroke": (
        "In der Kraftaufnahme fand sich kein ganzer Schlag: es gibt keine mittlere Kurve."
    ),
    "still_failed": "Das Bild von Anmerkung {number} ließ sich nicht herstellen.",
    "clip_failed": "Der Ausschnitt von Anmerkung {number} ließ sich nicht herstellen.",
    "strip_failed": "Der Bildstreifen von Anmerkung {number} ließ sich nicht herstellen.",
    "note_outside": (
        "Anmerkung {number} liegt außerhalb des Films: sie hat kein Bild und keinen Ausschnitt."
    ),
    "not_lined_up": (
        "Es wurde angenommen, dass Film und Kraft im selben Augenblick beginnen. Niemand hat das "
        "geprüft; eine Kraft, die zu einem Augenblick des Films gezeigt wird, kann also zu einem "
        "anderen gehören."
    ),
    "rough": (
        "Film und Kraft sind nur grob aufeinander abgestimmt; eine Kraft, die zu einem Augenblick "
        "des Films gezeigt wird, kann einige Bilder davor oder danach liegen."
    ),
    "ambiguous": (
        "Die Abstimmung von Film und Kraft passt auch zu einem anderen Schlag; nimm sie mit "
        "Vorsicht."
    ),
    # The opening.
    "work_on_one": "Daran arbeitest du",
    "work_on_two": "An diesen beiden arbeitest du",
    "to_work_on": "Woran du arbeitest",
    "from_coach": "Von {coach}",
    "logo_alt": "Logo von {coach}",
    "logo_alt_plain": "Logo",
    "see_note": "Siehe Anmerkung {number}",
    # The clip with the force running under it.
    "play": "Abspielen",
    "pause": "Anhalten",
    "slow": "Langsam",
    "slow_label": "Langsam: ein Viertel des Tempos, ohne Ton",
    "full_screen": "Vollbild",
    "run_buttons": "Den Ausschnitt von Anmerkung {number} abspielen",
    "run_label": "Durch den Ausschnitt von Anmerkung {number} gehen",
    "run_drive": "{percent} % des Durchzugs: {force} N",
    "run_drive_target": "{percent} % des Durchzugs: {force} N (Ziel {target})",
    "run_before": "{seconds} s vor der Auslage: {force} N",
    "run_after": "{seconds} s nach dem Endzug: {force} N",
    "run_force": "{seconds} s nach Beginn: {force} N",
    "run_plain": "{seconds} s nach Beginn",
    "run_alt": "Griffkraft, während der Ausschnitt von Anmerkung {number} läuft.",
    "run_hint": "Geh die Kurve entlang, und der Ausschnitt geht mit.",
    "run_tail": "Vorrollen, kürzer gezeichnet",
    "run_unplayable": (
        "Dieser Ausschnitt läuft in diesem Browser nicht. Bild, Kurve und Worte bleiben."
    ),
    # The parts of a stroke and of a body.
    "phase_catch": "Auslage",
    "phase_drive": "Durchzug",
    "phase_finish": "Endzug",
    "phase_recovery": "Vorrollen",
    "part_legs": "Beine",
    "part_back": "Rücken",
    "part_trunk": "Rumpf",
    "part_shoulders": "Schultern",
    "part_arms": "Arme",
    "part_hands": "Hände",
    "part_head": "Kopf",
    "part_seat": "Rollsitz",
    # What is drawn on a still.
    "mark_line": "eine Linie",
    "mark_arrow": "ein Pfeil",
    "mark_freehand": "eine freie Linie",
    "mark_circle": "ein Kreis",
    "mark_angle": "ein Winkel von {value}",
    "mark_plumb": "ein Lot",
    "mark_level": "eine Waagrechte",
    "mark_text": "die Worte „{value}“",
    "walk": "Am Film gezeigt",
    "walk_lead": "Eine Stimme über deinem Film, darunter deine Kraftkurve.",
    "walk_lead_bare": "Eine Stimme über deinem Film.",
    "walk_lead_silent": "An deinem Film, darunter deine Kraftkurve.",
    "walk_lead_bare_silent": "An deinem Film.",
    "walk_title": "Rundgang {number}",
    "walk_label": "{title}, {length}, mit Stimme",
    "walk_label_silent": "{title}, {length}, ohne Ton",
    "walk_captions": "Untertitel",
    "walk_said": "Was gesagt wird, in Worten",
    "walk_no_stroke": "Hier kein Schlag",
    "walk_no_film": "Der Film zeigt diesen Moment nicht",
    "walk_sound_failed": "Die Stimme von Rundgang {number} war nicht zu lesen; hier ist er stumm.",
    "walk_pair_failed": (
        "Rundgang {number} zeigt ein Bild, wo zwei nebeneinander standen; das andere war nicht zu "
        "finden."
    ),
    "walk_failed": "Rundgang {number} konnte nicht erstellt werden.",
    "curve_mark_line": "eine Linie von {begin} bis {end} % des Durchzugs",
    "curve_mark_span": "ein getönter Abschnitt von {begin} bis {end} % des Durchzugs",
    "curve_mark_words": " mit den Worten „{value}“",
    "legend_drawn": "von Hand gezeichnet",
    "mark_distance": "ein Abstand von {value}",
    # Sentences about one stroke.
    "said_pull": "Dein stärkster Zug war {peak}",
    "said_pull_same": ", so viel wie im Mittel",
    "said_pull_above": ", {gap} über deinem Mittel",
    "said_pull_below": ", {gap} unter deinem Mittel",
    "said_pull_at": "; er kam nach {at} des Durchzugs",
    "said_shape": (
        "{plateau} des Durchzugs bliebst du nahe daran, und dein mittlerer Zug war {share} davon"
    ),
    "said_plateau": "{plateau} des Durchzugs bliebst du nahe daran",
    "said_share": "Dein mittlerer Zug war {share} davon",
    "said_drive": "Der Durchzug dauerte {drive}",
    "said_recovery": " und das Vorrollen {recovery}",
    "said_rate": ", bei {rate} Schlägen in der Minute",
    # The measures: English stands with each measure itself.
    "measure_drive_s": "Durchzugszeit",
    "measure_recovery_s": "Vorrollzeit",
    "measure_rhythm": "Rhythmus",
    "measure_rate_spm": "Schlagfrequenz",
    "measure_peak_n": "Spitzenkraft",
    "measure_mean_n": "Mittlere Kraft",
    "measure_impulse_ns": "Kraftstoß",
    "measure_mean_to_peak": "Mittel zu Spitze",
    "measure_time_to_peak_pct": "Zeit bis zur Spitze",
    "measure_length_to_peak_pct": "Weg bis zur Spitze",
    "measure_rfd_n_per_s": "Kraftanstieg",
    "measure_plateau_pct": "Plateau",
    "measure_length_m": "Zuglänge",
    "measure_work_j": "Arbeit je Schlag",
    "measure_mean_power_w": "Mittlere Leistung",
    "measure_peak_power_w": "Spitzenleistung",
    "measure_slip_s": "Schlupf an der Auslage",
    "meaning_drive_s": "Von der Auslage bis zum Endzug.",
    "meaning_recovery_s": "Vom Endzug bis zur nächsten Auslage.",
    "meaning_rhythm": "Vorrollzeit geteilt durch Durchzugszeit: 2 heißt doppelt so lang.",
    "meaning_rate_spm": "Schläge in der Minute, von Auslage zu Auslage.",
    "meaning_peak_n": "Der stärkste Zug am Griff im Durchzug.",
    "meaning_mean_n": "Der Zug am Griff, gemittelt über den Durchzug.",
    "meaning_impulse_ns": "Kraft mal Zeit, zusammengezählt über den Durchzug.",
    "meaning_mean_to_peak": (
        "Die mittlere Kraft als Anteil der Spitzenkraft: je voller die Kurve, desto höher."
    ),
    "meaning_time_to_peak_pct": "Anteil der Durchzugszeit bis zur Spitze.",
    "meaning_length_to_peak_pct": "Anteil der Zuglänge bis zur Spitze.",
    "meaning_rfd_n_per_s": "Wie schnell die Kraft höchstens wächst, über 50 ms des Aufbaus.",
    "meaning_plateau_pct": "Anteil der Durchzugszeit bei mindestens 90 % der Spitze.",
    "meaning_length_m": "Wie weit der Griff im Durchzug kommt.",
    "meaning_work_j": "Kraft mal Weg, zusammengezählt über den Durchzug.",
    "meaning_mean_power_w": "Arbeit des Durchzugs geteilt durch seine Zeit.",
    "meaning_peak_power_w": "Kraft mal Tempo des Griffs, wo das am größten ist.",
    "meaning_slip_s": "Wie lange der Griff läuft, bis der Zug 30 % der Spitze erreicht.",
    # What the model of a flywheel takes for granted.
    "wheel_limit_1": (
        "Gleiche Arbeit, gleiche Zuglänge, gleiche Schlagfrequenz; nur die Form der Kraft ändert "
        "sich."
    ),
    "wheel_limit_2": (
        "Das Schwungrad ist ein Modell: eine Trägheit, ein Widerstand mit dem Quadrat des Tempos, "
        "kein Spiel in der Kette, kein Zug der Rückholschnur."
    ),
    "wheel_limit_3": (
        "Ob jemand die Zielkurve rudern kann und was sie den Körper kostet, steckt nicht darin."
    ),
    "wheel_limit_4": (
        "Trägheit und Widerstand sind die eingegebenen; wo sie geschätzt sind, lies die "
        "Unterschiede und nicht die Werte."
    ),
    # The caution on the back.
    "caution_describes": (
        "Was hier über den Rücken gesagt wird, beschreibt Bewegung. Wo von Last die Rede ist, ist "
        "sie aus der Seitenansicht und dem Zug am Griff geschätzt. Es ist keine Diagnose."
    ),
    "caution_pain": (
        "Schmerz ist ein Grund aufzuhören. Hör auf zu rudern und geh zu einer Ärztin, einem Arzt "
        "oder einer anderen zugelassenen Fachkraft, bevor du weitermachst."
    ),
    "caution_history": (
        "Wer dich beim Rudern sieht und deine eigene Vorgeschichte gehen vor. Sagt diese Seite "
        "etwas anderes, so gelten sie."
    ),
    "caution_growing": (
        "Wenn du noch wächst, liegt deine Grenze tiefer: arbeite nicht auf die Kräfte Erwachsener "
        "hin."
    ),
    "caution_minor": "Zeigt der Film Minderjährige, so gelten für ihn die örtlichen Schutzregeln.",
    # What to film next time.
    "film_with_force": (
        "Schick den Film zusammen mit der Kraftaufnahme: beide sagen gemeinsam, was keine allein "
        "sagen kann."
    ),
    "film_camera": (
        "Stell die Kamera fest hin, genau seitlich zum Gerät, auf Höhe deiner Hüfte und so weit "
        "weg, dass Kopf, Hände und Füße immer im Bild bleiben."
    ),
    "film_rate": (
        "Filme quer, nicht hoch, mit mindestens 60 Bildern in der Sekunde, wenn deine Kamera das "
        "kann."
    ),
    "film_light": (
        "Lass das Licht von der Seite der Kamera auf dich fallen, vor einer ruhigen Wand."
    ),
    "film_strokes": (
        "Rudere nach dem Aufwärmen mindestens fünfzehn ganze Schläge mit einer Frequenz."
    ),
    "film_force": (
        "Nimm die Griffkraft derselben Strecke auf, mit dem Ort des Griffs, wenn dein Gerät ihn "
        "misst."
    ),
    "film_line_up": (
        "Starte beide Aufnahmen, sitz fünf Sekunden still, klopf einmal hörbar auf den Griff, dann "
        "mach einen einzelnen harten Schlag: damit lassen sich Film und Kraft aufeinander "
        "abstimmen."
    ),
    **COMPARISON_GERMAN,
    **PICTURE_GERMAN,
    **BACK_GERMAN,
    **SESSION_GERMAN,
    **LAST_TIME_GERMAN,
}
