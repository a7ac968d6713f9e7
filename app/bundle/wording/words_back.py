"""The wording of the trend of the load on the low back, in each language: it never alarms."""

from __future__ import annotations

from typing import Final

BACK_ENGLISH: Final[dict[str, str]] = {
    "back_title": "Load on your low back, as a trend",
    "back_figure": "Load on the low back, estimated: a trend",
    "back_axis": "% of the first third",
    "back_strokes": "stroke",
    "back_lead": (
        "An estimate from your posture in the picture and your pull on the handle. It compares "
        "your strokes with your own first ones, and with nobody else’s."
    ),
    "back_rise": (
        "Over these {count} strokes the estimated load on the low back rose by {change} % (95 % "
        "interval {low} to {high} %)."
    ),
    "back_fall": (
        "Over these {count} strokes the estimated load on the low back fell by {change} % (95 % "
        "interval {low} to {high} %)."
    ),
    "back_unsure": (
        "Over these {count} strokes no change of the estimated load on the low back can be told "
        "(95 % interval {low} to {high} %)."
    ),
    "back_caption": (
        "Each dot is a stroke; the line is the trend, and the shade is how far it may lie "
        "elsewhere. A camera that was zoomed or a point of the hand that slid off can make a trend "
        "by itself. It is no measurement of your spine and says nothing about injury."
    ),
    "back_off_square": (
        "How the load on your low back ran cannot be told: the camera stood too far off square."
    ),
    "back_no_stature": (
        "How the load on your low back ran cannot be told: nobody said how tall you are."
    ),
    "back_few_points": (
        "How the load on your low back ran cannot be told: hip, shoulder or hands are hidden too "
        "often."
    ),
    "back_few_strokes": (
        "How the load on your low back ran cannot be told from fewer than five whole strokes."
    ),
}

BACK_GERMAN: Final[dict[str, str]] = {
    "back_title": "Last auf deinem unteren Rücken, als Verlauf",
    "back_figure": "Last auf dem unteren Rücken, geschätzt: ein Verlauf",
    "back_axis": "% des ersten Drittels",
    "back_strokes": "Schlag",
    "back_lead": (
        "Eine Schätzung aus deiner Haltung im Bild und deinem Zug am Griff. Sie vergleicht deine "
        "Schläge mit deinen eigenen ersten, und mit denen von niemand anderem."
    ),
    "back_rise": (
        "Über diese {count} Schläge stieg die geschätzte Last auf dem unteren Rücken um {change} % "
        "(95-%-Intervall {low} bis {high} %)."
    ),
    "back_fall": (
        "Über diese {count} Schläge sank die geschätzte Last auf dem unteren Rücken um {change} % "
        "(95-%-Intervall {low} bis {high} %)."
    ),
    "back_unsure": (
        "Über diese {count} Schläge lässt sich keine Änderung der geschätzten Last auf dem "
        "unteren Rücken erkennen (95-%-Intervall {low} bis {high} %)."
    ),
    "back_caption": (
        "Jeder Punkt ist ein Schlag; die Linie ist der Verlauf, der Schatten zeigt, wie weit sie "
        "woanders liegen kann. Ein Zoom der Kamera oder ein verrutschter Punkt der Hand kann "
        "allein schon einen Verlauf ergeben. Das ist keine Messung deiner Wirbelsäule und sagt "
        "nichts über Verletzungen."
    ),
    "back_off_square": (
        "Wie die Last auf deinem unteren Rücken verlief, lässt sich nicht sagen: Die Kamera stand "
        "zu schräg."
    ),
    "back_no_stature": (
        "Wie die Last auf deinem unteren Rücken verlief, lässt sich nicht sagen: Niemand hat "
        "gesagt, wie groß du bist."
    ),
    "back_few_points": (
        "Wie die Last auf deinem unteren Rücken verlief, lässt sich nicht sagen: Hüfte, Schulter "
        "oder Hände sind zu oft verdeckt."
    ),
    "back_few_strokes": (
        "Wie die Last auf deinem unteren Rücken verlief, lässt sich aus weniger als fünf ganzen "
        "Schlägen nicht sagen."
    ),
}
