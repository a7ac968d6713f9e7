"""Lists of contents of a .zip that are made to fill the memory, and those of large archives."""

from __future__ import annotations

import struct
import zipfile
from pathlib import Path

import pytest

from app.files.zips import ZipListError, opened_zip

ENTRY = struct.Struct("<IHHHHHHIIIHHHHHII").pack(
    0x02014B50, 20, 20, *[0] * 7, 1, *[0] * 6
)  # a name of one letter


def listing(out: Path, count: int, told: int, place: int = 0) -> Path:
    """A .zip of nothing but a long list, in the form of large archives."""
    names = b"".join(ENTRY + b"%c" % (97 + n % 26) for n in range(count))
    end = struct.pack("<IQHHIIQQQQ", 0x06064B50, 44, 45, 45, 0, 0, told, told, len(names), 0)
    locator = struct.pack("<IIQI", 0x07064B50, 0, len(names) + place, 1)
    last = struct.pack("<IHHHHIIH", 0x06054B50, 0, 0, 65535, 65535, 2**32 - 1, 2**32 - 1, 0)
    out.write_bytes(names + end + locator + last)
    return out


def test_the_list_of_a_large_archive_is_read(tmp_path: Path) -> None:
    with opened_zip(listing(tmp_path / "a.zip", 20, 20), 20, 10_000) as archive:
        assert len(archive.infolist()) == 20


@pytest.mark.parametrize(("told", "place"), [(20, 0), (1, 0), (1, -47), (1, 1)])
def test_one_that_is_too_long_or_told_of_in_two_ways_is_refused(
    tmp_path: Path, told: int, place: int
) -> None:
    path = listing(tmp_path / "a.zip", 20, told, place)
    with pytest.raises(ZipListError), opened_zip(path, 19, 300):
        raise AssertionError("it was opened")


def test_a_genuine_one_of_more_than_can_be_counted_before(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        for number in range(65_600):
            archive.writestr(zipfile.ZipInfo(str(number)), b"")
    with opened_zip(tmp_path / "a.zip", 65_600, 2**23) as archive:
        assert len(archive.infolist()) == 65_600
    with pytest.raises(ZipListError), opened_zip(tmp_path / "a.zip", 65_599, 2**23):
        raise AssertionError("it was opened")
