"""Several films and force files: what is proposed as a pair, and why."""

from __future__ import annotations

import os
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from app.submission.pairing import Proposal, SentFile, look_into, propose
from tests.app.submission.conftest import FILM_S, Sent

HOUR_S = 3600.0


def film(name: str, ended_at: float | None = None, length_s: float | None = None) -> SentFile:
    return SentFile(Path(name), "video", ended_at, length_s)


def force(name: str, ended_at: float | None = None, length_s: float | None = None) -> SentFile:
    return SentFile(Path(name), "trace", ended_at, length_s)


def pairs(proposals: tuple[Proposal, ...]) -> set[tuple[str, str]]:
    return {(p.video.name, p.trace.name) for p in proposals if p.video and p.trace}


def test_names_pair() -> None:
    found = propose(
        [film("anna 2k.mp4"), film("ben.mp4"), force("ben.csv"), force("anna-2k-force.csv")]
    )
    assert pairs(found) == {("anna 2k.mp4", "anna-2k-force.csv"), ("ben.mp4", "ben.csv")}
    assert [p.why for p in found] == ["names alike", "same name"]


def test_times_pair_where_names_say_nothing() -> None:
    found = propose(
        [
            film("IMG_0001.mov", 10 * HOUR_S), film("IMG_0002.mov", 12 * HOUR_S),
            force("log77.csv", 12 * HOUR_S + 90), force("log78.csv", 10 * HOUR_S - 60),
        ]
    )  # fmt: skip
    assert pairs(found) == {("IMG_0001.mov", "log78.csv"), ("IMG_0002.mov", "log77.csv")}
    assert found[0].why == "recorded 1 min apart"


def test_times_of_one_copying_say_nothing() -> None:
    at = 10 * HOUR_S
    found = propose(
        [film("a.mp4", at), film("b.mp4", at + 1), force("1.csv", at + 2), force("2.csv", at + 3)]
    )
    assert pairs(found) == set() and len(found) == 4


def test_length_decides_between_like_names() -> None:
    found = propose(
        [
            film("anna 1.mp4", length_s=60), film("anna 2.mp4", length_s=240),
            force("anna a.csv", length_s=238), force("anna b.csv", length_s=61),
        ]
    )  # fmt: skip
    assert pairs(found) == {("anna 1.mp4", "anna b.csv"), ("anna 2.mp4", "anna a.csv")}
    assert "60 s and 61 s long" in found[0].why


def test_what_has_no_partner_stands_alone_and_a_review_with_its_files() -> None:
    reviews = [Path("ben.review"), Path("old.review")]
    found = propose([film("ben.mp4"), force("ben.csv"), film("carl.mp4")], reviews)
    assert [p.paths for p in found] == [
        (Path("ben.review"),),
        (Path("carl.mp4"),),
        (Path("old.review"),),
    ]
    assert found[0].trace == Path("ben.csv")


FILES = st.lists(
    st.builds(
        SentFile,
        st.text("ab1 -", min_size=1, max_size=5).map(lambda n: Path(f"{n}.x")),
        st.sampled_from(["video", "trace"]),
        st.none() | st.floats(0, 1e9),
        st.none() | st.floats(0, 1e6),
    ),
    max_size=7,
)


@given(FILES)
def test_each_file_stands_in_one_proposal(files: list[SentFile]) -> None:
    proposed = [p for one in propose(files) for p in (one.video, one.trace) if p is not None]
    assert sorted(proposed) == sorted(f.path for f in files)


def test_heads_are_read_and_what_cannot_be_goes_by_its_name(sent: Sent) -> None:
    broken = sent.film.with_name("broken.mp4")
    broken.write_bytes(b"no film")
    os.utime(broken, (HOUR_S, HOUR_S))
    shown, trace, bad = look_into([sent.film, sent.force, broken])
    assert shown.length_s is not None and abs(shown.length_s - FILM_S) < 0.5
    assert trace.kind == "trace" and trace.length_s is not None and trace.length_s > 5.0
    assert (bad.length_s, bad.ended_at) == (None, HOUR_S)
