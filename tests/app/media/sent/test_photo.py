"""Picture files as they come, and as somebody may make them: read upright, or one sentence."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from app.media.errors import MediaError
from app.media.sent.photo import is_picture_name, read_photo

HALVES = np.zeros((60, 80, 3), np.uint8)
HALVES[:, :40] = (250, 10, 10)  # red on the left
HALVES[:, 40:] = (10, 10, 250)


def saved(path: Path, image: Image.Image, **how: Any) -> Path:
    image.save(path, **how)
    return path


def near(pixel: np.ndarray, colour: tuple[int, int, int]) -> bool:
    return bool(np.abs(pixel.astype(int) - colour).max() < 30)


@pytest.mark.parametrize("ending", ["png", "jpg", "webp"])
def test_usual_pictures(tmp_path: Path, ending: str) -> None:
    pixels = read_photo(saved(tmp_path / f"a.{ending}", Image.fromarray(HALVES)))
    assert pixels.shape == (60, 80, 3) and pixels.dtype == np.uint8
    assert near(pixels[30, 10], (250, 10, 10)) and near(pixels[30, 70], (10, 10, 250))


def test_a_telephone_held_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # a quarter turn clockwise is wanted
    pixels = read_photo(saved(tmp_path / "a.jpg", Image.fromarray(HALVES), exif=exif.tobytes()))
    assert pixels.shape == (80, 60, 3)
    assert near(pixels[10, 30], (250, 10, 10)), "what was left is on top"


def test_sixteen_bits_cmyk_palette_grey_and_what_shines_through(tmp_path: Path) -> None:
    deep = np.full((60, 80), 40000, np.uint16)
    grey = read_photo(saved(tmp_path / "deep.png", Image.fromarray(deep)))
    assert near(grey[5, 5], (156, 156, 156))
    cmyk = Image.fromarray(HALVES).convert("CMYK")
    assert near(read_photo(saved(tmp_path / "print.jpg", cmyk))[30, 10], (250, 10, 10))
    few = Image.fromarray(HALVES).convert("P")
    assert near(read_photo(saved(tmp_path / "few.png", few))[30, 70], (10, 10, 250))
    clear = Image.new("RGBA", (80, 60), (0, 0, 0, 0))
    assert near(read_photo(saved(tmp_path / "clear.png", clear))[5, 5], (255, 255, 255))
    assert read_photo(saved(tmp_path / "one.png", Image.new("1", (80, 60), 1)))[5, 5].min() == 255


def test_a_large_picture_is_made_smaller(tmp_path: Path) -> None:
    pixels = read_photo(saved(tmp_path / "a.png", Image.new("RGB", (6000, 500), (9, 9, 9))))
    assert pixels.shape[1] == 3000


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width: int, height: int) -> bytes:
    """A few bytes that say they are a picture of so many pixels."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IDAT", zlib.compress(bytes(100_000)))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + body + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("bomb.png", bomb(100_000, 100_000), "more pixels"),
        ("wide.png", bomb(13_000, 13_000), "more pixels"),
        ("dot.png", bomb(1, 1), "too few"),
        ("empty.png", b"", "not a whole"),
        ("text.jpg", b"time,force\n0,1\n", "not a whole"),
        ("short.png", bomb(400, 400)[:60], "not a whole"),
        ("odd.png", bomb(0, 400), "not a whole|too few"),
        ("film.heic", b"....ftypheic", "JPEG or PNG"),
        ("moving.gif", b"GIF89a", "JPEG or PNG"),
    ],
)
def test_hostile_and_strange_pictures_are_one_sentence(
    tmp_path: Path, name: str, data: bytes, words: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    assert is_picture_name(path)
    with pytest.raises(MediaError, match=words) as said:
        read_photo(path)
    assert name in str(said.value) and "\n" not in str(said.value)


def test_a_picture_that_was_cut_off_or_is_not_there(tmp_path: Path) -> None:
    whole = saved(tmp_path / "a.jpg", Image.effect_noise((900, 700), 60).convert("RGB"))
    whole.write_bytes(whole.read_bytes()[:20_000])
    with pytest.raises(MediaError, match="cut off"):
        read_photo(whole)
    for path in (tmp_path / "none.jpg", tmp_path):
        with pytest.raises(MediaError, match=path.name):
            read_photo(path)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(where=st.integers(0, 2000), put=st.binary(min_size=1, max_size=40))
def test_damaged_bytes_never_raise_anything_else(tmp_path: Path, where: int, put: bytes) -> None:
    for ending in ("png", "jpg", "webp"):
        good = tmp_path / f"good.{ending}"
        if not good.exists():
            saved(good, Image.effect_noise((120, 90), 60).convert("RGB"))
        data = bytearray(good.read_bytes())
        at = where % len(data)
        data[at : at + len(put)] = put
        bad = tmp_path / f"bad.{ending}"
        bad.write_bytes(data)
        try:
            pixels = read_photo(bad)
        except MediaError:
            continue
        assert pixels.ndim == 3 and pixels.shape[2] == 3
