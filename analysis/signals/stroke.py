"""One stroke, whatever it was seen on."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.signals.signal import TRACE


@dataclass(frozen=True)
class Stroke:
    """One stroke, in seconds on its clock.

    Attributes
    ----------
    index : its number from 0. A stroke of the body that meets one of the force has its number
    catch_s, finish_s : begin and end of the drive
    next_catch_s : None for a last stroke or one followed by a pause
    remark : says in plain words why a stroke should not be averaged ("half stroke", "samples
        missing", ...), "" if nothing is wrong with it
    before_s : the finish before it, where the recovery that leads to it begins; None where that is
        not known
    source : what it was cut from, "force" or "body"
    clock : the clock of its times, as `Signal.clock`
    turn_sd_s : standard deviation of a `catch_s` that is less sure than those of other strokes; 0
        where it is as sure as they are
    """

    index: int
    catch_s: float
    finish_s: float
    next_catch_s: float | None = None
    remark: str = ""
    before_s: float | None = None
    source: str = "force"
    clock: str = TRACE
    turn_sd_s: float = 0.0

    @property
    def recovery(self) -> tuple[float, float] | None:
        """Begin and end of the recovery after the drive; None where it has no end."""
        if self.next_catch_s is None or not self.next_catch_s > self.finish_s:
            return None
        return self.finish_s, self.next_catch_s
