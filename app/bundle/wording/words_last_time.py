"""The wording of this time against last time; `words.py` says how it is used."""

from __future__ import annotations

from typing import Final

LAST_TIME_ENGLISH: Final[dict[str, str]] = {
    "last_time": "Since last time",
    "last_time_on": "Since last time ({date})",
    "last_time_changed": "Changed",
    "last_time_changed_to": "It changed: {what}.",
    "last_time_changed_back": "It changed the other way: {what}.",
    "last_time_not_yet": "Not yet",
    "last_time_not_yet_but": "Not yet: {what}.",
    "last_time_cannot_tell": "Cannot tell",
    "last_time_cannot_tell_of": "It cannot be told yet: {what}. One day differs from another.",
    "last_time_unlike": (
        "The two pieces were rowed too differently to compare them fairly. Next time, row some of "
        "it at the rate and pressure of this piece."
    ),
    "last_time_unknown": "“{title}”",
    "last_time_share": "“{title}” in {now} % of your strokes, {then} % last time",
    "last_time_measure": "{title} {now}, {then} last time",
    "last_time_this": "this time",
    "last_time_before": "last time",
    "last_time_alt": "Your mean curve this time over that of last time, over the drive.",
    "last_time_method": (
        "Only strokes of like rate and pressure are compared, and part of every change goes by "
        "itself from day to day; that is taken off before anything is called changed."
    ),
}
LAST_TIME_GERMAN: Final[dict[str, str]] = {
    "last_time": "Seit dem letzten Mal",
    "last_time_on": "Seit dem letzten Mal ({date})",
    "last_time_changed": "Verändert",
    "last_time_changed_to": "Es hat sich verändert: {what}.",
    "last_time_changed_back": "Es hat sich in die andere Richtung verändert: {what}.",
    "last_time_not_yet": "Noch nicht",
    "last_time_not_yet_but": "Noch nicht: {what}.",
    "last_time_cannot_tell": "Nicht zu sagen",
    "last_time_cannot_tell_of": (
        "Es lässt sich noch nicht sagen: {what}. Kein Tag ist wie der andere."
    ),
    "last_time_unlike": (
        "Die beiden Stücke sind zu verschieden gerudert, um sie gerecht zu vergleichen. Rudere "
        "nächstes Mal einen Teil mit der Schlagzahl und dem Druck von diesem Stück."
    ),
    "last_time_unknown": "„{title}“",
    "last_time_share": "„{title}“ in {now} % deiner Schläge, letztes Mal {then} %",
    "last_time_measure": "{title} {now}, letztes Mal {then}",
    "last_time_this": "dieses Mal",
    "last_time_before": "letztes Mal",
    "last_time_alt": "Deine mittlere Kurve von diesem Mal über der vom letzten Mal, im Durchzug.",
    "last_time_method": (
        "Verglichen werden nur Schläge mit ähnlicher Schlagzahl und ähnlichem Druck. Ein Teil "
        "jeder Veränderung kommt von Tag zu Tag von selbst; das ist abgezogen, bevor etwas "
        "verändert heißt."
    ),
}
