"""Force files of one piece joined before they are opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from analysis.force.trace import TraceError
from app.review.file.store import read_review
from app.submission.joined import joined_forces, joined_proposal
from app.submission.pieces import piece_of
from samples.submission import small_sample
from tests.helpers.command_line import answer, refused, run

NO_MAPPING = dict[Path, None]().get


@pytest.fixture
def halves(tmp_path: Path) -> tuple[Path, Path]:
    """The sample's force as a recorder cuts it in two, a second missing between."""
    head, *rows = small_sample().force.read_text("utf-8").splitlines()
    sent = tmp_path / "sent"
    sent.mkdir()
    cut = len(rows) // 2
    first, second = sent / "anna 1.csv", sent / "anna 2.csv"
    first.write_text("\n".join([head, *rows[:cut]]) + "\n", "utf-8")
    second.write_text("\n".join([head, *rows[cut + 100 :]]) + "\n", "utf-8")
    return first, second


def test_a_review_is_made_of_both_and_the_whole_is_kept_beside_it(
    halves: tuple[Path, Path], tmp_path: Path
) -> None:
    place = tmp_path / "reviews"
    place.mkdir()
    before = [path.read_bytes() for path in halves]
    said = answer("new", *reversed(halves), "-o", place / "anna.review")
    assert any("were joined by their times" in remark for remark in said["remarks"])
    state = read_review(place / "anna.review")
    assert state.trace is not None and state.trace.path == "anna 2 joined.csv"
    whole = piece_of(place / "anna 2 joined.csv")
    halves_s = [piece_of(path).trace for path in halves]
    assert whole.trace.duration_s == pytest.approx(
        halves_s[1].time_s[-1] - halves_s[0].time_s[0], abs=1e-3
    )
    assert len(whole.trace.time_s) == sum(len(t.time_s) for t in halves_s)
    assert [path.read_bytes() for path in halves] == before


def test_without_a_review_nothing_stays_and_after_a_failure_neither(
    halves: tuple[Path, Path], tmp_path: Path
) -> None:
    with joined_forces(halves, None, NO_MAPPING) as joined:
        assert joined.made is not None and joined.made.is_file() and joined.files == (joined.made,)
    assert not joined.made.exists()
    with pytest.raises(OSError), joined_forces(halves, tmp_path, NO_MAPPING):
        raise OSError
    assert [p.name for p in tmp_path.iterdir()] == ["sent"]


def test_what_lies_there_is_not_written_over(halves: tuple[Path, Path], tmp_path: Path) -> None:
    (tmp_path / "anna 1 joined.csv").write_text("mine", "utf-8")
    with joined_forces(halves, tmp_path, NO_MAPPING) as joined:
        assert joined.made == tmp_path / "anna 1 joined 2.csv"
    assert (tmp_path / "anna 1 joined.csv").read_text("utf-8") == "mine"


def test_one_alone_and_one_named_twice_are_left_to_others(halves: tuple[Path, Path]) -> None:
    for files in ((halves[0],), (halves[0], halves[0])):
        with joined_forces(files, None, NO_MAPPING) as joined:
            assert joined.files == files and joined.said == ""


def test_the_window_offers_it_only_where_it_can_be(
    halves: tuple[Path, Path], tmp_path: Path
) -> None:
    film = small_sample().footage
    offered = joined_proposal((film, *halves))
    assert offered is not None and offered.video == film and offered.joins == halves
    assert "were joined by their times" in offered.why
    other = tmp_path / "other.mp4"
    other.write_bytes(film.read_bytes())
    assert joined_proposal((film, other, *halves)) is None, "two films: two submissions"
    assert joined_proposal((film, halves[0])) is None
    late = tmp_path / "late.csv"
    late.write_text("\n".join(halves[0].read_text("utf-8").splitlines()[:-50]), "utf-8")
    assert joined_proposal((halves[0], late)) is None
    with pytest.raises(TraceError), joined_forces((halves[0], late), None, NO_MAPPING):
        pass


def test_a_film_is_lined_up_with_a_force_cut_in_two(
    halves: tuple[Path, Path], sample_measured_once: None
) -> None:
    """The second force file was taken for a film that was cut off while it was being saved."""
    film, place = small_sample().footage, halves[0].parent
    alone = answer("align", film, small_sample().force)
    assert answer("align", film, *halves)["offset_s"] == pytest.approx(alone["offset_s"], abs=0.05)
    assert "anna 1.csv and anna 2.csv were joined by their times" in run("align", film, *halves)[1]
    assert sorted(path.name for path in place.iterdir()) == ["anna 1.csv", "anna 2.csv"]


def test_force_files_without_a_film_are_not_lined_up(halves: tuple[Path, Path]) -> None:
    assert "name a film" in refused("align", *halves)
