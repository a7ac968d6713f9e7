"""Building the application: a folder that runs by itself, and the archive that is handed out."""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
import tarfile
from pathlib import Path
from typing import Final

from app.about import VERSION
from app.packaging.licences import licence_list

ROOT: Final = Path(__file__).resolve().parents[2]
OUT: Final = ROOT / "out" / "application"
_BESIDE: Final = ("strokeside.desktop", "strokeside.svg", "add-to-menu.sh", "READ-ME-FIRST.txt")


def build(out: Path = OUT) -> Path:
    """Build the application for the system this runs on.

    Parameters
    ----------
    out : the folder for it; what was built there before is replaced

    Returns
    -------
    Path
        The folder of the application (`strokeside`, or `Strokeside.app` on macOS).

    Raises
    ------
    subprocess.CalledProcessError
        The builder failed; it has said why.
    """
    spec = ROOT / "app" / "packaging" / "strokeside.spec"
    work = out / "work"
    # Its own cache: nothing is left outside `out`.
    environment = os.environ | {"PYINSTALLER_CONFIG_DIR": str(work / "cache")}
    command = [sys.executable, "-m", "PyInstaller", "--noconfirm", "--log-level", "WARN"]
    command += ["--distpath", str(out), "--workpath", str(work), str(spec)]
    subprocess.run(command, cwd=ROOT, env=environment, check=True)
    if platform.system() == "Darwin":
        return out / "Strokeside.app"
    made = out / "strokeside"
    (made / "LICENCES.txt").write_text(licence_list(), "utf-8")
    if platform.system() == "Linux":
        for name in _BESIDE:
            shutil.copy(Path(__file__).with_name("linux") / name, made)
    return made


def pack(made: Path) -> Path:
    """Put the application into one archive beside it, with its version and system in the name."""
    kind = f"strokeside-{VERSION}-{platform.system().lower()}-{platform.machine().lower()}"
    archive = made.parent / kind
    if platform.system() == "Windows":
        return Path(shutil.make_archive(str(archive), "zip", made.parent, made.name))
    target = archive.with_name(f"{kind}.tar.gz")
    with tarfile.open(target, "w:gz", compresslevel=6) as file:
        file.add(made, made.name)
    return target


def main() -> int:
    """Build and pack, and say where; returns the exit status."""
    made = build()
    if "--no-archive" in sys.argv[1:]:
        sys.stdout.write(f"{made}\n")
        return 0
    archive = pack(made)
    sys.stdout.write(f"{archive} ({archive.stat().st_size / 2**20:.0f} MB)\n")
    return 0
