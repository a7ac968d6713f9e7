from pathlib import Path

import pytest

from analysis.findings.body_rules import BODY_RULES
from analysis.findings.catalogue import built_in_text, read_catalogue
from analysis.findings.force_rules import CURVE_RULES
from analysis.findings.good_signs import BODY_SIGNS, FORCE_SIGNS
from analysis.findings.piece_rules import PIECE_RULES, SECTION_RULES

CODES = {
    "hard-catch", "give", "stepped-build-up", "peaky", "early-loss", "empty-finish", "late-peak",
    "finish-snatch", "uneven", "rushed-recovery", "fading", "thrown-catch", "seat-first",
    "back-rounds", "early-arms", "empty-lean-back", "hands-off-level", "early-trunk",
    "soft-catch", "long-plateau", "steady-hands",
}  # fmt: skip


def test_every_code_has_its_words_and_its_rule():
    words = read_catalogue()
    assert set(words.entries) == CODES
    assert {c for c, e in words.entries.items() if e.good} == {
        "soft-catch", "long-plateau", "steady-hands",
    }  # fmt: skip
    rules = (*CURVE_RULES, *PIECE_RULES, *SECTION_RULES, *BODY_RULES, *FORCE_SIGNS, *BODY_SIGNS)
    assert len(rules) == len(CODES)
    for entry in words.entries.values():
        assert entry.title and entry.what and entry.cue
        if not entry.good:
            assert entry.drill and entry.causes
            assert all(c.cause and c.look_for for c in entry.causes)


@pytest.mark.parametrize("code", ["give", "back-rounds"])
def test_backs_carry_a_caution(code):
    caution = read_catalogue()[code].caution
    assert "clinician" in caution and "growing athletes" in caution


def test_own_words_lie_over_the_built_in_ones(tmp_path: Path):
    own = tmp_path / "words.toml"
    own.write_text(
        '[give]\ntitle = "Yielding"\n[[give.causes]]\ncause = "hips"\nlook_for = "belt"\n', "utf-8"
    )
    words = read_catalogue(own)
    assert words["give"].title == "Yielding"
    assert [c.cause for c in words["give"].causes] == ["hips"]
    assert words["give"].drill == read_catalogue()["give"].drill
    assert words.remarks == ()


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (b"[give\n", "cannot be read"),
        (b"\xff\xfe\x00", "cannot be read"),
        (b"[nothing-such]\ntitle='x'\n", "does not exist"),
        (b"[give]\ntitle = 3\n", "no text"),
        (b"[give]\nphase = 'lunch'\n", "must be one of"),
        (b"[give]\ncauses = 'many'\n", "no list"),
        (b"[give]\ncolour = 'red'\n", "not a key"),
        (b"give = 3\n", "no table"),
    ],
)
def test_an_unusable_file_gives_one_sentence_and_keeps_the_rest(tmp_path, text, word):
    own = tmp_path / "words.toml"
    own.write_bytes(text)
    words = read_catalogue(own)
    assert len(words.remarks) == 1
    assert word in words.remarks[0]
    assert words.entries == read_catalogue().entries


def test_no_file_is_no_problem(tmp_path: Path):
    assert read_catalogue(tmp_path / "none.toml").remarks == ()


def test_the_built_in_file_can_be_copied_and_read_back(tmp_path: Path):
    own = tmp_path / "words.toml"
    own.write_text(built_in_text(), "utf-8")
    assert read_catalogue(own).entries == read_catalogue().entries
