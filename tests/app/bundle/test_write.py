from __future__ import annotations

import hashlib
import json
import os
import resource
import struct
import subprocess
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from app.bundle import build as building
from app.bundle.options import WriteOptions
from app.bundle.write import BundleCancelled, BundleError, BundleResult, write_bundle
from app.media.video import VideoFile
from app.review.parts.notes import Note
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.recordings import RecordingAccess
from tests.app.bundle.conftest import CATCHES_S, DRIVE_S, FPS, OFFSET_S
from tests.helpers.clips import FFPROBE, needs_ffmpeg, number_in
from tests.helpers.jpegs import jpeg_segments


def contents(folder: Path) -> dict[str, str]:
    """Digest of every file below a folder."""
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


def nothing_left_beside(out: Path) -> bool:
    return all(not p.name.endswith(".part") for p in out.parent.iterdir())


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "feedback"


def test_a_bundle_holds_what_the_design_names(review: ReviewState, written: BundleResult) -> None:
    out, result = written.path, written
    expected = {
        "index.html", "notes.csv", "strokes.csv", "notes.vtt", "review.json",
        "curves/by-time.png", "curves/by-time.svg", "curves/by-length.png", "curves/by-length.svg",
        *(f"stills/note-{n:02d}.jpg" for n in range(1, 6)),
    }  # fmt: skip
    assert expected <= set(result.files)
    assert set(result.files) == set(contents(out))
    assert result.bytes == sum(p.stat().st_size for p in out.rglob("*") if p.is_file())
    assert result.remarks == ()
    record = json.loads((out / "review.json").read_text("utf-8"))
    assert record["format"] == "strokeside-feedback"
    assert record["files"] == sorted(result.files)
    assert [n["stroke"] for n in record["notes"]] == [0, 1, 1, 1, None]


def test_the_still_is_the_frame_of_the_note(review: ReviewState, written: BundleResult) -> None:
    from app.media.opencv import opencv

    out = written.path
    for number, note in enumerate(review.notes, start=1):
        image = opencv().imread(str(out / f"stills/note-{number:02d}.jpg"))
        assert number_in(image) == int(note.video_s * FPS + 1e-6)


def test_the_still_and_clip_are_turned_as_the_coach_set(
    review: ReviewState, review_path: Path, out: Path
) -> None:
    import numpy as np

    from app.media.opencv import opencv

    plain, turned = out.with_name("plain"), out.with_name("turned")
    write_bundle(review, review_path, plain)
    write_bundle(replace(review, turn=PictureTurn(1, True)), review_path, turned)
    name = "stills/note-01.jpg"
    before, after = (opencv().imread(str(folder / name)) for folder in (plain, turned))
    expected = np.fliplr(np.rot90(before, -1)).astype(float)
    assert expected.shape == after.shape
    # Each is packed by itself, so they are alike to a few levels and no more.
    assert np.abs(expected - after).mean() < 2.0
    assert np.abs(np.fliplr(expected) - after).mean() > 10.0
    with VideoFile.open(turned / "clips/note-01.mp4") as clip:
        assert clip.height > clip.width


def test_clips_show_the_stroke_and_are_shared_by_its_notes(
    review: ReviewState, written: BundleResult
) -> None:
    out = written.path
    notes = json.loads((out / "review.json").read_text("utf-8"))["notes"]
    assert notes[1]["clip"] == notes[2]["clip"] == "clips/note-02.mp4"
    first = CATCHES_S[0] + OFFSET_S
    assert notes[0]["clip_from_s"] == pytest.approx(first - 0.25, abs=0.05)
    assert notes[0]["clip_to_s"] == pytest.approx(CATCHES_S[1] + OFFSET_S, abs=0.05)
    assert (notes[3]["clip_from_s"], notes[3]["clip_to_s"]) == (5.0, 6.2)
    with VideoFile.open(out / "clips/note-01.mp4") as clip:
        shown = number_in(clip.frame_rgb(0))
        assert shown == int(notes[0]["clip_from_s"] * FPS + 1e-6)
        assert clip.duration_s == pytest.approx(2.0 + 0.25, abs=0.06)


