import csv
import json
import os
import sqlite3
import subprocess
import sys
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from analysis.clocks.alignment import AlignmentError
from analysis.measures.registry import KEYS
from app.about import VERSION
from app.commands import options as command_options
from app.commands import program as commands
from app.review.file.store import read_review
from app.review.parts.comparisons import new_comparison
from app.review.parts.sending import QUALITIES, SendingPlan
from app.review.parts.walk_events import COMPARISON, Moved, Shown
from app.review.parts.walkthroughs import new_walkthrough
from app.review.values.stroke_ref import StrokeRef
from samples.submission import SampleOptions, Submission
from tests.app.conftest import OFFSET_S
from tests.helpers import exports
from tests.helpers.clips import needs_ffmpeg
from tests.helpers.command_line import answer, refused, run
from tests.helpers.reviews import write_review

ROOT = Path(__file__).parents[2]
# What programs that use the commands count on; more may follow.
MEASURES = [
    *("drive_s", "recovery_s", "rhythm", "rate_spm", "peak_n", "mean_n", "impulse_ns"),
    *("mean_to_peak", "time_to_peak_pct", "length_to_peak_pct", "rfd_n_per_s", "plateau_pct"),
    *("length_m", "work_j"),
]


def truth_of(submission: Submission) -> Any:
    return json.loads(submission.truth.read_text("utf-8"))


@needs_ffmpeg
def test_frames_are_those_the_ffprobe_program_finds(sent: tuple[str, str]) -> None:
    said = answer("frames", sent[0])
    assert list(said) == ["width", "height", "rotation_deg", "frames"]
    assert (said["width"], said["height"], said["rotation_deg"]) == (320, 180, 0)
    asked = ["ffprobe", "-v", "error", "-select_streams", "v", "-of", "json"]
    entries = ["-show_entries", "frame=key_frame,pts_time", sent[0]]
    probed = json.loads(subprocess.run([*asked, *entries], capture_output=True, check=True).stdout)
    theirs = [(float(f["pts_time"]), f["key_frame"] == 1) for f in probed["frames"]]
    first_s = theirs[0][0]
    assert [f["index"] for f in said["frames"]] == list(range(len(theirs)))
    assert [f["key"] for f in said["frames"]] == [key for _, key in theirs]
    times = [f["time_s"] for f in said["frames"]]
    assert times == pytest.approx([t - first_s for t, _ in theirs], abs=1e-6)
    table = run("frames", sent[0])[1].splitlines()
    assert "320 × 180" in table[0] and f"{len(theirs)} frames" in table[0]
    assert len(table) == len(theirs) + 2


@needs_ffmpeg
def test_still_is_the_picture_the_ffmpeg_program_decodes(sent: tuple[str, str]) -> None:
    import numpy as np

    from app.media.opencv import opencv

    said = answer("still", sent[0], "--at", 2.05, "-o", "a.png")
    assert said == {
        "png": "a.png", "index": 20, "time_s": 2.0, "width": 320, "height": 180, "damage": None,
    }  # fmt: skip
    picked = ["-vf", "select=eq(n\\,20)", "-frames:v", "1", "theirs.png"]
    subprocess.run(["ffmpeg", "-v", "error", "-i", sent[0], *picked], check=True)
    ours, theirs = (opencv().imread(name).astype(int) for name in ("a.png", "theirs.png"))
    # Two scalers turn YUV into RGB; they may round apart but show one picture.
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).mean() < 2.0
    before = answer("still", sent[0], "--at", 1.95, "-o", "b.png")
    assert before["index"] == 19


def test_still_outside_the_footage_is_refused(sent: tuple[str, str], here: Path) -> None:
    assert "runs from 0 to 11.000 s" in refused("still", sent[0], "--at", 99, "-o", "a.png")
    assert "shows nothing at -1 s" in refused("still", sent[0], "--at=-1", "-o", "a.png")
    assert not (here / "a.png").exists()


def test_two_known_loads_say_what_a_volt_is_worth(tmp_path: Path) -> None:
    force = tmp_path / "volts.csv"
    force.write_bytes(exports.csv("V", 1.0 / 245.0, 6))
    assert "no unit of force" in refused("strokes", force)
    loads = ("--load", "0.02:0", "--load", "0.82:196")
    said = answer("strokes", force, *loads, "--force-unit", "V")
    assert said["trace"]["force_unit"] == "245 N/V"
    assert said["summary"]["peak_n"]["mean"] == pytest.approx(exports.FORCE_N.max(), rel=0.01)


