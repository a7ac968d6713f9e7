"""The copy of a film that cannot be stepped through: private, and gone with its process."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from app.files import alive, cleaning
from app.files.private import private_folder
from app.media.video import VideoFile
from tests.helpers.lock_systems import child, kill

REPACK = """
from app.media import repack
copy = repack._copy_packets
def stops_there(*asked):
    copy(*asked)
    print("ready", flush=True)
    sys.stdin.read()
repack._copy_packets = stops_there
repack.open_steppable(sys.argv[1])
"""


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr(tempfile, "tempdir", None)
    monkeypatch.setattr(alive, "_life", None)


def test_killed_in_the_middle_of_a_repack_the_copy_goes_at_the_next_start(
    clip: Callable[[str], Path],
) -> None:
    other = child("own", REPACK, str(clip("ts")))
    try:
        (left,) = private_folder().glob("*.mp4")
        os.utime(left, (1.0, 1.0))
        cleaning.at_start()
        assert left.exists()  # somebody is still at it
        assert stat.S_IMODE(left.stat().st_mode) == 0o600
    finally:
        kill(other)
    with VideoFile.open(clip("ts")) as video:
        assert video.temporary is not None
        os.utime(video.temporary, (1.0, 1.0))
        cleaning.at_start()
        assert not left.exists()
        assert video.temporary.exists()


def test_without_a_private_folder_the_recording_itself_serves(
    clip: Callable[[str], Path], tmp_path: Path
) -> None:
    (tmp_path / f"strokeside-{os.geteuid()}").symlink_to(tmp_path)
    with VideoFile.open(clip("ts")) as video:
        assert video.temporary is None and len(video.index) > 0
