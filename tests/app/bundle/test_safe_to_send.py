"""What leaves holds no blurred face, and nothing of the machine, the phone or the place."""

from __future__ import annotations

import ast
import base64
import contextlib
import getpass
import io
import json
import re
import socket
import subprocess
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.clocks.alignment import Alignment
from app.bundle.write import write_bundle
from app.media.encode import ClipWriter
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.notes import Note, Voice
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.review.voice import to_wav
from tests.app.bundle.conftest import OFFSET_S, force_text
from tests.helpers.clips import FFPROBE, needs_ffmpeg, run_ffmpeg
from tests.helpers.reviews import write_review
from tests.helpers.voices import tone

ROOT = Path(__file__).resolve().parents[3]
SIZE = (320, 180)
FACE_PX = 44
FILM_S, FPS = 6.0, 20


def face() -> NDArray[np.uint8]:
    """A patch nothing else looks like: a checkerboard of uneven cells in black and white."""
    rng = np.random.default_rng(7)
    cells = rng.integers(0, 2, (11, 11)) * 200 + 25
    return np.kron(cells, np.ones((4, 4))).astype(np.uint8)


def face_at(time_s: float) -> tuple[float, float]:
    """Middle of the patch in the film, pixels."""
    return 160.0 + 70.0 * np.sin(2 * np.pi * time_s / 2.5), 70.0 + 12.0 * np.cos(time_s)


def frame(i: int) -> NDArray[np.uint8]:
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
    image = np.stack([90 + 40 * x / SIZE[0], 80 + 60 * y / SIZE[1], 100 + 0 * x], -1)
    image = image.astype(np.uint8)
    cx, cy = face_at(i / FPS)
    left, top = round(cx - FACE_PX / 2), round(cy - FACE_PX / 2)
    image[top : top + FACE_PX, left : left + FACE_PX] = face()[..., None]
    return image


def blurred() -> BlurRegion:
    keys = tuple(
        BlurKey(i / FPS, *face_at(i / FPS), FACE_PX * 1.5, FACE_PX * 1.5, i == 0)
        for i in range(0, int(FILM_S * FPS), 2)
    )
    return BlurRegion("b" * 32, keys)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("coach-jo-smith") / "athletes"
    folder.mkdir()
    with ClipWriter(folder / "film.mp4", *SIZE) as film:
        for i in range(int(FILM_S * FPS)):
            film.add(frame(i), i / FPS)
        film.finish(FILM_S)
    (folder / "force.csv").write_text(force_text(), "utf-8")
    return folder


def state_of(place: Path, video: str = "film.mp4") -> ReviewState:
    path = place / "a.review"
    return ReviewState(
        title="Safe",
        athlete="Maren",
        video=refer(place / video, "video", path),
        trace=refer(place / "force.csv", "trace", path),
        alignment=Alignment(OFFSET_S, 0.0, 0.01, "by hand"),
        notes=(
            Note("a" * 32, 1.35, "Hang off the handle first.", phase="catch"),
            Note("c" * 32, 4.0, "Look at all of this.", end_s=4.6),
        ),
    )


def pictures_in(bundle: Path) -> Iterator[tuple[str, NDArray[np.uint8]]]:
    """Every picture of a bundle as grey: files, frames of clips, pictures inside drawings."""
    cv2 = opencv()
    for path in sorted(bundle.rglob("*")):
        name = path.relative_to(bundle).as_posix()
        if path.suffix in (".png", ".jpg", ".webp") and not name.startswith("curves/"):
            yield name, cv2.imdecode(np.frombuffer(path.read_bytes(), np.uint8), 0)
        elif path.suffix in (".svg", ".html"):
            for i, packed in enumerate(embedded(path.read_text("utf-8"))):
                image = cv2.imdecode(np.frombuffer(packed, np.uint8), 0)
                if image is not None:
                    yield f"{name} picture {i}", image
        elif path.suffix == ".mp4":
            with VideoFile.open(path) as clip:
                for i in range(0, len(clip.index), 5):
                    yield f"{name} frame {i}", cv2.cvtColor(clip.frame_rgb(i), cv2.COLOR_RGB2GRAY)


def embedded(text: str) -> list[bytes]:
    found = re.findall(r"data:image/(?:png|jpeg|webp);base64,([A-Za-z0-9+/=\s]+)", text)
    return [base64.b64decode(packed) for packed in found]


def likeness(image: NDArray[np.uint8]) -> float:
    """How much any place of a picture looks like the face, at any of the sizes it may have."""
    cv2 = opencv()
    best = 0.0
    for scale in (0.35, 0.5, 0.6, 0.75, 0.85, 1.0, 1.2, 1.5, 2.0, 2.8, 3.5, 4.0):
        side = round(FACE_PX * scale)
        if side < 14 or min(image.shape) < side:
            continue
        wanted = cv2.resize(face(), (side, side), interpolation=cv2.INTER_AREA)
        for picture in (wanted, np.ascontiguousarray(wanted[:, ::-1])):
            best = max(best, float(cv2.matchTemplate(image, picture, cv2.TM_CCOEFF_NORMED).max()))
    return best