def test_a_note_without_a_stroke_gets_a_second_either_side(
    review: ReviewState,
    review_path: Path,
    out: Path,
    made_once: WriteOptions,
) -> None:
    write_bundle(replace(review, trace=None), review_path, out, options=made_once)
    note = json.loads((out / "review.json").read_text("utf-8"))["notes"][1]
    assert (note["clip_from_s"], note["clip_to_s"]) == (2.5, 4.5)


@needs_ffmpeg
def test_clips_play_anywhere_and_say_nothing_of_where_they_come_from(written: BundleResult) -> None:
    out = written.path
    assert FFPROBE is not None
    said = subprocess.run(
        [FFPROBE, "-v", "error", "-show_format", "-show_streams", "-of", "json",
         str(out / "clips/note-01.mp4")],
        check=True, capture_output=True,
    )  # fmt: skip
    probe = json.loads(said.stdout)
    picture = probe["streams"][0]
    assert (picture["codec_name"], picture["pix_fmt"]) == ("h264", "yuv420p")
    allowed = {"major_brand", "minor_version", "compatible_brands", "encoder"}
    assert set(probe["format"].get("tags", {})) <= allowed
    data = (out / "clips/note-01.mp4").read_bytes()
    assert data.index(b"moov") < data.index(b"mdat"), "the index stands behind the pictures"


def test_the_same_review_gives_the_same_bytes(
    review: ReviewState, review_path: Path, written: BundleResult, out: Path
) -> None:
    write_bundle(review, review_path, out)
    assert contents(out) == contents(written.path)


@pytest.mark.parametrize("shape", [{"as_zip": True}, {"single_file": True}])
def test_the_same_review_gives_the_same_file(
    force_only: ReviewState, review_path: Path, tmp_path: Path, shape: dict[str, bool]
) -> None:
    one, other = (
        write_bundle(force_only, review_path, tmp_path / name / "f", **shape).path.read_bytes()
        for name in ("here", "there")
    )
    assert one == other


def test_the_zip_holds_the_folder(
    review: ReviewState,
    review_path: Path,
    written: BundleResult,
    out: Path,
    made_once: WriteOptions,
) -> None:
    result = write_bundle(review, review_path, out, as_zip=True, options=made_once)
    assert result.path == out.with_name("feedback.zip")
    with zipfile.ZipFile(result.path) as archive:
        assert archive.testzip() is None
        assert tuple(archive.namelist()) == result.files
        packed = {n: hashlib.sha256(archive.read(n)).hexdigest() for n in archive.namelist()}
    page = packed.pop("open-me.html")  # among folders and tables nobody knows what an index is
    assert packed | {"index.html": page} == contents(written.path)


def test_no_file_tells_where_it_was_made(
    review: ReviewState,
    review_path: Path,
    written: BundleResult,
    out: Path,
    fresh_home: Path,
    made_once: WriteOptions,
) -> None:
    page = write_bundle(review, review_path, out, single_file=True, options=made_once).path
    secrets = [
        str(out.parent),
        str(review_path.parent),
        "coach-jane-doe",
        "of-jane",
        "autumn.review",
    ]
    secrets += [str(fresh_home), os.sep + "tmp" + os.sep, str(written.path)]
    for path in [page, *(p for p in written.path.rglob("*") if p.is_file())]:
        data = path.read_bytes()
        for secret in secrets:
            assert secret.encode() not in data, (path.name, secret)


def test_pictures_hold_nothing_but_the_picture(written: BundleResult) -> None:
    out = written.path
    pictures = sorted(out.rglob("*.png"))
    assert len(pictures) == 2  # the curves; frames of the film are JPEG
    for path in pictures:
        data, at, names = path.read_bytes(), 8, []
        while at < len(data):
            (length,) = struct.unpack(">I", data[at : at + 4])
            names.append(data[at + 4 : at + 8])
            at += 12 + length
        assert set(names) <= {b"IHDR", b"PLTE", b"tRNS", b"pHYs", b"IDAT", b"IEND"}, path
    stills = sorted(out.rglob("*.jpg"))
    assert len(stills) > 5
    for path in stills:
        segments = jpeg_segments(path.read_bytes())
        assert {code for code, _ in segments} == {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}, path
        # JFIF 1.02: its own segment holds 14 bytes where it holds no thumbnail.
        assert [data[:5] for code, data in segments if code == 0xE0] == [b"JFIF\0"]
        assert [len(data) for code, data in segments if code == 0xE0] == [14]
    for path in out.rglob("*.svg"):
        text = path.read_text("utf-8")
        assert "<metadata" not in text
        assert "dc:date" not in text


