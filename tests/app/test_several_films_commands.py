"""The commands on several films of one piece: parts, a second view, a folder, a .zip."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from analysis.clocks.films import FilmFacts
from analysis.clocks.matching import LineUp
from app.drafts.job import DraftJob
from app.drafts.prepare import prepare
from app.review.file.store import read_review
from samples.submission import small_sample
from tests.helpers.clips import run_ffmpeg
from tests.helpers.command_line import answer, refused
from tests.helpers.line_ups import laid

OFFSET_S, CUT_S, NEXT_S, END_S = 3.37, 13.0, 14.0, 26.0  # a second is missing between the parts
VIEW_S = 4.0
_CODED = ("-c:v", "libx264", "-preset", "ultrafast", "-crf", "28", "-c:a", "aac")


class Sent(NamedTuple):
    folder: Path
    parts: tuple[Path, Path]
    force: Path


def filmed(out: Path, from_s: float, to_s: float, *more: str) -> Path:
    """A stretch of the sample, small."""
    small = ("-vf", "scale=320:-2" + (f",{more[0]}" if more else ""))
    span = ("-ss", f"{from_s}", "-to", f"{to_s}")
    run_ffmpeg("-i", small_sample().footage, *span, *small, *more[1:], *_CODED, out)
    return out


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Sent:
    """A piece filmed in two parts, with its force."""
    folder = tmp_path_factory.mktemp("several") / "anna"
    folder.mkdir()
    force = folder / "anna.csv"
    force.write_bytes(small_sample().force.read_bytes())
    parts = (
        filmed(folder / "anna 1.mp4", 0.0, CUT_S),
        filmed(folder / "anna 2.mp4", NEXT_S, END_S),
    )
    return Sent(folder, parts, force)


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """What each film shows is known: measuring it is tried elsewhere, and takes long."""

    def say(**line_ups: LineUp | None) -> None:
        def facts(path: Path, *_more: object) -> FilmFacts:
            length_s = CUT_S if "1" in path.name else END_S - NEXT_S
            return FilmFacts(length_s, line_up=line_ups[f"part_{path.stem[-1]}"])

        monkeypatch.setattr("app.submission.laying.facts_of", facts)

    return say


@pytest.fixture
def sure(known: Callable[..., None]) -> None:
    known(part_1=laid({OFFSET_S: 1.0}), part_2=laid({OFFSET_S - NEXT_S: 1.0}))


@pytest.mark.usefixtures("sure")
def test_two_parts_are_lined_up_together(sent: Sent) -> None:
    found = answer("align", *sent.parts, sent.force)
    assert found["offset_s"] == pytest.approx(OFFSET_S)
    (second,) = found["films"]
    assert Path(second["film"]) == sent.parts[1]
    assert (second["role"], second["how"], second["sure"]) == ("part", "force", True)
    assert second["offset_s"] == pytest.approx(NEXT_S)
    assert answer("align", sent.folder, sent.force)["films"] == found["films"]
    assert answer("align", sent.parts[0], sent.force)["films"] == []


@pytest.mark.usefixtures("sure")
def test_a_draft_of_a_folder_holds_the_whole_piece(sent: Sent, tmp_path: Path) -> None:
    kept = tmp_path / "anna.review"
    said = answer("draft", sent.folder, "-o", tmp_path / "out", "--review", kept)
    state = read_review(kept)
    assert [(film.role, film.how) for film in state.films] == [("part", "force")]
    assert said["films"][0]["offset_s"] == state.films[0].offset_s == pytest.approx(NEXT_S)
    assert state.alignment.offset_s == pytest.approx(OFFSET_S)
    assert any("anna 2.mp4 begins at 14.00 s" in remark for remark in said["remarks"])


@pytest.mark.usefixtures("sure")
def test_findings_point_into_either_part(sent: Sent) -> None:
    films = ("--video", sent.parts[0], "--video", sent.parts[1])
    both = answer("findings", *films, sent.force)
    assert both["alignment"]["offset_s"] == pytest.approx(OFFSET_S)
    assert len(both["films"]) == 1


@pytest.mark.usefixtures("sure")
def test_a_batch_takes_all_parts(sent: Sent, tmp_path: Path) -> None:
    out = tmp_path / "anna.review"
    row = prepare(job(sent, out)).row
    assert row.status == "ready" and "anna 2.mp4 begins at" in row.remark
    assert [film.offset_s for film in read_review(out).films] == [pytest.approx(NEXT_S)]


def test_a_batch_leaves_out_a_film_whose_place_nothing_tells(
    sent: Sent, tmp_path: Path, known: Callable[..., None]
) -> None:
    known(part_1=laid({OFFSET_S: 1.0}), part_2=None)
    out = tmp_path / "anna.review"
    row = prepare(job(sent, out)).row
    assert row.status == "ready" and "anna 2.mp4 was left out" in row.remark
    assert read_review(out).films == ()


def test_parts_of_another_piece_are_not_laid_under_the_force(
    sent: Sent, known: Callable[..., None]
) -> None:
    apart = laid({OFFSET_S: 1.0}, "not together")
    known(part_1=apart, part_2=apart)
    assert "do not keep step" in refused("align", *sent.parts, sent.force)
    found = answer("findings", "--video", sent.folder, sent.force)
    assert found["alignment"] is None
    assert all(f["where"]["video_s"] is None for f in found["findings"])


def test_a_second_camera_is_found_by_what_both_heard_and_saw(tmp_path: Path) -> None:
    """Nothing is known beforehand: both films are measured."""
    first = filmed(tmp_path / "first.mp4", 0.0, 22.0)
    view = filmed(tmp_path / "view.mp4", VIEW_S, END_S, "hflip", "-af", "adelay=40,volume=0.5")
    said = answer("new", first, view, small_sample().force, "-o", tmp_path / "a.review")
    (found,) = said["films"]
    assert (found["role"], found["sure"]) == ("view", True)
    assert abs(found["offset_s"] - VIEW_S) <= found["uncertainty_s"] < 0.1
    (kept,) = read_review(tmp_path / "a.review").films
    assert (kept.role, kept.offset_s) == ("view", found["offset_s"])
    assert said["alignment"]["method"] == "assumed", "`new` lines nothing up"


@pytest.mark.usefixtures("sure")
def test_a_zip_is_unpacked_beside_the_review_that_needs_it(sent: Sent, tmp_path: Path) -> None:
    packed = zipped(tmp_path / "from anna.zip", *sent.parts, sent.force)
    place = tmp_path / "reviews"
    place.mkdir()
    answer("new", packed, "-o", place / "anna.review")
    assert (place / "from anna" / "anna 2.mp4").is_file()
    answer("align", packed, sent.force)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["from anna.zip", "reviews"]


def test_of_a_zip_that_makes_no_review_nothing_is_left(sent: Sent, tmp_path: Path) -> None:
    twin = tmp_path / "twin.csv"
    head, *rows = sent.force.read_bytes().splitlines(keepends=True)
    twin.write_bytes(b"".join([head, *rows[100:]]))
    packed = zipped(tmp_path / "two.zip", sent.parts[0], sent.force, twin)
    place = tmp_path / "reviews"
    place.mkdir()
    said = refused("new", packed, "-o", place / "anna.review")
    assert "run over the same seconds" in said and list(place.iterdir()) == []


def test_a_film_named_twice_and_an_empty_folder_are_refused(sent: Sent, tmp_path: Path) -> None:
    out = tmp_path / "a.review"
    assert "named twice" in refused("new", sent.parts[0], sent.parts[0], "-o", out)
    assert "There is no film" in refused("new", tmp_path, "-o", out)


def job(sent: Sent, out: Path) -> DraftJob:
    films = tuple(str(path) for path in sent.parts)
    return DraftJob(films, str(sent.force), str(out), "Anna", "names")


def zipped(out: Path, *files: Path) -> Path:
    with zipfile.ZipFile(out, "w") as archive:
        for path in files:
            archive.write(path, path.name)
    return out
