"""What works: a coach starts with it."""

from __future__ import annotations

import numpy as np

from analysis.findings.body_rules import BodyCycles, height_off_line
from analysis.findings.curve_shape import first_above, last_above, mean_between, width_above
from analysis.findings.raised import Raised
from analysis.findings.shapes import Shapes
from analysis.findings.thresholds import Thresholds

SHARE_FROM = 0.7  # a good sign is a habit, not a lucky stroke


def soft_catch(shapes: Shapes, t: Thresholds) -> Raised:
    """Force is loaded up as the flywheel comes into motion."""
    values = 100.0 * mean_between(shapes.curves, 0.0, 20.0)
    limit = t["soft-catch.first-fifth"]
    ends = np.full(shapes.count, 20.0)
    catch = np.array([s.catch_s for s in shapes.strokes])
    return Raised(
        "soft-catch",
        "mean force over the first fifth of the drive",
        "% of peak",
        values < limit,
        values,
        limit,
        0.5 * limit,
        np.zeros(shapes.count),
        ends,
        catch,
    )


def long_plateau(shapes: Shapes, t: Thresholds) -> Raised:
    """Force stays full over the middle of the drive."""
    values = width_above(shapes.curves, 0.9)
    limit = t["long-plateau.plateau"]
    begin, end = first_above(shapes.curves, 0.9), last_above(shapes.curves, 0.9)
    catch = np.array([s.catch_s for s in shapes.strokes])
    return Raised(
        "long-plateau",
        "width at nine tenths of the peak",
        "% of drive",
        values > limit,
        values,
        limit,
        1.5 * limit,
        begin,
        end,
        catch + 0.5 * (begin + end) / 100.0 * shapes.drive_s,
    )


def steady_hands(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The hands stay on their line through the drive."""
    values = height_off_line(cycles).max(axis=1)
    limit = t["steady-hands.height"]
    catch = np.array([s.catch_s for s in cycles.strokes])
    return Raised(
        "steady-hands",
        "way of the hands off their line",
        "m",
        np.nan_to_num(values, nan=np.inf) < limit,
        values,
        limit,
        0.0,
        np.zeros(cycles.count),
        np.full(cycles.count, 66.0),
        catch,
        on_video=True,
    )


FORCE_SIGNS = (soft_catch, long_plateau)
BODY_SIGNS = (steady_hands,)
# A good sign is not said where one of these is found.
SPOILT_BY = {
    "soft-catch": ("hard-catch", "give", "stepped-build-up", "late-peak", "peaky"),
    "long-plateau": ("peaky", "give", "stepped-build-up", "hard-catch"),
    "steady-hands": ("hands-off-level",),
}