@pytest.mark.parametrize("turn", [PictureTurn(), PictureTurn(0, True, 0.4)])
def test_no_picture_of_a_bundle_shows_a_blurred_face(
    place: Path, tmp_path: Path, turn: PictureTurn
) -> None:
    state = replace(state_of(place), turn=turn)
    shown = write_bundle(state, place / "a.review", tmp_path / "shown").path
    hidden = write_bundle(
        replace(state, blurs=(blurred(),)), place / "a.review", tmp_path / "hidden"
    ).path
    seen = {name: likeness(image) for name, image in pictures_in(shown)}
    kinds = {name.split("/")[0] for name in seen}
    assert {"stills", "clips", "strips"} <= kinds, "all that leaves was looked at"
    plain = [score for name, score in seen.items() if not name.startswith("strips/")]
    assert min(plain) > 0.6, "the check finds the face where it is not hidden"
    assert max(s for n, s in seen.items() if n.startswith("strips/")) > 0.6
    left = {name: likeness(image) for name, image in pictures_in(hidden)}
    assert left.keys() == seen.keys()
    assert max(left.values()) < 0.5, left


def test_a_single_page_shows_no_blurred_face(place: Path, tmp_path: Path) -> None:
    state = replace(state_of(place), blurs=(blurred(),))
    page = write_bundle(state, place / "a.review", tmp_path / "page", single_file=True).path
    text = page.read_text("utf-8")
    cv2 = opencv()
    stills = [cv2.imdecode(np.frombuffer(p, np.uint8), 0) for p in embedded(text)]
    assert len(stills) >= 2
    assert max(likeness(image) for image in stills) < 0.5
    clips = re.findall(r"data:video/mp4;base64,([A-Za-z0-9+/=\s]+)", text)
    assert clips
    for i, packed in enumerate(clips):
        clip = tmp_path / f"{i}.mp4"
        clip.write_bytes(base64.b64decode(packed))
        with VideoFile.open(clip) as film:
            for k in range(0, len(film.index), 7):
                image = cv2.cvtColor(film.frame_rgb(k), cv2.COLOR_RGB2GRAY)
                assert likeness(image) < 0.5


def test_the_bundle_has_one_door_to_the_film() -> None:
    """Nothing but film.py opens a recording, reads raw frames or cuts a clip."""
    doors = {"VideoFile.open", "open_source", "open_container", "first_picture", "cut_clip"}
    for path in sorted((ROOT / "app" / "bundle").rglob("*.py")):
        if path.name == "film.py":
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                used = {door for door in doors if called == door or called.endswith(f".{door}")}
                assert not used, f"{path.name} opens the film past film.py, which hides faces"
            if isinstance(node, ast.ImportFrom):
                assert node.module != "av" and "write_still" not in (
                    n.name for n in node.names if node.module == "app.media.still"
                ), f"{path.name} gets pictures past film.py, which hides faces"
            if isinstance(node, ast.Import):
                assert "av" not in {n.name for n in node.names}, path.name


# What a phone might have written; all of it invented.
PLACE = "+47.1234+008.5678/"
TAGS = {
    "location": PLACE,
    "com.example.phone.location": PLACE,
    "com.example.phone.make": "Examplemaker",
    "com.example.phone.model": "Examplephone 3000",
    "make": "Examplemaker",
    "model": "Examplephone 3000",
    "title": "Training at Examplehaven",
    "comment": "filmed by Jo Smith",
    "creation_time": "2031-05-17T08:09:10Z",
}
SECRETS = (
    "47.1234", "008.5678", "Examplemaker", "Examplephone", "Examplehaven", "Jo Smith", "jo-smith",
    "2031-05-17", "2031:05:17", "com.example.phone", "phone-clip", "coach-jo",
)  # fmt: skip


@pytest.fixture(scope="module")
def phone_clip(place: Path) -> Path:
    """The film as a phone would have written it, with a place, a device, a date and captions."""
    words = place / "where.srt"
    words.write_text("1\n00:00:00,000 --> 00:00:02,000\nGPS(47.1234,008.5678,400)\n", "utf-8")
    tags = [word for key, value in TAGS.items() for word in ("-metadata", f"{key}={value}")]
    out = place / "phone-clip Jo Smith.mov"
    run_ffmpeg(
        "-i", place / "film.mp4", "-i", words, "-f", "lavfi", "-i", "sine=440:duration=6",
        "-map", "0:v", "-map", "2:a", "-map", "1:s", "-c:v", "copy", "-c:a", "aac", "-c:s",
        "mov_text", "-movflags", "use_metadata_tags", *tags, "-metadata:s:v:0",
        "handler_name=Examplephone Video", out,
    )  # fmt: skip
    return out


