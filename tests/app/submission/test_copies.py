"""A film compressed again is the same film; another part of the piece is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.media.same_film import same_film
from app.submission.copies import without_copies
from samples.submission import small_sample
from tests.helpers.clips import run_ffmpeg

_CODED = ("-c:v", "libx264", "-preset", "ultrafast")


def part(out: Path, from_s: float, to_s: float, *more: str) -> Path:
    span = ("-ss", f"{from_s}", "-to", f"{to_s}")
    run_ffmpeg("-i", small_sample().footage, *span, *_CODED, *more, out)
    return out


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return part(tmp_path_factory.mktemp("film") / "rowed.mp4", 0.0, 12.0, "-crf", "24")


def test_compressed_again_it_is_the_same_and_the_better_one_stays(
    film: Path, tmp_path: Path
) -> None:
    small = part(tmp_path / "WA0001.mp4", 0.0, 12.0, "-vf", "scale=240:-2", "-crf", "38")
    copy = tmp_path / "copy.mp4"
    copy.write_bytes(film.read_bytes())
    assert same_film(small, film)
    kept, said = without_copies((small, film, copy))
    assert kept in ((film,), (copy,)) and len(said) == 2
    assert "WA0001.mp4 shows the same film as rowed.mp4 and was left out." in said


def test_another_part_of_the_piece_and_the_other_side_are_not(film: Path, tmp_path: Path) -> None:
    later = part(tmp_path / "later.mp4", 2.7, 14.7, "-crf", "24")  # about a stroke
    mirrored = part(tmp_path / "mirrored.mp4", 0.0, 12.0, "-vf", "hflip", "-crf", "24")
    longer = part(tmp_path / "longer.mp4", 0.0, 14.0, "-crf", "24")
    films = (film, later, mirrored, longer)
    assert without_copies(films) == (films, ())


def test_without_a_sound_a_stroke_later_could_look_the_same_so_nothing_is_claimed(
    film: Path, tmp_path: Path
) -> None:
    silent = part(tmp_path / "silent.mp4", 0.0, 12.0, "-an", "-crf", "30")
    assert same_film(film, silent)
    assert without_copies((film, silent)) == ((film, silent), ())


def test_of_films_in_which_nothing_moves_nothing_is_said(tmp_path: Path) -> None:
    still = []
    for name in ("a.mp4", "b.mp4"):
        run_ffmpeg("-f", "lavfi", "-i", "color=gray:s=64x48:d=2", *_CODED, tmp_path / name)
        still.append(tmp_path / name)
    assert not same_film(*still)


def test_a_few_strokes_are_the_same_only_to_the_byte(tmp_path: Path) -> None:
    """Of even rowing a stroke later looks and sounds alike, with no room to try it."""
    short = part(tmp_path / "short.mp4", 0.0, 6.0, "-crf", "24")
    again = part(tmp_path / "again.mp4", 0.0, 6.0, "-crf", "30")
    copy = tmp_path / "copy.mp4"
    copy.write_bytes(short.read_bytes())
    assert without_copies((short, again)) == ((short, again), ())
    assert len(without_copies((short, copy))[0]) == 1
