"""Knocks and claps: found where they are, used where they can be nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.clocks.candidates import Scene, Trial, trial_near
from analysis.clocks.events import (
    Events,
    blows_felt,
    blows_heard,
    blows_seen,
    find_events,
    with_events,
)
from analysis.clocks.matching import line_up
from analysis.clocks.trace_signal import trace_signal
from analysis.force.strokes import find_strokes
from tests.helpers.clock_pieces import Sent, draw

SEEDS = range(8)


def events_of(sent: Sent) -> Events:
    return find_events(sent.motion, sent.sound, sent.trace, find_strokes(sent.trace))


def laid(sent: Sent) -> Trial:
    signal = trace_signal(sent.trace, find_strokes(sent.trace))
    trial = trial_near(Scene(sent.motion, sent.sound, signal), sent.offset_s, sent.sign)
    assert trial is not None
    return trial


def names(trial: Trial) -> set[str]:
    return {witness.name for witness in trial.witnesses}


def test_a_knock_is_felt_and_heard_within_some_milliseconds() -> None:
    apart = []
    for seed in SEEDS:
        sent = draw(seed, knock=True)
        events = events_of(sent)
        assert len(events.force_s) == 1 and len(events.heard_s) == 1
        late = events.heard_s[0] - sent.film_s(float(events.force_s[0])) - sent.habits.track_s
        apart.append(late)
    assert np.abs(apart).max() < 0.015 and abs(float(np.median(apart))) < 0.006


def test_rowing_without_a_knock_holds_none() -> None:
    for seed in SEEDS:
        sent = draw(seed)
        assert len(blows_felt(sent.trace, find_strokes(sent.trace))) == 0
        assert len(blows_heard(sent.sound)) == 0
        assert len(blows_seen(sent.motion)) == 0


def test_a_clap_tells_how_late_the_sound_is() -> None:
    apart = []
    for seed in SEEDS:
        sent = draw(seed, clap=True)
        events = events_of(sent)
        assert events.track_s is not None
        apart.append((events.track_s - sent.habits.track_s) / events.track_sd_s)
    assert np.abs(apart).max() < 3.0


def test_a_knock_narrows_a_line_up_by_force_alone() -> None:
    before, after, error = [], [], []
    for seed in SEEDS:
        sent = draw(seed, knock=True)
        plain = laid(replace(sent, motion=replace(sent.motion, stir=None)))
        struck = with_events(plain, events_of(sent))
        assert "knock" in names(struck)
        middle = struck.middle_s
        before.append(plain.half_width(middle))
        after.append(struck.half_width(middle))
        error.append(struck.fit.offset_s + struck.fit.slope * middle - sent.film_s(middle))
    assert np.median(after) < 0.8 * np.median(before)
    assert np.mean(np.abs(error) <= np.array(after)) >= 0.85


def test_the_words_name_the_knock() -> None:
    sent = draw(1, knock=True)
    found = line_up(sent.motion, sent.sound, sent.trace, find_strokes(sent.trace), 1.0)
    assert found.alignment.method == "by picture, sound and a knock felt and heard"


def test_a_knock_with_another_sound_beside_it_is_not_used() -> None:
    sent = draw(2, knock=True)
    trial, events = laid(sent), events_of(sent)
    double = replace(events, heard_s=np.append(events.heard_s, events.heard_s[0] + 0.02))
    assert "knock" in names(with_events(trial, events))
    assert "knock" not in names(with_events(trial, double))


def test_a_knock_in_a_film_full_of_clatter_is_not_used() -> None:
    sent = draw(2, knock=True)
    trial, events = laid(sent), events_of(sent)
    length = events.film_s
    clatter = np.arange(0.3, length, 0.7)
    clatter = clatter[np.abs(clatter - events.heard_s[0]) > 0.2]
    din = replace(events, heard_s=np.sort(np.append(clatter, events.heard_s)))
    assert "knock" not in names(with_events(trial, din))


@pytest.mark.parametrize("by_s", [0.4, -0.5])
def test_a_sound_elsewhere_is_no_knock_on_the_handle(by_s: float) -> None:
    sent = draw(4, knock=True)
    trial, events = laid(sent), events_of(sent)
    moved = replace(events, heard_s=events.heard_s + by_s, track_s=None)
    assert with_events(trial, moved) is trial
