"""Which files are put together, and which never are."""

import random
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.drafts.pairing import Proposal, Recorded, When, name_words, proposals

Paired = dict[str, str | None]


def never(film: Path, force: Path) -> bool:
    raise AssertionError(f"{film.name} and {force.name} need not be laid over each other")


def unknown(path: Path) -> Recorded | None:
    return None


def at(times: dict[str, float]) -> When:
    return lambda path: Recorded(times[path.name], times[path.name] + 60.0)


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    def made(*names: str) -> Path:
        for name in names:
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(b"time,force\n0,1\n" if path.suffix == ".csv" else b"\0film")
        return tmp_path

    return made


def pairs(found: tuple[Proposal, ...]) -> set[tuple[tuple[str, ...], str | None, str]]:
    return {
        (tuple(f.name for f in p.films), None if p.force is None else p.force.name, p.why)
        for p in found
    }


def test_names_that_say_the_same_belong_together(folder: Callable[..., Path]) -> None:
    place = folder("Anna 2026-03-01.mp4", "anna_2026-03-01 force.csv", "ben.mov", "ben.csv")
    assert pairs(proposals(place, never, unknown)) == {
        (("Anna 2026-03-01.mp4",), "anna_2026-03-01 force.csv", "names"),
        (("ben.mov",), "ben.csv", "names"),
    }


def test_a_folder_of_one_film_and_one_force_is_a_submission(folder: Callable[..., Path]) -> None:
    place = folder("Anna/IMG_0001.mp4", "Anna/log7.csv", "Ben/a.mp4")
    found = proposals(place, never, unknown)
    assert pairs(found) == {(("IMG_0001.mp4",), "log7.csv", "folder"), (("a.mp4",), None, "")}
    assert {p.athlete for p in found} == {"Anna", "Ben"}


@pytest.mark.parametrize(
    ("film", "force"),
    [
        ("IMG_0001.mp4", "0001.csv"),  # a camera's counter and another's
        ("film.mp4", "force.csv"),
        ("anna 1 2.mp4", "anna 2 1.csv"),
        ("anna 1.mp4", "anna 11.csv"),
        ("anna.mp4", "ann.csv"),
        ("anna 2026-03-01.mp4", "anna 2026-03-02.csv"),
    ],
)
def test_names_that_only_look_alike_are_not_put_together(
    folder: Callable[..., Path], film: str, force: str
) -> None:
    found = proposals(folder(film, force), never, unknown)
    assert pairs(found) == {((film,), None, ""), ((), force, "")}


def test_one_name_twice_is_nobodys(folder: Callable[..., Path]) -> None:
    place = folder("anna.mp4", "anna.csv", "anna force.csv")
    assert all(p.force is None or not p.films for p in proposals(place, never, unknown))


def test_several_films_of_one_piece_are_one_submission(folder: Callable[..., Path]) -> None:
    place = folder("anna 3 side.mp4", "anna 3 front.mp4", "anna 3.csv")
    (found,) = proposals(place, never, unknown)
    assert len(found.films) == 2


def test_a_film_cut_in_parts_is_one_submission_in_their_order(folder: Callable[..., Path]) -> None:
    place = folder("anna 10.mp4", "anna 2.mp4", "anna.csv", "ben 1.mp4", "ben 1.csv", "ben.csv")
    found = {p.films: p.force for p in proposals(place, never, unknown)}
    assert found == {
        (place / "anna 2.mp4", place / "anna 10.mp4"): place / "anna.csv",
        (place / "ben 1.mp4",): place / "ben 1.csv",
        (): place / "ben.csv",
    }


