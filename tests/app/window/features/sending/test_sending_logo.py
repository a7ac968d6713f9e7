"""The coach's name and logo: any picture, a hostile one too, and back in the next review."""

from __future__ import annotations

import json
import struct
import zlib
from pathlib import Path

import pytest
from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QColor, QImage, QImageWriter
from PySide6.QtTest import QTest

from app.bundle.wording.errors import BundleError
from app.review.parts.sending import SetSending
from app.window.features.sending.sending import Sending
from app.window.features.sending.sending_logo import HIGHEST_PX, WIDEST_PX, logo_from
from app.window.features.sending.sending_panel import SendingPanel
from app.window.main_window import MainWindow
from app.window.session.settings import Settings


def picture(path: Path, width: int, height: int, form: str = "png") -> Path:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor("#0072b2"))
    image.setText("Author", "Somebody in particular")
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    assert QImageWriter(buffer, QByteArray(form.encode())).write(image)
    path.write_bytes(bytes(data.data()))
    return path


def test_name_and_logo_come_back_in_the_next_review(
    panel: SendingPanel, noted: MainWindow, tmp_path: Path
) -> None:
    QTest.keyClicks(panel.details.coach, "Kim")
    noted[Sending].use_logo(logo_from(picture(tmp_path / "l.png", 20, 10)))
    first = noted.session.state.sending
    assert first.logo_id
    noted.session.do(SetSending(coach="", logo_id=""))
    noted[Sending].take_remembered()
    again = noted.session.state.sending
    assert (again.coach, again.logo_id) == ("Kim", first.logo_id)
    assert noted.session.review is not None
    assert noted.session.review.logo()


def test_settings_of_another_hand_are_survived(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    path.write_text(json.dumps({"coach": 3, "language": "../x"}), "utf-8")
    assert (Settings(path).coach, Settings(path).language) == ("3", "en")


@pytest.mark.parametrize("form", ["png", "jpeg", "bmp", "webp"])
def test_any_picture_becomes_a_small_logo_with_nothing_but_pixels(
    tmp_path: Path, form: str
) -> None:
    path = picture(tmp_path / "logo of Jane.dat", 2000, 300, form)
    _, png = logo_from(path)
    logo = QImage.fromData(png)
    assert (logo.width(), logo.height()) == (WIDEST_PX, round(300 * WIDEST_PX / 2000))
    assert logo.height() <= HIGHEST_PX
    assert len(png) < 20_000
    assert b"Somebody" not in png
    kinds = chunks(png)
    assert set(kinds) <= {b"IHDR", b"PLTE", b"tRNS", b"sRGB", b"gAMA", b"cHRM", b"IDAT", b"IEND"}
    assert logo_from(path)[1] == png


def chunks(png: bytes) -> list[bytes]:
    found, at = [], 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        found.append(png[at + 4 : at + 8])
        at += 12 + length
    return found


def bomb() -> bytes:
    """A PNG of a few bytes that says it is 60000 by 60000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    rows = zlib.compress(b"\0" * 1_000_000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.qt_log_ignore("JPEG", extend=True)
@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a",
        b"\x89PNG\r\n\x1a\n" + b"\0" * 50,
        bomb(),
        b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>',
        b"\xff\xd8\xff\xe0" + b"\0" * 9,
    ],
    ids=["empty", "cut", "no head", "too many pixels", "drawing", "damaged"],
)
def test_a_hostile_logo_is_one_sentence(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "logo.png"
    path.write_bytes(data)
    with pytest.raises(BundleError) as caught:
        logo_from(path)
    assert "\n" not in str(caught.value)
    assert "logo" in str(caught.value)
    with pytest.raises(BundleError):
        logo_from(tmp_path / "gone.png")
