"""What holds for all reviews: kept whole, read with care, overruled by one review."""

from __future__ import annotations

import errno
import json
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.findings.catalogue import read_catalogue
from analysis.findings.thresholds import TABLE
from analysis.force.coast_down import FlywheelModel
from app.commands.program import main
from app.files import atomic
from app.files.user_folders import defaults_path, wording_path
from app.review.parts.flywheel import SetFlywheel
from app.review.parts.sending import LONGEST_TEXT, SendingPlan
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError
from app.submission.findings import thresholds_of, words_of
from app.submission.load import Said, begin, load
from app.submission.my_defaults import REWORDED, SHIPPED, MyDefaults, change_defaults, read_defaults
from tests.app.submission.conftest import OWN_TITLE, Sent, write_own_wording

WHEEL = FlywheelModel(0.12, 1.4e-4, 0.0141, 0.01, 4e-6)
# So that nothing is a give.
BLIND = (("give.depth", 100.0),)


def settle(**said: object) -> MyDefaults:
    return change_defaults(lambda mine: replace(mine, **said))  # type: ignore[arg-type]


def test_what_is_kept_is_read_again_and_private() -> None:
    kept = settle(
        thresholds=BLIND,
        flywheel=WHEEL,
        flywheels=(("club, 130", WHEEL),),
        words=(("give", "cue", "Hang on."),),
        next_session="Three easy hours,\nthen film.",
    )
    assert read_defaults() == kept and kept.problem == ""
    if os.name == "posix":
        assert defaults_path().stat().st_mode & 0o077 == 0
    assert [p.name for p in defaults_path().parent.iterdir()] == [defaults_path().name]


def test_nothing_kept_is_as_shipped() -> None:
    assert read_defaults() == replace(SHIPPED, wording=wording_path())
    assert SHIPPED.wording is None


def test_one_change_keeps_what_another_window_settled() -> None:
    settle(thresholds=BLIND)
    settle(opening="Hello")
    assert read_defaults().thresholds == BLIND


def test_windows_that_change_it_at_once_lose_nothing() -> None:
    names = [f"wheel {n}" for n in range(24)]

    def keep(name: str) -> None:
        change_defaults(lambda mine: replace(mine, flywheels=(*mine.flywheels, (name, WHEEL))))

    with ThreadPoolExecutor(8) as windows:
        list(windows.map(keep, names))
    assert sorted(name for name, _ in read_defaults().flywheels) == sorted(names)


def test_all_words_at_their_longest_are_read_again_in_any_script() -> None:
    longest = "\U0001f6a3" * LONGEST_TEXT
    words = tuple((code, key, longest) for code in read_catalogue().entries for key in REWORDED)
    settle(words=words, opening=longest, next_session=longest)
    assert read_defaults().problem == "" and len(read_defaults().words) == len(words)


def test_a_full_disk_leaves_a_file_that_could_not_be_used_in_full_where_it_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    defaults_path().parent.mkdir(parents=True, exist_ok=True)
    defaults_path().write_text('{"version": 1, "opening": "Hello", "thresholds": {"no": 1}}')

    def full(*args: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(atomic, "write", full)
    with pytest.raises(ReviewError, match="they are as they were"):
        settle(next_session="Film again.")
    assert read_defaults().opening == "Hello"
    assert [p.name for p in defaults_path().parent.iterdir()] == [defaults_path().name]


def test_what_could_not_be_read_is_never_lost_to_the_next_that_could_not() -> None:
    defaults_path().parent.mkdir(parents=True, exist_ok=True)
    for text in ("first", "second", "third"):
        defaults_path().write_text(text)
        settle(opening=text)
    kept = defaults_path().parent.glob("*.unreadable*")
    assert sorted(path.read_text() for path in kept) == ["first", "second", "third"]


@pytest.mark.parametrize(
    "data",
    [b"", b"{", b"[]", b"\xff\xfe\x00", b'{"version": 2}', b"[" * 100_000, b" " * (2 << 20)],
)
def test_a_damaged_file_is_one_sentence_and_the_shipped_values(data: bytes) -> None:
    defaults_path().parent.mkdir(parents=True, exist_ok=True)
    defaults_path().write_bytes(data)
    read = read_defaults()
    assert replace(read, problem="") == replace(SHIPPED, wording=wording_path())
    assert "shipped values are used" in read.problem and read.problem.count(".") == 2
    assert defaults_path().read_bytes() == data
    # Settling something anew puts it aside, and loses nothing.
    settle(thresholds=BLIND)
    assert read_defaults().problem == ""
    aside = defaults_path().with_name(f"{defaults_path().name}.unreadable")
    assert aside.read_bytes() == data


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "other").write_text('{"version": 1, "opening": "Ha"}', "utf-8")
    defaults_path().parent.mkdir(parents=True, exist_ok=True)
    defaults_path().symlink_to(tmp_path / "other")
    assert read_defaults().opening == "" and read_defaults().problem


def test_what_is_wrong_costs_nothing_else() -> None:
    told = {
        "version": 1,
        "thresholds": {"give.depth": 9.0, "no such": 1, "peaky.plateau": 1e9, "leads": "3"},
        "flywheel": {"inertia_kgm2": -1},
        "flywheels": [1],
        "words": {"give": {"cue": "Hang on.", "title": "x"}, "nothing": {}},
        "opening": 7,
    }
    defaults_path().parent.mkdir(parents=True, exist_ok=True)
    defaults_path().write_text(json.dumps(told), "utf-8")
    read = read_defaults()
    assert read.thresholds == (("give.depth", 9.0),)
    assert read.words == (("give", "cue", "Hang on."),)
    assert (read.flywheel, read.flywheels, read.opening) == (None, (), "")
    assert "no such" in read.problem and "hold for the rest" in read.problem


