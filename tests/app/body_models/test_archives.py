"""Archives made to do harm."""

import contextlib
import gzip
import io
import struct
import tarfile
import zipfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.body_models import archives
from app.body_models.archives import ArchiveError, read_tar, read_zip

WANTED = {"package/good": 100, "package/other": 100}


def tar_of(path, *members):
    """Write a `.tgz`; a member is a name and bytes, or a TarInfo as it is."""
    with tarfile.open(path, "w:gz") as archive:
        for member in members:
            if isinstance(member, tarfile.TarInfo):
                archive.addfile(member)
            else:
                info = tarfile.TarInfo(member[0])
                info.size = len(member[1])
                archive.addfile(info, io.BytesIO(member[1]))
    return path


def link(name, to, kind):
    info = tarfile.TarInfo(name)
    info.type, info.linkname = kind, to
    return info


def test_only_what_was_asked_for_is_read_and_nothing_written(tmp_path):
    outside = ("../../escaped", b"x"), ("/escaped", b"x"), ("package/../good", b"x")
    path = tar_of(tmp_path / "a.tgz", *outside, ("package/good", b"yes"), ("package/good", b"no"))
    assert read_tar(path, WANTED) == {"package/good": b"yes"}
    assert [p.name for p in tmp_path.iterdir()] == ["a.tgz"]


@pytest.mark.parametrize(
    "kind", [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.CHRTYPE, tarfile.DIRTYPE]
)
def test_a_link_is_not_followed(tmp_path, kind):
    path = tar_of(tmp_path / "a.tgz", link("package/good", "/etc/hostname", kind))
    with pytest.raises(ArchiveError, match="not what it should be"):
        read_tar(path, WANTED)


def test_too_large(tmp_path):
    path = tar_of(tmp_path / "a.tgz", ("package/good", b"x" * 101))
    with pytest.raises(ArchiveError, match="not what it should be"):
        read_tar(path, WANTED)
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("package/good", b"x" * 101)
    with pytest.raises(ArchiveError, match="not what it should be"):
        read_zip(tmp_path / "a.zip", WANTED)


def test_a_bomb_of_other_files_is_not_unpacked_to_its_end(tmp_path, monkeypatch):
    monkeypatch.setattr(archives, "MOST_UNPACKED", 1_000_000)
    path = tar_of(tmp_path / "a.tgz", ("package/ballast", bytes(3_000_000)), ("package/good", b"x"))
    assert path.stat().st_size < 20_000
    with pytest.raises(ArchiveError, match="swells"):
        read_tar(path, WANTED)


def test_too_many_files(tmp_path, monkeypatch):
    monkeypatch.setattr(archives, "MOST_MEMBERS", 3)
    path = tar_of(tmp_path / "a.tgz", *((f"n{k}", b"") for k in range(5)))
    with pytest.raises(ArchiveError, match="too many"):
        read_tar(path, WANTED)
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        for k in range(5):
            archive.writestr(f"n{k}", b"")
    with pytest.raises(ArchiveError, match="too many"):
        read_zip(tmp_path / "a.zip", WANTED)


def test_a_size_that_is_a_lie(tmp_path):
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("package/good", b"x" * 5000)
    data = bytearray((tmp_path / "a.zip").read_bytes())
    entry = data.index(b"PK\x01\x02")
    struct.pack_into("<I", data, entry + 24, 50)
    (tmp_path / "a.zip").write_bytes(data)
    with pytest.raises(ArchiveError):
        read_zip(tmp_path / "a.zip", WANTED)


@pytest.mark.parametrize(
    "data",
    [b"", b"rubbish", gzip.compress(b"rubbish" * 200, mtime=0), b"PK\x03\x04"],
    ids=["nothing", "rubbish", "packed rubbish", "a beginning"],  # the same in every process
)
def test_no_archive(tmp_path, data):
    (tmp_path / "a").write_bytes(data)
    for read in (read_tar, read_zip):
        with contextlib.suppress(ArchiveError):
            assert read(tmp_path / "a", WANTED) == {}
    with pytest.raises(ArchiveError):
        read_zip(tmp_path / "a", WANTED)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.integers(0, 10_000), st.binary(min_size=1, max_size=6))
def test_damage_is_told_as_such(tmp_path, where, change):
    tar = tar_of(tmp_path / "a.tgz", ("package/good", b"fine"), ("package/other", b"also"))
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("package/good", b"fine" * 9)
    for read, path in ((read_tar, tar), (read_zip, tmp_path / "a.zip")):
        data = bytearray(path.read_bytes())
        at = where % len(data)
        data[at : at + len(change)] = change
        path.write_bytes(data)
        try:
            found = read(path, WANTED)
        except ArchiveError:
            continue
        assert set(found) <= set(WANTED)
