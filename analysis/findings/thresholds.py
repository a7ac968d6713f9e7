"""Every threshold of the findings in one table: value, unit, where it comes from, what it does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

COMMON = "common practice, no source"
SIMULATION = "simulation only"


@dataclass(frozen=True)
class Threshold:
    """One row of the table.

    Attributes
    ----------
    source : "common practice, no source", "simulation only", or the source itself
    does : what it decides, in plain words
    low, high : a change outside is refused
    """

    name: str
    value: float
    unit: str
    source: str
    does: str
    low: float = 0.0
    high: float = 100.0


_IDEAL = "between the exact values of ideal curves (triangle, half sine); " + COMMON

TABLE: tuple[Threshold, ...] = (
    Threshold("fewest-strokes", 5, "strokes", COMMON, "below it every finding says so", 1, 100),
    Threshold("share-from", 0.3, "share", COMMON, "strokes that must show it", 0.01, 1),
    Threshold("leads", 3, "findings", COMMON, "how many faults a draft takes up", 1, 20),
    Threshold(
        "noise-times",
        3.0,
        "times",
        COMMON,
        "a dip or a hump must be so many times the noise left after smoothing",
        1,
        10,
    ),
    Threshold(
        "body-sure",
        1.28,
        "times",
        "nine in ten on one side of a normal distribution; " + COMMON,
        "a value from the picture must pass its limit by so many times what its points leave "
        "uncertain",
        0,
        4,
    ),
    # Catch.
    Threshold(
        "hard-catch.first-fifth",
        56.0,
        "% of peak",
        _IDEAL + " (half sine 30, block 100)",
        "mean force over the first fifth of the drive from which a catch is hard",
    ),
    Threshold(
        "hard-catch.risen",
        10.5,
        "% of drive",
        "half sine 25, block 0, exact; " + COMMON,
        "seven tenths of the peak must have been reached before this",
    ),
    Threshold("hard-catch.strong", 80.0, "% of peak", SIMULATION, "severity 1"),
    Threshold(
        "soft-catch.first-fifth",
        38.0,
        "% of peak",
        _IDEAL + " (half sine 30)",
        "mean force over the first fifth below which a catch is soft",
    ),
    # Build-up.
    Threshold("give.depth", 6.0, "% of peak", COMMON, "how deep force must drop before it rises"),
    Threshold("give.strong", 35.0, "% of peak", SIMULATION, "severity 1"),
    Threshold("give.latest", 55.0, "% of drive", COMMON, "a drop after this is no give"),
    Threshold("stepped-build-up.stairs", 3.0, "stairs", COMMON, "stairs on the way up", 2, 10),
    Threshold(
        "stepped-build-up.tread",
        0.5,
        "share",
        SIMULATION,
        "a tread rises slower than this share of the mean rise",
        0.05,
        0.95,
    ),
    Threshold(
        "stepped-build-up.riser",
        1.1,
        "times",
        SIMULATION,
        "a riser is steeper than the mean rise by this",
        1.0,
        5.0,
    ),
    Threshold("stepped-build-up.strong", 5.0, "stairs", COMMON, "severity 1", 3, 20),
    # Shape.
    Threshold(
        "peaky.plateau",
        22.0,
        "% of drive",
        _IDEAL + " (triangle 10, half sine 29)",
        "width at 90 % of the peak below which a curve is peaky",
    ),
    Threshold(
        "peaky.mean-to-peak",
        0.58,
        "share",
        _IDEAL + " (0.50, 0.64)",
        "mean over peak below which a curve is peaky",
        0.1,
        1,
    ),
    Threshold("peaky.strong", 0.45, "share", SIMULATION, "mean over peak of severity 1", 0.1, 1),
    Threshold(
        "long-plateau.plateau",
        36.0,
        "% of drive",
        "above the half sine's 29; " + COMMON,
        "width at 90 % of the peak from which a plateau is long",
    ),
    Threshold(
        "early-loss.falls",
        65.0,
        "% of drive",
        "half sine 73, triangle 62; " + COMMON,
        "force that has fallen below three quarters of its peak before this is lost early",
    ),
    Threshold(
        "early-loss.held",
        42.0,
        "% of its decline",
        "half sine 46 wherever its peak lies, straight line 30, exact; " + COMMON,
        "a quarter of the force must be lost before this share of the way from the top to the end",
    ),
    Threshold(
        "early-loss.surely",
        56.0,
        "% of drive",
        "half sine with its peak at 20 % of the drive 57, exact; " + COMMON,
        "so early it is lost however even the decline is",
    ),
    Threshold("early-loss.strong", 50.0, "% of drive", SIMULATION, "severity 1"),
    Threshold(
        "late-peak.middle",
        55.0,
        "% of drive",
        "symmetric curve 50; peak usually at 30-45 of the drive (from memory); " + COMMON,
        "middle of the time above 90 % of the peak from which a peak is late",
    ),
    Threshold(
        "late-peak.balance",
        50.5,
        "% of drive",
        "symmetric curve 50, exact; " + COMMON,
        "the impulse must balance behind this too",
    ),
    Threshold(
        "early-loss.loaded",
        72.0,
        "% of loaded drive",
        "half sine 77, exact; " + COMMON,
        "the same, counted to where hardly any force is left",
    ),
    Threshold(
        "early-loss.lopsided",
        1.4,
        "times",
        "symmetric curve 1, exact; " + COMMON,
        "fall below three quarters of the peak over rise to it",
        0.5,
        10.0,
    ),
    Threshold("late-peak.strong", 70.0, "% of drive", COMMON, "severity 1"),
    Threshold(
        "empty-finish.tail",
        13.0,
        "% of drive",
        COMMON,
        "share of the drive at its end with hardly any force",
    ),
    Threshold("empty-finish.force", 16.0, "% of peak", COMMON, "what counts as hardly any force"),
    Threshold("empty-finish.strong", 35.0, "% of drive", COMMON, "severity 1"),
    Threshold("finish-snatch.rise", 3.0, "% of peak", COMMON, "force rises again at the finish"),
    Threshold("finish-snatch.from", 70.0, "% of drive", COMMON, "a rise before this is no snatch"),
    Threshold("finish-snatch.strong", 25.0, "% of peak", SIMULATION, "severity 1"),
    # Piece.
    Threshold(
        "uneven.spread",
        4.8,
        "%",
        "trained rowers 3.4 (drive-mean power) to 4.8 (peak "
        "power), Sprague et al. 2007, Med Sci Sports Exerc 39(2)",
        "spread of the impulse about its trend within a section from which strokes are uneven; the "
        "lower end of its 90 % interval must lie above",
    ),
    Threshold("uneven.strong", 14.0, "%", COMMON, "severity 1"),
    Threshold(
        "fading.loss",
        10.0,
        "%",
        "steady rowing loses some 10 N in an hour, Mackenzie et "
        "al. 2008, J Sports Sci Med 7:486-491; limit itself " + COMMON,
        "mean force lost from start to end of a section",
    ),
    Threshold(
        "fading.surely",
        3.0,
        "%",
        COMMON,
        "so much must be lost at the lower end of the 90 % interval",
    ),
    Threshold("fading.strong", 30.0, "%", COMMON, "severity 1"),
    Threshold(
        "rushed-recovery.halfway",
        51.5,
        "% of recovery",
        "even speed 50, exact; " + COMMON,
        "when the handle is half way home in most strokes; later means the hurry comes before the "
        "catch",
    ),
    Threshold("rushed-recovery.strong", 62.0, "% of recovery", SIMULATION, "severity 1"),
    Threshold(
        "rushed-recovery.rhythm",
        0.72,
        "share",
        "drive times of trained rowers (from "
        "memory) give the usual recovery for a rate; the share is " + COMMON,
        "recovery over the usual one for this rate, where no position is recorded",
        0.2,
        1,
    ),
    # Body.
    Threshold(
        "thrown-catch.lean",
        8.0,
        "°",
        COMMON,
        "lean gained in the second half of the slide",
        1,
        60,
    ),
    Threshold("thrown-catch.strong", 25.0, "°", COMMON, "severity 1", 1, 90),
    Threshold(
        "seat-first.ahead",
        0.035,
        "m",
        COMMON,
        "seat gone further than the handle early in the drive",
        0.005,
        0.5,
    ),
    Threshold("seat-first.strong", 0.12, "m", COMMON, "severity 1", 0.01, 1),
    Threshold(
        "back-rounds.flexion",
        7.0,
        "°",
        COMMON,
        "low back that bends further after the catch",
        1,
        60,
    ),
    Threshold("back-rounds.strong", 25.0, "°", COMMON, "severity 1", 2, 90),
    Threshold(
        "early-arms.elbow",
        15.0,
        "°",
        COMMON,
        "elbow bend gained while the legs still have a quarter of their way to go",
        2,
        90,
    ),
    Threshold("early-arms.strong", 50.0, "°", COMMON, "severity 1", 5, 150),
    Threshold(
        "empty-lean-back.lean",
        32.0,
        "°",
        "20-30 usual at the finish (from memory); " + COMMON,
        "lean back from the vertical beyond which nothing is won",
        5,
        80,
    ),
    Threshold(
        "empty-lean-back.empty", 15.0, "°", COMMON, "lean back done after the force is gone", 1, 60
    ),
    Threshold("empty-lean-back.strong", 45.0, "°", COMMON, "severity 1", 10, 90),
    Threshold(
        "hands-off-level.height",
        0.045,
        "m",
        COMMON,
        "how far the hands leave their line in the first two thirds",
        0.005,
        0.5,
    ),
    Threshold("hands-off-level.strong", 0.15, "m", COMMON, "severity 1", 0.01, 1),
    Threshold(
        "steady-hands.height", 0.025, "m", COMMON, "hands within this are steady", 0.001, 0.5
    ),
    Threshold(
        "early-trunk.opened",
        20.0,
        "% of its way",
        "rowers extend knees more and trunk "
        "less than non-rowers, Hase et al. 2004, J Appl Biomech 20:317-323; limit " + COMMON,
        "trunk opened when the legs have done a third of theirs",
    ),
    Threshold("early-trunk.strong", 50.0, "% of its way", COMMON, "severity 1"),
)
DEFAULTS: Mapping[str, Threshold] = {row.name: row for row in TABLE}


class ThresholdError(ValueError):
    """A threshold that cannot be changed so. The message is one sentence for the user."""


@dataclass(frozen=True)
class Thresholds:
    """The thresholds in force: the table, and what a coach changed in it.

    Attributes
    ----------
    changed : pairs of name and value; only these need to be stored
    """

    changed: tuple[tuple[str, float], ...] = ()

    def __getitem__(self, name: str) -> float:
        for changed, value in self.changed:
            if changed == name:
                return value
        return DEFAULTS[name].value

    def with_changes(self, changes: Mapping[str, float]) -> Thresholds:
        """Change some thresholds; one set back to the table's own value is no change any more.

        Raises
        ------
        ThresholdError
            A name that is not in the table, or a value outside its bounds.
        """
        merged = dict(self.changed)
        for name, value in changes.items():
            row = DEFAULTS.get(name)
            if row is None:
                raise ThresholdError(f"There is no threshold '{name}'; it was left out.")
            if not row.low <= value <= row.high:
                raise ThresholdError(
                    f"The threshold '{name}' must be between {row.low:g} and {row.high:g} "
                    f"{row.unit}, not {value:g}; it was left at {self[name]:g}."
                )
            merged[name] = float(value)
        kept = {n: v for n, v in merged.items() if v != DEFAULTS[n].value}
        return Thresholds(tuple(sorted(kept.items())))

    def as_dict(self) -> dict[str, float]:
        """Give what was changed, ready to be stored."""
        return dict(self.changed)