def test_strokes_agree_with_the_ground_truth(sent: tuple[str, str], submission: Submission) -> None:
    said = answer("strokes", sent[1])
    trace = said["trace"]
    assert trace["force_unit"] == "N" and trace["sample_hz"] == pytest.approx(100.0)
    assert trace["samples"] == trace["intake"]["samples"] > 900
    assert {"missing", "repeated", "backward", "gaps"} <= set(trace["intake"])
    assert trace["intake"]["mapping"]["force_column"] == "force_n"
    assert len(said["strokes"]) >= 3
    for i, stroke in enumerate(said["strokes"]):
        assert stroke["index"] == i
        assert tuple(stroke["measures"]) == KEYS
        assert stroke["catch_s"] < stroke["finish_s"]
    assert tuple(said["summary"]) == KEYS
    assert list(KEYS)[: len(MEASURES)] == MEASURES
    caught = [stroke["catch_s"] for stroke in said["strokes"]]
    known = [stroke["catch"]["trace_s"] for stroke in truth_of(submission)["strokes"]]
    first_s = min(known, key=lambda k: abs(k - caught[0]))
    # One and a half samples at 100 Hz; the recorder starts and stops in mid-stroke.
    assert caught == pytest.approx([k for k in known if k >= first_s][: len(caught)], abs=0.015)
    table = run("strokes", sent[1])[1]
    assert "peak N" in table and len(table.splitlines()) == len(caught) + 4


def test_questions_of_a_force_file_are_answered_by_options(here: Path) -> None:
    rows = (f"{i * 10};{abs(i % 250 - 125) / 2.0:.1f}".replace(".", ",") for i in range(2000))
    (here / "bare.txt").write_text("\n".join(rows))
    said = refused("strokes", "bare.txt")
    assert "--force-unit" in said
    options = ["--time-column", 1, "--force-column", 2, "--force-unit", "kgf", "--time-unit", "ms"]
    options.append("--keep-rest")  # a saw has no rest that could be told
    got = answer("strokes", "bare.txt", *options)
    assert got["trace"]["force_unit"] == "kgf"
    assert got["trace"]["duration_s"] == pytest.approx(19.99)
    # Standard gravity, CGPM 1901: 1 kgf = 9.80665 N; the highest sample is 62.5 kgf.
    assert max(s["measures"]["peak_n"] for s in got["strokes"]) == pytest.approx(62.5 * 9.80665)
    made = answer("new", "bare.txt", "-o", "bare.review", *options)
    assert made["trace"] == "bare.txt"
    trace = read_review(here / "bare.review").trace
    assert trace is not None and trace.mapping is not None
    assert (trace.mapping.force_unit, trace.mapping.time_unit) == ("kgf", "ms")
    bundled = answer("bundle", "bare.review", "-o", "out")
    assert "strokes.csv" in bundled["files"], "the mapping is remembered in the review"


def test_the_bundle_reminds_of_what_was_noted_of_consent_and_of_a_minor(
    sent: tuple[str, str], here: Path
) -> None:
    answer("new", *sent, "-o", "a.review")
    state = read_review(here / "a.review")
    said = {}
    for name, plan in {
        "nothing": SendingPlan(),
        "agreed": SendingPlan(consent=True),
        "refused": SendingPlan(consent=False),
        "minor": SendingPlan(minor=True),
    }.items():
        write_review(here / f"{name}.review", replace(state, sending=plan))
        said[name] = " ".join(answer("bundle", f"{name}.review", "-o", name)["remarks"])
    assert said["nothing"] == said["agreed"]
    assert "did not agree" in said["refused"]
    assert "local safeguarding rules" in said["minor"]
    assert "Nobody noted yet" in said["minor"]


def test_the_bundle_leaves_out_what_the_coach_left_out(sent: tuple[str, str], here: Path) -> None:
    answer("new", *sent, "-o", "a.review")
    state = read_review(here / "a.review")
    strokes = StrokeRef("", 1.0, 2.0, 3.0, "one"), StrokeRef("", 3.0, 4.0, 5.0, "two")
    kept, left_out = new_comparison(*strokes, title="Kept"), new_comparison(*strokes, title="Not")
    walk = new_walkthrough([Moved(0.0, 1.0), Shown(0.1, COMPARISON, left_out.id)], 0.5)
    state = replace(state, comparisons=(kept, left_out), walkthroughs=(walk,))
    plan = SendingPlan(left_out=(left_out.id,))
    write_review(here / "b.review", replace(state, sending=plan))
    got = answer("bundle", "b.review", "-o", "out")
    record = json.loads((here / "out" / "review.json").read_text("utf-8"))
    assert [c["title"] for c in record["comparisons"]] == ["Kept"]
    assert any("“Not”" in said and "shows it" in said for said in got["remarks"])
    assert len(record["walkthroughs"]) == 1
    plan = SendingPlan(left_out=(left_out.id, walk.id))
    write_review(here / "c.review", replace(state, sending=plan))
    got = answer("bundle", "c.review", "-o", "none")
    assert not any("shows it" in said for said in got["remarks"])
    assert "clips/walkthrough-1.mp4" not in got["files"]