@pytest.mark.parametrize("shape", [{}, {"as_zip": True}, {"single_file": True}])
def test_what_is_missing_is_said_and_the_rest_is_written(
    review: ReviewState, review_path: Path, out: Path, shape: dict[str, bool]
) -> None:
    assert review.video is not None
    assert review.trace is not None
    gone = replace(
        review,
        video=replace(review.video, path="elsewhere.mp4"),
        trace=replace(review.trace, path="elsewhere.csv"),
    )
    result = write_bundle(gone, review_path, out, **shape)
    assert len(result.remarks) == 2
    if not shape:
        page = (out / "index.html").read_text("utf-8")
        assert all(remark in page for remark in result.remarks)
        assert "Hang off the handle first." in page
        assert not (out / "stills").exists()


def test_recordings_that_cannot_be_read_are_said(
    review: ReviewState, review_path: Path, out: Path
) -> None:
    assert review.video is not None
    assert review.trace is not None
    swapped = replace(
        review,
        video=replace(review.video, path=review.trace.path),
        trace=replace(review.trace, path=review.video.path),
    )
    meant = WriteOptions(access=RecordingAccess(other_recording=True))
    result = write_bundle(swapped, review_path, out, options=meant)
    assert len(result.remarks) == 4  # each is another than reviewed, and cannot be read
    assert not (out / "curves/by-length.png").exists()


def test_a_note_outside_the_film_is_said(review: ReviewState, review_path: Path, out: Path) -> None:
    late = replace(review, notes=(*review.notes, Note("z", 400.0, "Too late.")))
    result = write_bundle(late, review_path, out)
    assert result.remarks == ("Note 6 lies outside the film: it has no still and no clip.",)


def test_force_without_film(force_only: ReviewState, review_path: Path, out: Path) -> None:
    result = write_bundle(force_only, review_path, out)
    assert "curves/by-time.svg" in result.files
    assert not any(name.startswith("clips/") for name in result.files)
    assert "of the force recording" in (out / "index.html").read_text("utf-8")


def test_an_older_bundle_is_replaced_whole(
    review: ReviewState, words_only: ReviewState, review_path: Path, out: Path
) -> None:
    write_bundle(review, review_path, out)
    result = write_bundle(words_only, review_path, out)
    assert set(contents(out)) == set(result.files)
    assert not (out / "stills").exists()
    assert nothing_left_beside(out)