def test_what_time_proposes_the_strokes_must_show(folder: Callable[..., Path]) -> None:
    place = folder("x1.mp4", "x2.mp4", "y1.csv", "y2.csv")
    times = {"x1.mp4": 0.0, "x2.mp4": 1e4, "y1.csv": 10.0, "y2.csv": 1e4 + 10.0}
    asked = []

    def fits(film: Path, force: Path) -> bool:
        asked.append((film.name, force.name))
        return film.name == "x1.mp4"

    found = proposals(place, fits, at(times))
    assert asked == [("x1.mp4", "y1.csv"), ("x2.mp4", "y2.csv")]
    assert pairs(found) == {
        (("x1.mp4",), "y1.csv", "time"),
        (("x2.mp4",), None, ""),
        ((), "y2.csv", ""),
    }
    alone = next(p for p in found if p.films and p.films[0].name == "x2.mp4")
    assert "y2.csv, but the strokes do not show it" in alone.remark


@pytest.mark.parametrize("films", [1, 2])
def test_what_fits_twice_is_not_decided(folder: Callable[..., Path], films: int) -> None:
    names = ["x1.mp4", "x2.mp4"][:films]
    forces = ["y1.csv", "y2.csv"][: 3 - films]
    found = proposals(
        folder(*names, *forces), lambda film, force: True, at(dict.fromkeys(names + forces, 0.0))
    )
    assert all(p.force is None or not p.films for p in found)
    assert any("not put together" in p.remark for p in found)


def test_a_heap_of_copies_is_not_laid_over_each_other_for_hours(
    folder: Callable[..., Path],
) -> None:
    """Copied in one go, all files are of one moment."""
    names = [f"x{n}.mp4" for n in range(9)] + [f"y{n}.csv" for n in range(9)]
    found = proposals(folder(*names), never, at(dict.fromkeys(names, 0.0)))
    assert len(found) == 18 and all("say which by its name" in p.remark for p in found if p.films)


def test_folders_that_are_passed_over(folder: Callable[..., Path]) -> None:
    place = folder("anna.mp4", "out/anna.csv", ".hidden/ben.mp4")
    assert pairs(proposals(place, never, unknown, [place / "out"])) == {(("anna.mp4",), None, "")}


def test_two_hundred_mixed_files_make_no_wrong_pair(folder: Callable[..., Path]) -> None:
    """Named well, badly or not at all, and a line-up that is right as often as ours."""
    rng = random.Random(4)
    names: list[str] = []
    truth: dict[str, str] = {}
    times: dict[str, float] = {}
    athletes = ["anna", "ben", "cléo", "dora", "emil", "finn"]
    for n in range(100):
        athlete, day = rng.choice(athletes), 1 + n % 28
        film, force = {
            0: (
                f"{athlete} 2026-03-{day:02d} {n}.mp4",
                f"{athlete}_2026-03-{day:02d}_{n}_force.csv",
            ),
            1: (f"IMG_{n:04d}.mp4", f"log {900 - n}.csv"),
            2: (f"{athlete}.{n}.mov", f"{athlete} {n + 1}.csv"),  # one off: names the next one
            3: (f"VID {n}.mp4", f"rec_{n}.csv"),
        }[n % 4]
        names += [film, force]
        truth[film] = force
        times[film] = times[force] = 3600.0 * (n // 3)  # three at a time

    def fits(film: Path, force: Path) -> bool:
        return truth[film.name] == force.name and rng.random() < 0.8

    found = proposals(folder(*names), fits, at(times))
    made = {p.films[0].name: p.force.name for p in found if p.films and p.force}
    wrong = {film: force for film, force in made.items() if truth[film] != force}
    assert wrong == {}
    assert len(made) > 60
    named = [name for p in found for name in (*p.films, *([p.force] if p.force else []))]
    assert sorted(path.name for path in named) == sorted(names)  # nothing lost, nothing twice


@given(st.text(max_size=20), st.text(max_size=20))
def test_a_name_is_read_the_same_whatever_kind_of_file_it_is(a: str, b: str) -> None:
    words = name_words(Path(f"{a} {b}.mp4"))
    assert words == name_words(Path(f"{a} film {b}.csv")) or "/" in a + b or "\0" in a + b
