from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.target import sample_target
from analysis.force.trace import ForceTrace
from app.review.parts.state import ReviewState
from app.submission.draft import draft_state, filmed, typical_stroke
from app.submission.loaded_film import FilmFacts, LoadedFilm
from tests.helpers.submissions import TRACE, VIDEO, submission_of


def piece_of(
    peaks_n: tuple[float, ...], period_s: float = 2.5, drive_s: float = 0.9
) -> PieceAnalysis:
    """Half-sine strokes at 100 Hz, the first catch at 1 s: area and peak are known."""
    time_s = np.arange(0.0, 1.0 + period_s * len(peaks_n), 0.01)
    force_n = np.zeros_like(time_s)
    for i, peak_n in enumerate(peaks_n):
        into_s = time_s - 1.0 - i * period_s
        drive = (into_s >= 0.0) & (into_s <= drive_s)
        force_n[drive] = peak_n * np.sin(np.pi * into_s[drive] / drive_s)
    return analyse(ForceTrace(time_s, force_n))


@pytest.fixture(scope="module")
def piece() -> PieceAnalysis:
    # 600 N is the mean of the five, so that the third stroke is the typical one.
    return piece_of((580.0, 610.0, 600.0, 590.0, 620.0))


def test_notes_stand_at_catch_peak_and_finish_of_the_typical_stroke(piece: PieceAnalysis) -> None:
    lined_up = Alignment(3.0, 100.0, 0.02, "by hand")
    began = ReviewState(title="T", athlete="A", alignment=lined_up)
    state = draft_state(submission_of(began, piece, 60.0), findings=())
    assert state.draft and (state.title, state.athlete) == ("T", "A")
    assert (state.video, state.trace, state.alignment) == (VIDEO, TRACE, lined_up)
    assert [n.phase for n in state.notes] == ["catch", "drive", "finish"]
    assert [n.stroke for n in state.notes] == [2, 2, 2]
    stroke = piece.strokes[2]
    # The half sine peaks in the middle of its drive: 1 + 2 * 2.5 + 0.45 s.
    expected = [lined_up.video_time(t) for t in (stroke.catch_s, 6.45, stroke.finish_s)]
    assert [n.video_s for n in state.notes] == pytest.approx(expected, abs=1e-9)
    assert "stroke 3 of 5" in state.notes[0].text
    assert "Peak force 600 N" in state.notes[1].text
    assert "24.0 per minute" in state.notes[0].text


def test_a_stroke_the_footage_does_not_show_is_not_chosen(piece: PieceAnalysis) -> None:
    start = submission_of(None, piece, 5.0)
    chosen = typical_stroke(start)
    assert chosen is not None and chosen.index == 1, "610 N is nearer the mean than 580 N"
    early = submission_of(ReviewState(alignment=Alignment(-5.9)), piece, 3.0)
    chosen = typical_stroke(early)
    assert chosen is not None and chosen.index == 2, "the only drive from 5.9 to 8.9 s"
    # Three strokes fall into the gap between two films; only the last is shown whole.
    start = submission_of(None, piece, 3.0)
    later = LoadedFilm(
        VIDEO,
        Path("b.mp4"),
        known=FilmFacts(3.0, 30.0, 320, 180, False),
        film_id="b",
        starts_s=10.5,
    )
    parts = replace(start, films=(*start.films, later))
    assert filmed(parts) == ((0.0, 3.0), (10.5, 13.5))
    chosen = typical_stroke(parts)
    assert chosen is not None and chosen.index in (0, 4)
    alone = typical_stroke(replace(parts, films=(replace(start.films[0], known=None), later)))
    assert alone is not None and alone.index == 4
    side = replace(start, films=(*start.films, replace(later, role="view")))
    assert filmed(side) == ((0.0, 3.0),), "a second view shows no other strokes"
    nothing = draft_state(submission_of(None, piece, 0.5))
    assert [n.video_s for n in nothing.notes] == [0.0]
    assert "may not be lined up" in nothing.notes[0].text


def test_an_odd_stroke_is_not_shown_as_the_typical_one() -> None:
    odd = piece_of((600.0, 605.0, 480.0, 595.0, 602.0, 598.0))
    assert odd.by_time is not None and odd.by_time.outlying[2]
    start = submission_of(ReviewState(alignment=Alignment(-5.9)), odd, 3.0)
    assert typical_stroke(start) is None
    assert "averaged strokes" in draft_state(start).notes[0].text


def test_without_footage_the_review_runs_on_the_clock_of_the_trace(piece: PieceAnalysis) -> None:
    state = draft_state(submission_of(ReviewState(alignment=Alignment(3.0)), piece), ())
    assert state.notes[0].video_s == piece.strokes[2].catch_s


def test_without_force_nothing_is_made_up() -> None:
    state = draft_state(submission_of(footage_s=12.0))
    assert state.target is None and len(state.notes) == 1
    assert "nothing was measured" in state.notes[0].text


def test_force_without_strokes_says_so() -> None:
    flat = analyse(ForceTrace(np.arange(0, 20, 0.01), np.zeros(2000)))
    state = draft_state(submission_of(piece=flat))
    assert state.target is None
    assert [n.text for n in state.notes] == ["No stroke was found in the force recording."]


def test_the_target_asks_for_the_impulse_the_athlete_has(piece: PieceAnalysis) -> None:
    target = draft_state(submission_of(piece=piece)).target
    assert target is not None and target.axis == "time" and piece.by_time is not None
    theirs = np.trapezoid(piece.by_time.mean)
    # The mean of a half sine is 2 / pi of its peak; catch and finish at 5 % of it lose a little.
    assert theirs / 100 == pytest.approx(600 * 2 / np.pi, rel=0.035)
    assert np.trapezoid(sample_target(target)) == pytest.approx(theirs, rel=1e-9)


def test_beyond_a_cut_of_the_film_nothing_is_drafted(piece: PieceAnalysis) -> None:
    """Only the first two strokes lie where the line-up holds; the third is nearest the mean."""
    cut = ReviewState(alignment=Alignment(3.0, 0.0, 0.02, "by picture and sound", until_s=8.0))
    sent = submission_of(cut, piece, 60.0)
    chosen = typical_stroke(sent)
    assert chosen is not None and chosen.index in (0, 1)
    assert all(note.video_s < 8.0 for note in draft_state(sent, findings=()).notes)
    assert sent.stroke_at(4.5) == piece.strokes[0] and sent.stroke_at(9.4) is None
    assert submission_of(replace(cut, alignment=Alignment(3.0)), piece, 60.0).stroke_at(9.4)