def machine_words() -> set[str]:
    """What names this machine and whoever works on it."""
    homes = {str(Path.home()), str(Path(f"~{getpass.getuser()}").expanduser()), str(ROOT)}
    # A word of a few letters would be found by chance in the bytes of a clip.
    names = {word for word in (getpass.getuser(), socket.gethostname()) if len(word) >= 6}
    return {*homes, *names, "/tmp/pytest"}


def contents(bundle: Path) -> Iterator[tuple[str, bytes]]:
    """Every file of a bundle, of its .zip, and what is packed inside: PNG text, data in pages."""
    if bundle.is_dir():
        files = {p.relative_to(bundle).as_posix(): p.read_bytes() for p in bundle.rglob("*.*")}
    elif zipfile.is_zipfile(bundle):
        yield bundle.name, bundle.read_bytes()
        with zipfile.ZipFile(bundle) as archive:
            files = {name: archive.read(name) for name in archive.namelist()}
    else:
        files = {bundle.name: bundle.read_bytes()}
    for name, data in files.items():
        yield name, data
        if data.startswith(b"\x89PNG"):
            yield from ((f"{name} {kind}", chunk) for kind, chunk in png_chunks(data))
        if name.endswith((".html", ".svg")):
            for i, packed in enumerate(re.findall(rb";base64,([A-Za-z0-9+/=\s]+)", data)):
                yield f"{name} data {i}", base64.b64decode(packed)


def png_chunks(data: bytes) -> Iterator[tuple[str, bytes]]:
    stream = io.BytesIO(data[8:])
    while head := stream.read(8):
        kind = head[4:].decode("latin-1")
        body = stream.read(int.from_bytes(head[:4], "big"))
        stream.read(4)
        if kind in ("zTXt", "iCCP", "iTXt"):
            at = body.index(b"\0") + 2
            with contextlib.suppress(zlib.error):
                body = zlib.decompress(body[at:])
        if kind != "IDAT":
            yield kind, body


def traces_in(bundle: Path) -> list[str]:
    words = {*SECRETS, *machine_words()}
    return [
        f"{name}: {word}"
        for name, data in contents(bundle)
        for word in words
        for coded in (word.encode(), word.encode("utf-16-le"))
        if coded.lower() in data.lower()
    ]


@needs_ffmpeg
def test_nothing_of_phone_place_date_or_machine_is_in_any_shape(
    place: Path, phone_clip: Path, tmp_path: Path
) -> None:
    for word in ("47.1234", "Examplemaker", "2031-05-17"):
        assert word in probe(phone_clip), "the clip carries what is looked for"
    path = place / "spoken.review"
    state = state_of(place, phone_clip.name)
    wav = to_wav(tone(1.0))
    note = replace(state.notes[0], voice=Voice("v" * 32, 1.0, 48000, 0.0, 1.0))
    state = replace(state, notes=(note, *state.notes[1:]))
    write_review(path, state, {"v" * 32: wav})
    folder = write_bundle(state, path, tmp_path / "out").path
    packed = write_bundle(state, path, tmp_path / "out.zip", as_zip=True).path
    page = write_bundle(state, path, tmp_path / "out.html", single_file=True).path
    assert (folder / "voice/note-01.m4a").is_file() and (folder / "clips/note-01.mp4").is_file()
    for bundle in (folder, packed, page):
        assert traces_in(bundle) == []
    for made in (*folder.glob("clips/*.mp4"), *folder.glob("voice/*.m4a")):
        assert bare(made)
    record = json.loads((folder / "review.json").read_text("utf-8"))
    assert record["recordings"]["video"]["used"] is True


def probe(path: Path) -> str:
    assert FFPROBE is not None
    done = subprocess.run(
        [FFPROBE, "-v", "error", "-show_format", "-show_streams", "-of", "json", path],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return done.stdout


def bare(path: Path) -> bool:
    """Whether a container names nothing but how to decode it."""
    said = json.loads(probe(path))
    plain = {
        "major_brand", "minor_version", "compatible_brands", "language", "handler_name", "encoder",
        "vendor_id",
    }  # fmt: skip
    tags = [said["format"].get("tags", {}), *(s.get("tags", {}) for s in said["streams"])]
    names = {name for tag in tags for name in tag}
    handlers = {tag["handler_name"] for tag in tags if "handler_name" in tag}
    assert handlers <= {"VideoHandler", "SoundHandler"}, handlers
    assert names <= plain, names
    assert {s["codec_type"] for s in said["streams"]} <= {"video", "audio"}
    return True