def test_new_then_bundle_in_three_shapes(sent: tuple[str, str], here: Path) -> None:
    made = answer("new", *sent, "-o", "a.review", "--athlete", "Zoë", "--title", "אימון 🚣")
    assert (made["video"], made["trace"]) == sent
    assert made["alignment"]["method"] == "assumed"
    assert any("assumed to start together" in remark for remark in made["remarks"])
    state = read_review(here / "a.review")
    assert (state.athlete, state.title, state.draft) == ("Zoë", "אימון 🚣", False)
    folder = answer("bundle", "a.review", "-o", "folder")
    assert folder["draft"] is False
    on_disk = {p.relative_to("folder").as_posix() for p in Path("folder").rglob("*") if p.is_file()}
    assert on_disk == set(folder["files"]) >= {"index.html", "review.json", "strokes.csv"}
    zipped = answer("bundle", "a.review", "-o", "b.zip", "--zip")
    with zipfile.ZipFile(zipped["bundle"]) as archive:
        assert archive.testzip() is None
    page = answer("bundle", "a.review", "-o", "c.html", "--single-file")
    assert Path(page["bundle"]).read_text("utf-8").lstrip().lower().startswith("<!doctype html")
    assert "index.html" in run("bundle", "a.review", "-o", "folder")[1]


def test_new_refuses_a_review_that_is_there(sent: tuple[str, str], here: Path) -> None:
    answer("new", *sent, "-o", "a.review")
    before = (here / "a.review").read_bytes()
    assert "exists already" in refused("new", *sent, "-o", "a.review")
    assert (here / "a.review").read_bytes() == before


def test_pairs_line_up_draft_and_review(sent: tuple[str, str], here: Path) -> None:
    pairs = ["--pair", f"{OFFSET_S + 2}:2", "--pair", f"{OFFSET_S + 3}:3"]
    made = answer("new", *reversed(sent), "-o", "a.review", *pairs)
    assert made["alignment"]["method"] == "by hand"
    assert made["alignment"]["offset_s"] == pytest.approx(OFFSET_S)
    assert len(read_review(here / "a.review").pairs) == 2
    drafted = answer("draft", *sent, "-o", "out", "--review", "d.review", *pairs)
    assert drafted["alignment"]["offset_s"] == pytest.approx(OFFSET_S)
    # Two marks on pictures this far apart hold to more than a frame; nothing else is said.
    assert all("only roughly" in said for said in drafted["remarks"])
    state = read_review(here / "d.review")
    assert state.draft and state.notes and state.target is not None
    found = answer("findings", "force.csv", "--video", "film.mp4", *pairs)["findings"]
    spoken = [f for f in found if f["lead"]] + [f for f in found if f["good"]][:1]
    assert {d.code for d in state.decisions if d.kept} == {f["code"] for f in spoken}
    cues = sorted((f["where"]["video_s"], f["cue"]) for f in spoken)
    for note, (video_s, cue) in zip(state.notes, cues, strict=True):
        assert note.video_s == pytest.approx(video_s, abs=1e-3) and cue in note.text