@pytest.mark.parametrize("shape", [{}, {"as_zip": True}, {"single_file": True}])
def test_stopping_at_any_step_keeps_the_old_bundle(
    review: ReviewState,
    words_only: ReviewState,
    review_path: Path,
    out: Path,
    shape: dict[str, bool],
) -> None:
    old = write_bundle(words_only, review_path, out, **shape).path
    before = contents(out.parent)
    asked = 0

    def count() -> bool:
        nonlocal asked
        asked += 1
        return False

    write_bundle(review, review_path, out.with_name("other"), cancelled=count, **shape)
    total, before = asked, contents(out.parent)
    stop_at = 0

    def stop() -> bool:
        return count() or asked >= stop_at

    for at in {1, 3, total // 2, total} if shape else {1, 2, 3, 20, total // 2, total - 1, total}:
        stop_at = at
        asked = 0
        with pytest.raises(BundleCancelled):
            write_bundle(
                review,
                review_path,
                out,
                cancelled=stop,
                **shape,
            )
        assert contents(out.parent) == before
        assert old.exists()
        assert nothing_left_beside(out)


def test_a_failure_at_any_file_keeps_the_old_bundle(
    force_only: ReviewState,
    words_only: ReviewState,
    review_path: Path,
    out: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    write_bundle(words_only, review_path, out)
    before = contents(out.parent)
    real: Callable[..., None] = building._Builder._write
    for victim in ("notes.vtt", "strokes.csv", "review.json", "index.html"):

        def fail(self: building._Builder, name: str, text: str, victim: str = victim) -> None:
            if name == victim:
                raise OSError(28, "No space left on device")
            real(self, name, text)

        monkeypatch.setattr(building._Builder, "_write", fail)
        with pytest.raises(BundleError, match="no space left") as caught:
            write_bundle(force_only, review_path, out)
        assert str(caught.value).count("\n") == 0
        assert contents(out.parent) == before


def test_a_disk_that_refuses_a_large_file_keeps_the_old_bundle(
    review: ReviewState, words_only: ReviewState, review_path: Path, out: Path
) -> None:
    """The system's own limit on the size of files stands in for a full disk."""
    write_bundle(words_only, review_path, out)
    before = contents(out.parent)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (30_000, hard))
    try:
        with pytest.raises(BundleError, match="kept"):
            write_bundle(review, review_path, out)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert contents(out.parent) == before
    assert nothing_left_beside(out)


def test_a_place_that_cannot_be_written_is_one_sentence(
    words_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("mine")
    with pytest.raises(BundleError) as caught:
        write_bundle(words_only, review_path, tmp_path / "file" / "feedback")
    assert "\n" not in str(caught.value)
    assert (tmp_path / "file").read_text() == "mine"


def test_somebodys_folder_is_never_replaced(
    words_only: ReviewState, review_path: Path, out: Path
) -> None:
    out.mkdir()
    (out / "thesis.txt").write_text("years of work")
    with pytest.raises(BundleError, match=r"thesis\.txt"):
        write_bundle(words_only, review_path, out)
    assert contents(out) == {"thesis.txt": hashlib.sha256(b"years of work").hexdigest()}


def test_a_bundle_with_a_file_of_the_coach_in_it_is_kept(
    words_only: ReviewState, review_path: Path, out: Path
) -> None:
    write_bundle(words_only, review_path, out)
    (out / "answer.txt").write_text("from the athlete")
    with pytest.raises(BundleError, match=r"answer\.txt"):
        write_bundle(words_only, review_path, out)
    assert (out / "answer.txt").read_text() == "from the athlete"


@pytest.mark.parametrize("shape", [{"as_zip": True}, {"single_file": True}])
def test_somebodys_file_is_never_replaced(
    words_only: ReviewState, review_path: Path, tmp_path: Path, shape: dict[str, bool]
) -> None:
    out = tmp_path / ("a.zip" if "as_zip" in shape else "a.html")
    out.write_bytes(b"<p>my page</p>")
    with pytest.raises(BundleError, match="choose another name"):
        write_bundle(words_only, review_path, out, **shape)
    assert out.read_bytes() == b"<p>my page</p>"
    out.unlink()
    write_bundle(words_only, review_path, out, **shape)
    write_bundle(words_only, review_path, out, **shape)  # its own it may replace


def test_a_folder_where_a_file_belongs_and_the_reverse(
    words_only: ReviewState, review_path: Path, tmp_path: Path
) -> None:
    (tmp_path / "a.zip").mkdir()
    with pytest.raises(BundleError, match="is a folder"):
        write_bundle(words_only, review_path, tmp_path / "a.zip", as_zip=True)
    (tmp_path / "b").write_text("")
    with pytest.raises(BundleError, match="is a file"):
        write_bundle(words_only, review_path, tmp_path / "b")


def test_two_shapes_at_once_are_refused(
    words_only: ReviewState, review_path: Path, out: Path
) -> None:
    with pytest.raises(BundleError):
        write_bundle(words_only, review_path, out, as_zip=True, single_file=True)


def test_progress_runs_from_nothing_to_one(
    review: ReviewState, review_path: Path, out: Path
) -> None:
    seen: list[tuple[float, str]] = []
    write_bundle(
        replace(review, notes=review.notes[:2]),
        review_path,
        out,
        progress=lambda share, doing: seen.append((share, doing)),
    )
    shares = [share for share, _ in seen]
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert shares[-1] == 1.0
    assert all(doing for _, doing in seen)


def test_the_strokes_are_those_that_were_rowed(review: ReviewState, written: BundleResult) -> None:
    out = written.path
    strokes = json.loads((out / "review.json").read_text("utf-8"))["strokes"]
    assert len(strokes) == len(CATCHES_S)
    for stroke, catch_s in zip(strokes, CATCHES_S, strict=True):
        assert stroke["catch_s"] == pytest.approx(catch_s, abs=0.03)
        assert stroke["measures"]["drive_s"] == pytest.approx(DRIVE_S, abs=0.05)
