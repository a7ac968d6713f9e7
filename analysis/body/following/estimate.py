"""The most likely motion of the body, from what was read and what was placed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.banded import (
    Rod,
    column_variances,
    smooth_columns,
    smooth_linked,
)
from analysis.body.following.bias import (
    CARRIED,
    CLICK_SD,
    DETECTOR,
    Bias,
    BiasPrior,
    Moments,
    as_agreed,
    learn,
)
from analysis.body.following.machine_points import machine_points
from analysis.body.following.misfit import unclear
from analysis.body.following.observed import (
    BODY_POINTS,
    Observed,
    click_rows,
    known_places,
    steadied,
    unsteadied,
)
from analysis.body.following.phase_mean import (
    Strokes,
    distrust,
    middle,
    on_frames,
    on_strokes,
    strokes_of,
)
from analysis.body.following.proportions import LIMBS, index, stature_px
from analysis.body.shared_error import shared_sd
from analysis.body.track import POINTS, BodyTrack, Click, Source
from analysis.signals.signal import FloatArray

HAND_LENGTH_SD = 0.015  # of stature; wrist to handle
_REACH_S = 0.3  # a frame this near to a reading is known by it
_UNKNOWN_SD = 0.06  # of stature; a point less sure than this is not given
_CAUCHY = 2.385  # 95 % as good as least squares where errors are normal (usual constant)
_LASTS_S = 0.3  # how long an error of a limb's length or of the mean stroke stays the same


@dataclass(frozen=True)
class Settings:
    """What is taken for granted of body and readers; lengths in shares of stature.

    Attributes
    ----------
    jitter : standard deviation of a reading besides its bias
    jerk : spectral density of the white noise that jerk is taken as, 1/s^5
    hand_jerk : the same of the wrist, which turns more sharply than the joints that carry it
    pull : how well another stroke's same moment is believed at best, standard deviation
    far : a click this far from its stroke says that the reader was lost there
    detector, carried : biases
    """

    jitter: float = 0.004
    jerk: float = 60.0
    hand_jerk: float = 600.0
    pull: float = 0.02
    far: float = 0.05
    detector: BiasPrior = DETECTOR
    carried: BiasPrior = CARRIED


@dataclass(frozen=True, eq=False)
class Posterior:
    """A track with what is needed to say which click helps most.

    Attributes
    ----------
    track : the estimate
    clicked : (T, K) where a point was placed by hand
    moments : one a body point: time, phase, doubt
    priors : one a body point
    spare_px2 : (T, P) variance of the body points besides their bias
    stature_px : NaN where nothing is known
    """

    track: BodyTrack
    clicked: NDArray[np.bool_]
    moments: tuple[Moments, ...]
    priors: tuple[BiasPrior, ...]
    spare_px2: FloatArray
    stature_px: float


def estimate(
    observed: Observed, clicks: Sequence[Click], settings: Settings | None = None
) -> BodyTrack:
    """Estimate all points of all frames: `posterior` without its by-products."""
    return posterior(observed, clicks, settings).track


def posterior(
    observed: Observed, clicks: Sequence[Click], settings: Settings | None = None
) -> Posterior:
    """Estimate all points of all frames from readings and clicks.

    The data are believed robustly (Cauchy), motion is smooth (third difference), limbs keep their
    lengths, other strokes pull weakly to their median at the same phase, and clicks teach the bias
    of the reader. Linear in the number of frames; no picture is needed.
    """
    return _Estimation(observed, clicks, settings or Settings()).run()


class _Estimation:
    """One estimate; pixels are those of the first frame."""

    def __init__(self, observed: Observed, clicks: Sequence[Click], settings: Settings) -> None:
        self.observed, self.settings = observed, settings
        self.time_s, self.phase = observed.time_s, observed.phase
        self.xy = observed.steadied_px.copy()
        self.frame, self.point, place = click_rows(self.time_s, clicks)
        self.place = self._steady_rows(place)
        shown = self.xy.copy()
        shown[self.frame, self.point] = self.place
        self.size = stature_px(shown)
        step = np.gradient(self.time_s) if len(self.time_s) > 1 else np.ones(1)
        self.step_s = np.clip(step, 1e-3, 0.2)
        self.jerk = np.full(BODY_POINTS, settings.jerk * self.size**2)
        self.jerk[index("wrist")] = settings.hand_jerk * self.size**2

    def _steady_rows(self, place: FloatArray) -> FloatArray:
        if self.observed.steady is None or len(place) == 0:
            return place
        rows = self.observed.steady[self.frame]
        return steadied(place[:, None], rows)[:, 0]

    def run(self) -> Posterior:
        if not np.isfinite(self.size) or self.size <= 0.0 or len(self.time_s) < 4:
            return self._only_clicks()
        machine, machine_sd, machine_source = machine_points(
            self.observed, self.xy, self.frame, self.point, self.place, self.size
        )
        self._weigh()
        start, pull, pull_weight, spread = self._between_strokes()
        moments = tuple(self._moments(p, spread) for p in range(BODY_POINTS))
        biases = [self._learn(p, start, moments[p]) for p in range(BODY_POINTS)]
        offset = np.stack([b.offset_px for b in biases], axis=1)
        weight = self._robust_weight(start)
        shift_pull = pull + offset
        body = self._linked(start + offset, offset, weight, shift_pull, pull_weight, machine)
        spare = self._variance(weight, pull_weight)
        self.unclear = unclear(self.time_s, self.xy[:, :BODY_POINTS] + offset - body)
        return self._posterior(body, biases, spare, pull_weight, moments,
                               (machine, machine_sd, machine_source))  # fmt: skip

    # -- what was read -----------------------------------------------------------------------

    def _weigh(self) -> None:
        """Variance of each reading besides bias, by how sure its reader was for that point."""
        body = slice(0, BODY_POINTS)
        self.seen = known_places(self.xy[:, body])
        sd = np.where(self.seen, self.observed.sd_px[:, body], np.nan)
        self.relative = np.ones_like(sd)
        for p in range(BODY_POINTS):
            if self.seen[:, p].any():
                self.relative[:, p] = np.clip(sd[:, p] / np.nanmedian(sd[:, p]), 0.7, 6.0)
        self.relative = np.where(self.seen, self.relative, 1.0)
        self.variance = (self.settings.jitter * self.size * self.relative) ** 2
        self.hand = np.zeros_like(self.seen)
        self.hand_px = np.zeros((*self.seen.shape, 2))
        mine = self.point < BODY_POINTS
        self.hand[self.frame[mine], self.point[mine]] = True
        self.hand_px[self.frame[mine], self.point[mine]] = self.place[mine]
        carried = (self.observed.source[:, body] != Source.DETECTOR) & self.seen
        mostly = carried.sum(axis=0) > 0.5 * self.seen.sum(axis=0)
        s = self.settings
        self.priors = tuple(s.carried if flag else s.detector for flag in mostly)
        self.known = self._within_reach(self.seen)

    def _within_reach(self, seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Where a reading lies within reach of a frame."""
        near = np.zeros_like(seen)
        for p in range(seen.shape[1]):
            at = self.time_s[seen[:, p]]
            if len(at):
                right = np.clip(np.searchsorted(at, self.time_s), 0, len(at) - 1)
                left = np.maximum(right - 1, 0)
                gap = np.minimum(np.abs(at[right] - self.time_s), np.abs(at[left] - self.time_s))
                near[:, p] = gap <= _REACH_S
        return near

    def _robust_weight(self, around: FloatArray) -> FloatArray:
        off2 = np.square(self.xy[:, :BODY_POINTS] - around).sum(axis=-1)
        off2 = np.where(self.seen, off2, 0.0)
        usual = _CAUCHY**2 * np.maximum(self.variance, (0.006 * self.size) ** 2)
        return np.where(self.seen, 1.0 / (self.variance * (1.0 + off2 / usual)), 0.0)

    def _settle(
        self, start: FloatArray | None, pull: FloatArray, pull_weight: FloatArray, rounds: int
    ) -> FloatArray:
        """Smooth the readings robustly, each point on its own: (T, P, 2)."""
        readings = np.nan_to_num(self.xy[:, :BODY_POINTS])
        pulled = np.nan_to_num(pull)
        weight = np.where(self.seen, 1.0 / self.variance, 0.0)
        x = start
        for _ in range(rounds):
            if x is not None:
                weight = self._robust_weight(x)
            total = weight + pull_weight
            wanted = weight[..., None] * readings + pull_weight[..., None] * pulled
            wanted = wanted / np.maximum(total, 1e-12)[..., None]
            flat = smooth_columns(
                self.time_s,
                wanted.reshape(len(self.time_s), -1),
                np.repeat(total, 2, axis=1),
                np.repeat(self.jerk, 2),
            )
            x = flat.reshape(readings.shape)
        assert x is not None
        return x

    # -- the other strokes ---------------------------------------------------------------------

    def _between_strokes(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Readings smoothed in the light of other strokes.

        Returns
        -------
        Motion (T, P, 2), the place other strokes pull to, the weight (T, P) of that pull, and how
        far strokes disagree (T, P) px. There is no pull before the first and after the last turn.
        """
        nothing = np.zeros(self.seen.shape)
        alone = self._settle(None, np.zeros((*nothing.shape, 2)), nothing, 5)
        strokes = strokes_of(self.phase, alone, self.known)
        for frame, point, place in zip(self.frame, self.point, self.place, strict=True):
            if point < BODY_POINTS:
                far = self.settings.far * self.size
                distrust(strokes, float(self.phase[frame]), int(point), place, far)
        centre, spread = middle(strokes)
        if not np.isfinite(centre).any():
            return alone, alone, nothing, nothing
        pull, spread = on_frames(self.phase, centre), on_frames(self.phase, spread)
        self._forget_wrong(strokes, pull)
        sd = np.hypot(self.settings.pull * self.size, 2.0 * spread)
        weight = np.where(np.isfinite(sd), (self.step_s[:, None] / _LASTS_S) / sd**2, 0.0)
        start = np.where((weight > 0.0)[..., None], pull, alone)
        together = self._settle(start, pull, weight, 5)
        return together, np.where((weight > 0.0)[..., None], pull, together), weight, spread

    def _forget_wrong(self, strokes: Strokes, pull: FloatArray) -> None:
        """Hardly believe the readings of strokes found wrong where they are far from the others."""
        trust = on_strokes(self.phase, strokes.trust)
        off = np.hypot(*np.moveaxis(self.xy[:, :BODY_POINTS] - pull, -1, 0))
        wrong = (trust < 0.5) & (off > 0.5 * self.settings.far * self.size)
        self.variance = np.where(wrong, 100.0 * self.variance, self.variance)

    def _moments(self, p: int, spread: FloatArray) -> Moments:
        """Instants with the doubt about point p: strokes that differ, a reader that was unsure."""
        excess = np.maximum(np.nan_to_num(spread[:, p]) - 0.01 * self.size, 0.0)
        moments = Moments(self.time_s, self.phase, excess)
        # What clicks teach must not shift the moment at which the hands turn.
        return moments.still_at_turns() if p == index("wrist") else moments

    # -- bias --------------------------------------------------------------------------------

    def _learn(self, p: int, around: FloatArray, moments: Moments) -> Bias:
        rows = np.flatnonzero((self.point == p) & self.known[self.frame, min(p, BODY_POINTS - 1)])
        at = self.frame[rows]
        missing = self.place[rows] - around[at, p]
        noise = np.full(len(rows), ((CLICK_SD**2 + 0.002**2) * self.size**2))
        return learn(self.priors[p], self.size, moments, moments.at(at), missing, noise)

    # -- all together --------------------------------------------------------------------------

    def _linked(
        self, start: FloatArray, offset: FloatArray, weight: FloatArray,
        pull: FloatArray, pull_weight: FloatArray, machine: FloatArray,
    ) -> FloatArray:  # fmt: skip
        click_weight = np.where(self.hand, 1.0 / (CLICK_SD * self.size) ** 2, 0.0)
        total = weight + pull_weight + click_weight
        readings = np.nan_to_num(self.xy[:, :BODY_POINTS]) + offset
        wanted = (
            weight[..., None] * readings
            + pull_weight[..., None] * pull
            + click_weight[..., None] * self.hand_px
        ) / np.maximum(total, 1e-12)[..., None]
        x = start
        for _ in range(2):
            rods = self._rods(x, machine)
            x = smooth_linked(self.time_s, wanted, total, self.jerk, rods, x)
        return x

    def _rods(self, x: FloatArray, machine: FloatArray) -> list[Rod]:
        rods = []
        sure = self.known | self.hand
        for name_a, name_b, share in LIMBS:
            a, b = index(name_a), index(name_b)
            both = sure[:, a] & sure[:, b]
            far = np.hypot(*(x[:, a] - x[:, b]).T)
            rods += self._rod(a, b, both, far, share, None)
        handle = machine[:, 0]
        wrist = index("wrist")
        both = sure[:, wrist] & known_places(handle)
        far = np.hypot(*(x[:, wrist] - handle).T)
        rods += self._rod(wrist, None, both, far, HAND_LENGTH_SD, np.nan_to_num(handle))
        return rods

    def _rod(
        self, a: int, b: int | None, both: NDArray[np.bool_], far: FloatArray, share: float,
        end: FloatArray | None,
    ) -> list[Rod]:  # fmt: skip
        if both.sum() < 4:
            return []
        weight = np.where(both, self.step_s / _LASTS_S / (share * self.size) ** 2, 0.0)
        return [Rod(a, b, weight, float(np.median(far[both])), end)]

    def _variance(self, weight: FloatArray, pull_weight: FloatArray) -> FloatArray:
        click_weight = np.where(self.hand, 1.0 / (CLICK_SD * self.size) ** 2, 0.0)
        return column_variances(self.time_s, weight + pull_weight + click_weight, self.jerk)

    # -- the track -----------------------------------------------------------------------------

    def _posterior(
        self, body: FloatArray, biases: list[Bias], spare: FloatArray, pull_weight: FloatArray,
        moments: tuple[Moments, ...], machine: tuple[FloatArray, FloatArray, NDArray[np.uint8]],
    ) -> Posterior:  # fmt: skip
        left = np.stack([self._left(p, b) for p, b in enumerate(biases)], axis=1)
        unsure = (np.maximum(self.relative - 2.0, 0.0) * 0.01 * self.size) ** 2
        variance = spare + np.where(self.hand, np.minimum(left, (CLICK_SD * self.size) ** 2), left)
        sd = np.sqrt(variance + unsure) * np.where(self.hand, 1.0, self.unclear[:, None])
        xy = np.concatenate((body, machine[0]), axis=1)
        sd = np.concatenate((sd, machine[1]), axis=1)
        source = np.concatenate((self._sources(pull_weight), machine[2]), axis=1)
        lost = ~(sd <= _UNKNOWN_SD * self.size) | (source == Source.UNKNOWN)
        xy, sd = np.where(lost[..., None], np.nan, xy), np.where(lost, np.nan, sd)
        source = np.where(lost, np.uint8(Source.UNKNOWN), source)
        return self._as_posterior(xy, sd, source, moments, spare)

    def _left(self, p: int, bias: Bias) -> FloatArray:
        """Variance of what is left of a point's bias: (T,) px^2."""
        by_network = self.priors[p] is self.settings.detector and bool(self.seen[:, p].any())
        if not by_network:
            return bias.variance_px2
        read = self.observed.sd_px[self.seen[:, p], p]
        return as_agreed(bias.variance_px2, self.priors[p], self.size, read)

    def _shared(self, sd: FloatArray, source: NDArray[np.uint8]) -> FloatArray:
        """Part of the deviation that neighbours may have in common: (T, K) px."""
        by_network = np.zeros(source.shape, bool)
        for p, prior in enumerate(self.priors):
            by_network[:, p] = prior is self.settings.detector
        by_network &= (source == Source.DETECTOR) | (source == Source.PHASE)
        return np.where(by_network, shared_sd(sd, self.size), 0.0)

    def _sources(self, pull_weight: FloatArray) -> NDArray[np.uint8]:
        body = slice(0, BODY_POINTS)
        source = np.where(pull_weight > 0.0, np.uint8(Source.PHASE), np.uint8(Source.UNKNOWN))
        carried = [np.uint8(Source.FLOW if p is self.settings.carried else Source.DETECTOR)
                   for p in self.priors]  # fmt: skip
        source = np.where(self.known, np.array(carried)[None], source)
        own = self.observed.source[:, body]
        source = np.where(own != Source.UNKNOWN, own, source)
        near_hand = self._within_reach(self.hand)
        source = np.where((source == Source.UNKNOWN) & near_hand, np.uint8(Source.FLOW), source)
        source[self.hand] = Source.HAND
        return source.astype(np.uint8)

    def _as_posterior(
        self, xy: FloatArray, sd: FloatArray, source: NDArray[np.uint8],
        moments: tuple[Moments, ...], spare: FloatArray,
    ) -> Posterior:  # fmt: skip
        clicked = np.zeros(source.shape, dtype=bool)
        clicked[self.frame, self.point] = True
        steady = self.observed.steady
        shared = self._shared(sd, source)
        track = BodyTrack(self.time_s, unsteadied(xy, steady), sd, source, steady, shared)
        return Posterior(track, clicked, moments, self.priors, spare, self.size)

    def _only_clicks(self) -> Posterior:
        """Nothing to estimate from: what was placed by hand stays where it was placed."""
        shape = (len(self.time_s), len(POINTS))
        xy, sd = np.full((*shape, 2), np.nan), np.full(shape, np.nan)
        source = np.zeros(shape, np.uint8)
        xy[self.frame, self.point] = self.place
        sd[self.frame, self.point] = 2.0 if not np.isfinite(self.size) else CLICK_SD * self.size
        source[self.frame, self.point] = Source.HAND
        self.priors = (self.settings.detector,) * BODY_POINTS
        calm = Moments(self.time_s, self.phase, np.zeros(shape[0]))
        spare = np.zeros((shape[0], BODY_POINTS))
        return self._as_posterior(xy, sd, source, (calm,) * BODY_POINTS, spare)
