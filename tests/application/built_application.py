"""The built application, away from the sources: opens the sample, answers, closes, writes a bundle.

Not collected by itself; `./start application --check` builds the application and runs this with its
folder in STROKESIDE_APPLICATION.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 240  # on a machine with a great deal of other work
REVIEW = Path("home/.local/share/strokeside/sample/sample.review")


@pytest.fixture(scope="module")
def away(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a copy of the application under another name, and an empty home."""
    folder = tmp_path_factory.mktemp("away")
    shutil.copytree(os.environ["STROKESIDE_APPLICATION"], folder / "as it was unpacked")
    (folder / "home").mkdir()
    return folder


@pytest.fixture(scope="module")
def environment(away: Path) -> dict[str, str]:
    """Nothing of who runs the check: no Python of theirs, no settings, no home."""
    return {"HOME": str(away / "home"), "PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"}


@pytest.fixture(scope="module")
def screen(environment: dict[str, str]) -> Iterator[dict[str, str]]:
    """A screen of its own; the environment that names it."""
    answer, told = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(told), "-screen", "0", "1280x800x24", "-nolisten", "tcp"],
        pass_fds=[told], stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(told)
    with os.fdopen(answer) as said:
        number = said.readline().strip()
    yield environment | {"DISPLAY": f":{number}", "QT_QPA_PLATFORM": "xcb"}
    server.terminate()
    server.wait()


def run(away: Path, environment: dict[str, str], *words: str) -> str:
    said = subprocess.run(
        [away / "as it was unpacked" / "strokeside", *words],
        cwd=away, env=environment, capture_output=True, text=True, timeout=PATIENCE_S,
    )  # fmt: skip
    assert said.returncode == 0, said.stderr
    return said.stdout


def test_it_says_its_version(away: Path, environment: dict[str, str]) -> None:
    assert run(away, environment, "--version").startswith("strokeside ")


def window(screen: dict[str, str], name: str) -> str:
    """Wait until a window of that name is seen; its number."""
    found = subprocess.run(
        ["xdotool", "search", "--sync", "--onlyvisible", "--name", name],
        env=screen, capture_output=True, text=True, timeout=PATIENCE_S, check=True,
    )  # fmt: skip
    return found.stdout.split()[0]


def wait_until_gone(screen: dict[str, str], name: str) -> None:
    """Wait until no window of that name is seen."""
    until = time.monotonic() + PATIENCE_S
    look = ["xdotool", "search", "--onlyvisible", "--name", name]
    while subprocess.run(look, env=screen, capture_output=True).stdout.strip():
        assert time.monotonic() < until, f"{name} does not go"


def press(screen: dict[str, str], number: str, key: str) -> None:
    for words in (["windowfocus", number], ["key", key]):
        subprocess.run(["xdotool", *words], env=screen, check=True, timeout=PATIENCE_S)


def _with_children(number: int) -> set[int]:
    found = {number}
    for task in Path(f"/proc/{number}/task").iterdir():
        for child in (task / "children").read_text().split():
            found |= _with_children(int(child))
    return found


def _mapped(number: int) -> set[str]:
    lines = Path(f"/proc/{number}/maps").read_text().splitlines()
    return {line.split(maxsplit=5)[5] for line in lines if line.count("/")}


def test_the_window_opens_the_sample_answers_and_closes(away: Path, screen: dict[str, str]) -> None:
    program = away / "as it was unpacked" / "strokeside"
    bench = subprocess.Popen([program], cwd=away, env=screen)
    try:
        number = window(screen, r"^sample\.review")
        processes = _with_children(bench.pid)
        assert len(processes) > 1, "its own child processes have begun"
        elsewhere = [ROOT / name for name in ("analysis", "app", "samples", ".venv")]
        elsewhere += [p for p in map(Path, (sys.prefix, sys.base_prefix)) if p != Path("/usr")]
        for file in set().union(*map(_mapped, processes)):
            assert not any(Path(file).is_relative_to(folder) for folder in elsewhere), file
        press(screen, number, "F1")
        window(screen, "^Keyboard shortcuts$")
        press(screen, window(screen, "^Keyboard shortcuts$"), "Escape")
        wait_until_gone(screen, "^Keyboard shortcuts$")
        press(screen, number, "ctrl+q")
        assert bench.wait(PATIENCE_S) == 0
    finally:
        bench.kill()
        bench.wait()
    assert (away / REVIEW).is_file()


def test_it_writes_the_bundle_of_that_review(away: Path, environment: dict[str, str]) -> None:
    run(away, environment, "bundle", str(REVIEW), "-o", "feedback")
    page = (away / "feedback" / "index.html").read_text("utf-8")
    assert "Sample submission" in page
    assert list((away / "feedback" / "curves").glob("*.png"))


def test_it_stands_in_the_menu_when_asked(away: Path, environment: dict[str, str]) -> None:
    folder = away / "as it was unpacked"
    subprocess.run([folder / "add-to-menu.sh"], env=environment, check=True, capture_output=True)
    entry = (away / "home/.local/share/applications/strokeside.desktop").read_text()
    assert f'Exec="{folder}/strokeside" %F' in entry.splitlines()
    assert f"Icon={folder}/strokeside.svg" in entry.splitlines()
    assert (folder / "LICENCES.txt").read_text("utf-8").count("\n") > 20