def test_a_draft_says_what_it_is_and_that_nobody_lined_it_up(
    sent: tuple[str, str], here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nothing_in_common(*_: object) -> None:
        raise AlignmentError("Nothing in common.")

    monkeypatch.setattr("app.submission.laying.line_up_with_cuts", nothing_in_common)
    said = answer("draft", *sent, "-o", "out")
    assert said["draft"] is True and said["notes"] >= 1
    assert said["alignment"]["method"] == "assumed"
    page = (here / "out" / "index.html").read_text("utf-8")
    assert "no coach has seen" in page and "Nobody checked" in page
    assert json.loads((here / "out" / "review.json").read_text("utf-8"))["draft"] is True
    # What the force shows has no moment of the film, so nothing of the film is shown with it.
    assert not (here / "out" / "stills").exists() and not (here / "out" / "clips").exists()
    assert {p.name for p in here.iterdir()} == {*sent, "out"}, "nothing else is left"


def test_draft_of_one_recording_alone(sent: tuple[str, str], here: Path) -> None:
    film = answer("draft", sent[0], "-o", "film")
    assert film["alignment"] is None and "stills/note-01.jpg" in film["files"]
    force = answer("draft", sent[1], "-o", "force")
    assert force["alignment"] is None and force["notes"] >= 1
    assert "curves/by-time.svg" in force["files"]


def test_a_sample_is_what_the_options_say(
    here: Path, monkeypatch: pytest.MonkeyPatch, submission: Submission
) -> None:
    import samples.submission

    asked: list[SampleOptions] = []

    def make(out: Path, options: SampleOptions, **_: object) -> Submission:
        asked.append(options)
        return submission

    monkeypatch.setattr(samples.submission, "make_submission", make)
    said = answer("sample", "-o", "s", "--seed", 4, "--seconds", 8, "--fault", "give:0.4")
    assert said["trace"] == str(submission.force)
    assert asked == [SampleOptions(seed=4, duration_s=8.0, faults=(("give", 0.4),))]
    monkeypatch.undo()
    assert "at least 6 seconds" in refused("sample", "-o", str(here / "s"), "--seconds", "3")
    assert not (here / "s").exists()
    assert "nonsense" in refused("sample", "-o", str(here / "s"), "--fault", "nonsense")


def test_bad_input_gets_one_sentence(sent: tuple[str, str], here: Path) -> None:
    (here / "empty.mp4").touch()
    (here / "empty.csv").touch()
    (here / "noise.csv").write_bytes(os.urandom(5000))
    (here / "noise.mp4").write_bytes(os.urandom(5000))
    (here / "cut.mp4").write_bytes((here / sent[0]).read_bytes()[:3000])
    (here / "zero.csv").write_text("time_s,force_n\n" + "".join(f"{i},0\n" for i in range(99)))
    (here / "noforce.csv").write_text("a,b\n" + "x,y\n" * 99)
    (here / "folder").mkdir()
    for video in ("empty.mp4", "noise.mp4", "cut.mp4", "folder", "gone.mp4", "force.csv"):
        said = refused("frames", video)
        assert video in said
        refused("still", video, "--at", 0, "-o", "x.png")
    for trace in ("empty.csv", "noise.csv", "zero.csv", "noforce.csv", "folder", "gone.csv"):
        refused("strokes", trace)
        refused("new", trace, "-o", "x.review")
        refused("draft", sent[0], trace, "-o", "x")
    for review in (*sent, "folder", "gone.review", "empty.csv"):
        refused("bundle", review, "-o", "x")
    (here / "bad.review").write_bytes(b"no review")
    for review in ("bad.review", "gone.review"):
        assert run(review)[0] == 1, "and no window opens on it"
    assert "both look like force" in refused("new", sent[1], sent[1], "-o", "x.review")
    refused("new", *sent, "-o", "no/such/folder/x.review")
    refused("draft", *sent, "-o", "film.mp4")
    assert not any((here / name).exists() for name in ("x", "x.png", "x.review"))


@pytest.mark.parametrize(
    "call",
    [
        ["nonsense"],
        ["frames"],
        ["frames", "a", "b"],
        ["still", "a.mp4", "-o", "b.png"],
        ["still", "a.mp4", "--at", "nan", "-o", "b.png"],
        ["strokes", "a.csv", "--interval", "soon"],
        ["new", "a.csv", "-o", "r.review", "--pair", "1:2"],
        ["new", "a.mp4", "a.csv", "-o", "r.review", "--pair", "1"],
        ["findings"],
        ["findings", "a.csv", "--pair", "1:2"],
        ["findings", "--video", "a.mp4", "--pair", "1:2"],
        ["draft", "a.mp4"],
        ["bundle", "a.review", "-o", "x", "--zip", "--single-file"],
        ["frames", "a.mp4", "--js"],
        ["a.review", "b.review"],
        ["--nonsense"],
    ],
)
def test_a_wrong_call_is_2(here: Path, call: list[str]) -> None:
    status, out, err = run(*call)
    assert (status, out) == (2, "")
    assert err.startswith("usage: strokeside") and "error:" in err


def test_help_and_version() -> None:
    assert run("--help")[0] == 0
    status, out, _ = run("--version")
    assert status == 0 and out == f"strokeside {VERSION}\n"
    assert command_options.QUALITIES == QUALITIES
    for name in commands._COMMANDS:
        status, out, _ = run(name, "--help")
        assert status == 0 and "--json" in out


def test_docs_name_every_command_and_option() -> None:
    told = (ROOT / "docs" / "commands.md").read_text("utf-8")
    for name in commands._COMMANDS:
        assert f"strokeside {name} " in told
        for option in run(name, "--help")[1].split():
            option = option.strip("[],.")
            assert not option.startswith("--") or option == "--help" or option in told, option


@pytest.mark.parametrize("word", ["--help", "--version"])
def test_help_and_version_load_nothing_but_words(word: str) -> None:
    code = (
        f"import sys; from app.commands.program import main; main(['{word}']); "
        "print(sorted(m for m in sys.modules if m.split('.')[0] in ('numpy', 'av', 'cv2', 'scipy', "
        "'pandas', 'PySide6', 'matplotlib', 'sqlite3', 'analysis', 'dataclasses') "
        "or m.startswith('app.') or m == 'importlib.metadata'))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert json.loads(said.stdout.splitlines()[-1].replace("'", '"')) == [
        "app.about", "app.commands", "app.commands.options", "app.commands.program", "app.review",
        "app.review.values", "app.review.values.text",
    ]  # fmt: skip


def test_the_window_gets_the_review(
    sent: tuple[str, str], here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import types

    opened: list[tuple[list[Path], list[str]]] = []

    def open_window(paths: list[Path], argv: list[str]) -> int:
        opened.append((paths, argv))
        return 0

    stand_in = types.ModuleType("app.window.__main__")
    stand_in.open_window = open_window  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "app.window.__main__", stand_in)
    answer("new", *sent, "-o", "a.review")
    assert run()[0] == run("a.review")[0] == run("--", "-platform", "offscreen")[0] == 0
    assert opened == [
        ([], ["strokeside"]),
        ([Path("a.review")], ["strokeside"]),
        ([], ["strokeside", "-platform", "offscreen"]),
    ]
    assert run("gone.review")[0] == 1
    assert run("film.mp4")[0] == 0 and opened.pop() == ([Path("film.mp4")], ["strokeside"])
    assert run("film.mp4", "force.csv")[0] == 0
    assert opened.pop()[0] == [Path("film.mp4"), Path("force.csv")]
    assert run("film.mp4", "gone.csv")[0] == 1
    assert run("a.review", "film.mp4")[0] == 2
    assert len(opened) == 3, "what is no review is refused before a window opens"


def test_the_review_made_is_one_sqlite_file(sent: tuple[str, str], here: Path) -> None:
    answer("new", *sent, "-o", "a.review")
    with sqlite3.connect(here / "a.review") as db:
        assert db.execute("SELECT count(*) FROM media").fetchone() == (2,)
    db.close()


def test_rest_is_taken_off_or_kept_as_said(here: Path) -> None:
    time_s = np.arange(0.0, 30.0, 0.01)
    # Straight up in a third of a drive of 0.9 s and down again, on a sensor whose zero is off.
    place = np.mod(time_s - 1.0, 2.5) / 0.9
    force_n = 40.0 + np.interp(place, (0.0, 1.0 / 3.0, 1.0), (0.0, 500.0, 0.0))
    rows = zip(time_s, force_n, strict=True)
    text = "time_s,force_n\n" + "".join(f"{t:.2f},{f:.2f}\n" for t, f in rows)
    (here / "off.csv").write_text(text, "utf-8")
    peaks = {}
    for name, options in {"off": (), "kept": ("--keep-rest",)}.items():
        got = answer("strokes", "off.csv", *options)
        assert got["trace"]["intake"]["mapping"]["keep_rest"] is (name == "kept")
        assert any(
            "reads 40 N while nobody pulls" in remark
            for remark in got["trace"]["intake"]["remarks"]
        )
        made = answer("new", "off.csv", "-o", f"{name}.review", *options)
        assert made["strokes"] == len(got["strokes"])
        trace = read_review(here / f"{name}.review").trace
        assert trace is not None and trace.mapping is not None
        assert (trace.mapping.keep_rest, trace.mapping.force_unit) == (name == "kept", "N")
        answer("bundle", f"{name}.review", "-o", name)
        with (here / name / "strokes.csv").open(encoding="utf-8-sig", newline="") as file:
            peaks[name] = [float(row["peak_n"]) for row in csv.DictReader(file)]
        assert peaks[name] == pytest.approx(
            [s["measures"]["peak_n"] for s in got["strokes"]], abs=0.5
        )
    assert peaks["off"][3] == pytest.approx(500.0, abs=6.0)
    assert np.subtract(peaks["kept"], peaks["off"]) == pytest.approx(40.0, abs=1.0)
