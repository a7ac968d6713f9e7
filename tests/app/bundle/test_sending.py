"""What the coach chose is what is sent, in that order, with those words, at that size."""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
import random
import re
import signal
import subprocess
import sys
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from app.bundle.build import build
from app.bundle.options import WriteOptions
from app.bundle.pack import files_in
from app.bundle.wording.errors import BundleCancelled, BundleError
from app.bundle.wording.fill import fill
from app.bundle.wording.text_templates import NEXT, OPENING, TextTemplates
from app.bundle.workshop import workshop
from app.bundle.write import deliver, write_bundle
from app.media.video import VideoFile
from app.review.parts.marks import new_mark
from app.review.parts.sending import SendingPlan
from app.review.parts.state import ReviewState
from app.review.review import Review


def contents(folder: Path) -> dict[str, str]:
    """Digest of each file below a folder."""
    return {
        name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in files_in(folder)
    }


def with_plan(state: ReviewState, **plan: object) -> ReviewState:
    return replace(state, sending=SendingPlan(**plan))  # type: ignore[arg-type]


@pytest.fixture
def still_only(review: ReviewState) -> ReviewState:
    """A review whose one clip is short."""
    return replace(review, notes=(replace(review.notes[3], end_s=5.3),))


def test_only_the_picked_notes_leave_and_in_their_order(
    force_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    secret = new_mark("text", [(10, 10)], 1.35, text="for my eyes")
    state = with_plan(replace(force_only, marks=(secret,)), notes=("d", "gone", "b"))
    out = write_bundle(state, review_path, tmp_path / "out").path
    record = json.loads((out / "review.json").read_text("utf-8"))
    assert [(n["number"], n["id"]) for n in record["notes"]] == [(1, "d"), (2, "b")]
    everything = b"".join((out / name).read_bytes() for name in files_in(out))
    assert b"Hang off the handle" not in everything
    assert b"for my eyes" not in everything


def test_the_words_are_filled_and_what_is_unknown_stays(
    force_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    state = with_plan(
        force_only,
        opening="Hello {athlete}: {notes} notes, peak {peak} N. {zzz} {",
        next_session="Row {rate} <b>easy</b>.",
        coach="Kim & Co",
    )
    result = write_bundle(state, review_path, tmp_path / "out")
    page = (result.path / "index.html").read_text("utf-8")
    assert "Hello Maren: 5 notes, peak 600\u00a0N. {zzz} {" in page
    assert "Row 30 &lt;b&gt;easy&lt;/b&gt;." in page
    assert "Kim &amp; Co" in page
    assert len(result.hints) == 1
    assert "{zzz}" in result.hints[0]
    assert result.hints[0] not in page


def test_a_date_is_stated_in_two_places_and_changes_nothing_else(
    force_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    made = [
        write_bundle(force_only, review_path, tmp_path / f"o{i}", options=WriteOptions(written=d))
        for i, d in enumerate(("2026-02-03", "2027-04-05"))
    ]
    one, two = (contents(result.path) for result in made)
    differing = {name for name in one if one[name] != two[name]}
    assert differing == {"index.html", "review.json"}
    for name in differing:
        first = (made[0].path / name).read_bytes()
        second = (made[1].path / name).read_bytes()
        assert first.count(b"2026-02-03") == 1
        assert first.replace(b"2026-02-03", b"2027-04-05") == second


def test_the_id_is_that_of_the_record_without_date(
    force_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    options = WriteOptions(written="2026-02-03")
    out = write_bundle(force_only, review_path, tmp_path / "out", options=options).path
    record = json.loads((out / "review.json").read_text("utf-8"))
    stated = record.pop("id")
    assert record.pop("written") == "2026-02-03"
    plain = json.dumps(record, ensure_ascii=False, indent=1) + "\n"
    assert stated == hashlib.sha256(plain.encode()).hexdigest()[:16]


def test_what_was_built_once_is_delivered_as_it_is_in_every_shape(
    still_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    shapes = ("folder", "zip", "page")
    straight = {
        "folder": write_bundle(still_only, review_path, tmp_path / "a").path,
        "zip": write_bundle(still_only, review_path, tmp_path / "a.zip", as_zip=True).path,
        "page": write_bundle(still_only, review_path, tmp_path / "a.html", single_file=True).path,
    }
    with workshop(tmp_path / "preview") as shop:
        built = build(still_only, review_path, shop, WriteOptions(), shapes)
        looked_at = contents(built.folder)
        for shape in shapes:
            result = deliver(built, tmp_path / f"b-{shape}", shape)
            assert result.bytes == built.size(shape)
            if shape == "folder":
                assert contents(result.path) == contents(straight["folder"]) == looked_at
            else:
                assert result.path.read_bytes() == straight[shape].read_bytes()
        with pytest.raises(BundleCancelled):
            deliver(built, tmp_path / "c", "folder", lambda: True)
        assert not (tmp_path / "c").exists()
    with zipfile.ZipFile(straight["zip"]) as archive:
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_clip_made_before_is_taken_and_a_spoilt_one_is_not(
    still_only: ReviewState, review_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.media import encode

    cuts = []
    real = encode.cut_open
    monkeypatch.setattr(encode, "cut_open", lambda *a, **k: (cuts.append(1), real(*a, **k)))
    options = WriteOptions(clips=tmp_path / "clips")

    def write(name: str, state: ReviewState = still_only) -> dict[str, str]:
        return contents(write_bundle(state, review_path, tmp_path / name, options=options).path)

    first = write("a")
    assert write("b") == first
    assert len(cuts) == 1
    for clip in (tmp_path / "clips").iterdir():
        clip.write_bytes(clip.read_bytes()[:-1])
    assert write("c") == first
    assert len(cuts) == 2
    write("d", with_plan(still_only, quality="mail"))
    write("e", replace(still_only, turn=replace(still_only.turn, mirrored=True)))
    assert len(cuts) == 4


@pytest.mark.parametrize(("quality", "height"), [("mail", 480), ("standard", 720), ("full", 900)])
def test_quality_decides_the_size_of_clips(tmp_path: Path, quality: str, height: int) -> None:
    from app.media.encode import ClipWriter
    from app.review.parts.notes import Note
    from app.review.recordings import refer
    from tests.helpers.clips import numbered

    with ClipWriter(tmp_path / "film.mp4", 1600, 900) as film:
        for i in range(4):
            film.add(numbered(i, 1600, 900), i / 4)
        film.finish(1.0)
    path = tmp_path / "r.review"
    state = ReviewState(
        video=refer(tmp_path / "film.mp4", "video", path),
        notes=(Note("a", 0.3, end_s=0.9),),
        sending=SendingPlan(quality=quality),
    )
    out = write_bundle(state, path, tmp_path / "out").path
    with VideoFile.open(out / "clips" / "note-01.mp4") as clip:
        assert clip.height == height


def test_originals_leave_only_when_ticked_and_never_a_hidden_face(
    still_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    from app.review.parts.blur import BlurKey, BlurRegion

    plain = write_bundle(still_only, review_path, tmp_path / "a")
    assert not any(name.startswith("originals") for name in plain.files)
    ticked = with_plan(still_only, include_originals=True)
    sent = write_bundle(ticked, review_path, tmp_path / "b")
    assert {"originals/footage.mp4", "originals/force.csv"} <= set(sent.files)
    page = (sent.path / "index.html").read_text("utf-8")
    assert 'href="originals/footage.mp4"' in page and 'href="originals/force.csv"' in page
    face = BlurRegion("f", (BlurKey(0.0, 50.0, 50.0, 20.0, 20.0, True),))
    hidden = write_bundle(replace(ticked, blurs=(face,)), review_path, tmp_path / "c")
    assert "originals/footage.mp4" not in hidden.files
    assert any("hidden" in remark for remark in hidden.remarks)


def test_a_copied_force_recording_holds_no_name_and_no_place(tmp_path: Path) -> None:
    """Lines above the columns, columns of words, and where it was stay behind; the force stays."""
    from app.review.recordings import refer

    rows = [
        f"{i / 100:.2f},{max(0.0, 600 * math.sin(i / 15)):.3f},{i % 50},Jane Doe,"
        f"47.3769{i % 7},8.5417{i % 5}"
        for i in range(600)
    ]
    text = "\n".join(["time_s,force_N,pulse,athlete,lat,lon", *rows]) + "\n"
    (tmp_path / "force.csv").write_text(text, "utf-8")
    path = tmp_path / "a.review"
    state = ReviewState(trace=refer(tmp_path / "force.csv", "trace", path))
    state = with_plan(state, include_originals=True)
    out = write_bundle(state, path, tmp_path / "out").path
    copied = (out / "originals" / "force.csv").read_text("utf-8")
    head, *lines = copied.splitlines()
    assert head == "time_s,force_N" and len(lines) == 600
    assert lines[100] == f"1,{max(0.0, 600 * math.sin(100 / 15)):.3f}".rstrip("0").rstrip(".")
    shown = replace(state, shown_signals=("pulse",))
    out = write_bundle(shown, path, tmp_path / "shown").path
    assert (out / "originals" / "force.csv").read_text("utf-8").startswith("time_s,force_N,pulse")
    for file in out.rglob("*"):
        if file.is_file():
            assert not re.search(rb"Jane|47\.3769|8\.5417", file.read_bytes()), file.name


def test_the_logo_of_the_review_stands_on_the_page(tmp_path: Path, words_only: ReviewState) -> None:
    import base64

    png = base64.b64decode(
        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5E"
        "rkJggg=="
    )
    review = Review.create(tmp_path / "r.review", words_only)
    review.keep_logo("x" * 32, png)
    from app.review.parts.sending import SetSending

    review.do(SetSending(logo_id="x" * 32))
    out = write_bundle(review.state, tmp_path / "r.review", tmp_path / "out").path
    assert base64.b64encode(png) in (out / "index.html").read_bytes()


_CHILD = """
import sys
from pathlib import Path
from app.bundle.write import write_bundle
from app.review.file.store import read_review
path = Path(sys.argv[1])
print("go", flush=True)
write_bundle(read_review(path), path, Path(sys.argv[2]), as_zip=sys.argv[2].endswith(".zip"))
print("done", flush=True)
"""


@pytest.mark.parametrize(("shape", "turns"), [("folder", 6), ("zip", 4)])
def test_killed_at_any_moment_the_old_bundle_or_the_new_one_is_there(
    still_only: ReviewState,
    words_only: ReviewState,
    desk: Path,
    tmp_path: Path,
    shape: str,
    turns: int,
) -> None:
    still_only = replace(still_only, trace=None, target=None)
    path = desk / f"killed-{shape}.review"
    Review.create(path, still_only, replace_existing=True)
    out = tmp_path / ("out" if shape == "folder" else "out.zip")

    def seen() -> object:
        return contents(out) if shape == "folder" else out.read_bytes()

    write_bundle(still_only, path, out, as_zip=shape == "zip")
    new = seen()
    write_bundle(words_only, path, out, as_zip=shape == "zip")
    old = seen()
    assert old != new
    rolled = random.Random(8)
    whole_s = 0.0
    killed = turn = 0
    while killed < turns // 2 or turn < turns:
        child = subprocess.Popen(
            [sys.executable, "-c", _CHILD, str(path), str(out)], stdout=subprocess.PIPE, text=True
        )
        assert child.stdout is not None
        assert child.stdout.readline() == "go\n"
        begun = time.monotonic()
        if turn == 0:  # one in full, to know how long it takes
            assert child.stdout.readline() == "done\n"
            whole_s = time.monotonic() - begun
        else:
            with contextlib.suppress(subprocess.TimeoutExpired):
                child.wait(whole_s * rolled.random())
                whole_s = time.monotonic() - begun  # the machine was busier before
            child.send_signal(signal.SIGKILL)
        killed += child.wait() == -signal.SIGKILL
        child.stdout.close()
        assert seen() in (old, new)
        turn += 1
    write_bundle(words_only, path, out, as_zip=shape == "zip")
    assert seen() == old
    # A child killed before it held its folder leaves an empty one, which goes with a later writing.
    left = [path for path in tmp_path.iterdir() if path != out]
    assert out.exists() and all(path.is_dir() and not list(path.iterdir()) for path in left)


def test_a_bundle_moved_aside_when_the_power_went_comes_back(
    words_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    """Where the system cannot swap two folders there is a moment with neither in its place."""
    out = write_bundle(words_only, review_path, tmp_path / "out").path
    before = contents(out)
    left = tmp_path / ".out.12345678.part"
    left.mkdir()
    out.rename(left / "bundle.old")
    with pytest.raises(BundleCancelled):
        write_bundle(words_only, review_path, tmp_path / "out", cancelled=lambda: True)
    assert contents(out) == before
    assert not left.exists()


def test_templates_are_kept_changed_and_taken_away(tmp_path: Path) -> None:
    path = tmp_path / "data" / "templates.json"
    templates = TextTemplates(path)
    built_in = templates.names(OPENING, "en")
    templates.keep(OPENING, "  Mine \n own ", "Hello {athlete} 🚣")
    templates.keep(OPENING, built_in[0], "Changed")
    again = TextTemplates(path)
    assert again.names(OPENING, "en")[:1] == ("Mine own",)
    assert again.text(OPENING, "Mine own", "de") == "Hello {athlete} 🚣"
    assert again.text(OPENING, built_in[0], "en") == "Changed"
    again.remove(OPENING, built_in[0])
    assert again.text(OPENING, built_in[0], "en") not in ("", "Changed")
    assert again.names(NEXT, "de") != again.names(NEXT, "en")
    with pytest.raises(BundleError, match="needs a name"):
        again.keep(NEXT, "  ", "x")


@pytest.mark.parametrize("broken", ["{", "[1]", '{"opening": 3}', "[" * 100_000])
def test_a_broken_file_of_templates_is_kept_aside(tmp_path: Path, broken: str) -> None:
    path = tmp_path / "templates.json"
    path.write_text(broken, "utf-8")
    templates = TextTemplates(path)
    assert "kept as it is" in templates.problem
    assert templates.names(OPENING, "en")
    templates.keep(OPENING, "new", "text")
    assert (tmp_path / "templates.json.unreadable").read_text("utf-8") == broken
    assert TextTemplates(path).text(OPENING, "new", "en") == "text"


def test_built_in_templates_use_known_placeholders_only() -> None:
    templates = TextTemplates(Path("nowhere"))
    for place in (OPENING, NEXT):
        for language in ("en", "de"):
            for name in templates.names(place, language):
                assert fill(templates.text(place, name, language), {}).unknown == ()