NAMES = st.sampled_from(
    ["thresholds", "flywheel", "flywheels", "words", "opening", "give", "cue", "give.depth",
     "inertia_kgm2", "drag_nms2", "sprocket_m", "inertia_sd", "drag_sd"]
)  # fmt: skip
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=12,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(NAMES, JSON, max_size=6))
def test_any_file_is_read_within_the_bounds(told: dict[str, object]) -> None:
    defaults_path().parent.mkdir(parents=True, exist_ok=True)
    defaults_path().write_text(json.dumps({**told, "version": 1}), "utf-8")
    read = read_defaults()
    bounds = {row.name: row for row in TABLE}
    assert all(bounds[n].low <= value <= bounds[n].high for n, value in read.thresholds)
    thresholds_of((), read.thresholds)
    words_of(read)


def test_a_place_that_cannot_be_written_says_so_and_changes_nothing() -> None:
    settle(thresholds=BLIND)
    defaults_path().with_name("x").mkdir()
    place = defaults_path() / "inside" / "my-defaults.json"
    with pytest.raises(ReviewError, match=r"could not be kept .*; they are as they were"):
        change_defaults(lambda mine: mine, place)
    assert read_defaults().thresholds == BLIND


def test_shipped_then_mine_then_the_reviews_own() -> None:
    usual = thresholds_of(())[0]["give.depth"]
    assert thresholds_of((), BLIND)[0]["give.depth"] == 100.0
    assert thresholds_of((("give.depth", 7.0),), BLIND)[0]["give.depth"] == 7.0
    # A review may also go by what is shipped.
    assert thresholds_of((("give.depth", usual),), BLIND)[0]["give.depth"] == usual


def test_a_review_without_a_flywheel_of_its_own_has_that_of_all() -> None:
    mine, own = MyDefaults(flywheel=WHEEL), FlywheelModel(0.2)
    assert mine.flywheel_of(ReviewState()) == WHEEL
    assert mine.flywheel_of(SetFlywheel(own).apply(ReviewState())) == own
    assert SHIPPED.flywheel_of(ReviewState()) == FlywheelModel()


def test_the_loader_judges_by_them_and_a_review_overrules(sent: Sent) -> None:
    assert "give" in {f.code for f in load(sent.state, sent.review).findings}
    settle(thresholds=BLIND, words=(("give", "cue", "My own cue"),), flywheel=WHEEL)
    loaded = load(sent.state, sent.review)
    assert "give" not in {f.code for f in loaded.findings}
    assert loaded.flywheel == WHEEL
    overruled = load(replace(sent.state, thresholds=(("give.depth", 6.0),)), sent.review)
    (give,) = [f for f in overruled.findings if f.code == "give"]
    assert give.cue == "My own cue"
    assert "give" in {f.code for f in load(sent.state, sent.review, mine=SHIPPED).findings}


def test_a_new_review_begins_with_the_texts(sent: Sent) -> None:
    settle(opening="Hello {athlete}", next_session="Row easy.")
    begun = begin([sent.film, sent.force], sent.review, Said(title="Autumn", athlete="A"))
    assert begun.state.sending.next_session == "Row easy."
    assert (begun.state.title, begun.state.athlete) == ("Autumn", "A")
    assert load(sent.state, sent.review).state.sending.next_session == ""


def test_findings_change_with_the_defaults_and_stay_without(sent: Sent) -> None:
    loaded = load(sent.state, sent.review)
    assert loaded.findings
    kept = loaded.with_defaults(replace(loaded.mine, flywheel=WHEEL))
    assert kept.findings is loaded.findings
    other = loaded.with_defaults(replace(loaded.mine, thresholds=BLIND))
    assert {f.code for f in other.findings} != {f.code for f in loaded.findings}


def test_the_commands_go_by_them_unless_told_not_to(
    sent: Sent, capsys: pytest.CaptureFixture[str]
) -> None:
    def codes(*more: str) -> dict[str, str]:
        assert main(["findings", str(sent.force), "--json", *more]) == 0
        told = json.loads(capsys.readouterr().out)
        return {f["code"]: f["title"] for f in told["findings"]}

    write_own_wording()
    assert codes()["give"] == OWN_TITLE
    settle(thresholds=BLIND)
    assert "give" not in codes()
    shipped = codes("--shipped-defaults")
    assert "give" in shipped and shipped["give"] != OWN_TITLE


@pytest.mark.parametrize(
    ("told", "kept"), [(24, 24), (0, 0), (601, 0), (-1, 0), (True, 0), ("24", 0), (2.0, 0)]
)
def test_how_long_reviews_are_kept(tmp_path: Path, told: object, kept: int) -> None:
    path = tmp_path / "my.json"
    path.write_text(json.dumps({"version": 1, "keep_months": told}))
    read = read_defaults(path)
    assert read.keep_months == kept
    assert ("keep_months" in read.problem) is (told != kept or isinstance(told, bool | float))
    change_defaults(lambda mine: replace(mine, keep_months=36), path)
    assert read_defaults(path).keep_months == 36


def test_new_reviews_begin_with_the_language_of_the_coachs_own_words() -> None:
    settle(own_language="pt-BR")
    assert read_defaults().begun(ReviewState()).sending.own_language == "pt-BR"
    said = ReviewState(sending=SendingPlan(own_language="he"))
    assert read_defaults().begun(said).sending.own_language == "he"
    defaults_path().write_text('{"version": 1, "own_language": "x onload", "opening": "Hello"}')
    assert (read_defaults().own_language, read_defaults().opening) == ("", "Hello")
    assert "own_language" in read_defaults().problem
