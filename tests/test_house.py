"""The rules of the house: who may import whom, how large things may grow, what must not be said."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("analysis", "app", "samples")

# What each part may import of the house. Deepest folder wins.
MAY_IMPORT = {
    "analysis": {"analysis"},
    "app/files": {"app.files"},
    "app/body": {"app.body", "app.body_models", "app.media", "app.files", "analysis"},
    "app/body_models": {"app.body_models", "app.files", "analysis.body"},
    "app/prepared": {
        "app.prepared",
        "app.bundle",
        "app.submission",
        "app.review",
        "app.media",
        "app.files",
        "analysis",
        "samples",
    },
    "app/housekeeping": {"app.housekeeping", "app.bundle", "app.files"},
    "app/media": {"app.media", "app.files"},
    "app/review": {"app.review", "app.files", "analysis"},
    # It paints pixels through the one door to the library that does.
    "app/scene": {"app.scene", "app.review", "app.files", "analysis", "app.media.opencv"},
    "app/speech": {"app.speech", "app.review"},
    "app/submission": {
        "app.submission",
        "app.body_models",
        "app.review",
        "app.media",
        "app.files",
        "analysis",
    },
    # Window and commands keep and ask; it knows neither, nor what is sent.
    "app/library": {"app.library", "app.submission", "app.review", "app.files", "analysis"},
    "app/drafts": {
        "app.drafts",
        "app.library",
        "app.body",
        "app.submission",
        "app.review",
        "app.media",
        "app.files",
        "analysis",
    },
    "app/bundle": {
        "app.bundle",
        "app.scene",
        "app.submission",
        "app.review",
        "app.media",
        "app.files",
        "analysis",
    },
    # It knows both what was before and what is sent; window and commands ask it.
    "app/last_time": {
        "app.last_time",
        "app.bundle",
        "app.library",
        "app.submission",
        "app.review",
        "app.files",
        "analysis",
    },
    "app/window": {
        "app.window",
        "app.last_time",
        "app.about",
        "app.body",
        "app.body_models",
        "app.bundle",
        "app.drafts",
        "app.library",
        "app.scene",
        "app.speech",
        "app.submission",
        "app.review",
        "app.media",
        "app.files",
        "analysis",
        "app.prepared",
        "app.housekeeping",
    },
    "samples": {"samples", "analysis", "app.media"},
}
QT = ("PySide6", "pyqtgraph")
QT_FREE = (
    "analysis",
    "app/body",
    "app/drafts",
    "app/files",
    "app/last_time",
    "app/library",
    "app/body_models",
    "app/media",
    "app/review",
    "app/speech",
    "app/submission",
    "app/bundle",
    "app/scene",
    "samples",
)


# Rooms in which no folder may import one that imports it, at any depth; a module directly in a
# folder belongs to that folder. Those that are still to be rearranged are named beside them.
def modules() -> list[Path]:
    return [p for package in PACKAGES for p in sorted((ROOT / package).rglob("*.py"))]


def imports_of(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide where a name comes from"
            names.add(node.module or "")
    return names


def part_of(path: Path) -> str | None:
    inside = path.relative_to(ROOT).as_posix()
    fits = [part for part in MAY_IMPORT if inside.startswith(part + "/")]
    return max(fits, key=len) if fits else None


@pytest.mark.parametrize("path", modules(), ids=lambda p: p.relative_to(ROOT).as_posix())
def test_imports_run_one_way(path: Path) -> None:
    part = part_of(path)
    if part is None:
        return  # the commands stand above all parts
    for name in imports_of(path):
        if name.split(".")[0] in PACKAGES and name != "app":
            allowed = any(name == may or name.startswith(may + ".") for may in MAY_IMPORT[part])
            assert allowed, f"{part} must not import {name}"
        if part in QT_FREE:
            assert name.split(".")[0] not in QT, f"{part} must not know Qt"


def folder_of(name: str) -> str | None:
    """The folder a dotted name lies in: of its module, or the package itself."""
    parts = name.split(".")
    for end in range(len(parts), 0, -1):
        place = ROOT.joinpath(*parts[:end])
        if place.is_dir():
            return place.relative_to(ROOT).as_posix()
        if place.with_suffix(".py").is_file():
            return place.parent.relative_to(ROOT).as_posix()
    return None


def folders_imported(path: Path) -> set[str]:
    """Folders of the house that a module imports from, anywhere in it."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    inside = {name for name in names if name.split(".")[0] in PACKAGES}
    return {folder for folder in map(folder_of, inside) if folder is not None}


def cycle_in(edges: dict[str, set[str]]) -> list[str]:
    """Folders that import each other in a ring, the first again at the end; [] for none."""
    done: set[str] = set()

    def walk(folder: str, way: list[str]) -> list[str]:
        if folder in way:
            return [*way[way.index(folder) :], folder]
        if folder in done:
            return []
        for other in sorted(edges.get(folder, ())):
            found = walk(other, [*way, folder])
            if found:
                return found
        done.add(folder)
        return []

    return next((ring for folder in sorted(edges) if (ring := walk(folder, []))), [])


def test_a_ring_of_folders_is_found() -> None:
    assert cycle_in({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b", "c", "b"]
    assert cycle_in({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def test_no_folder_imports_one_that_imports_it() -> None:
    """A folder and those in it are folders of their own; imports for types count too."""
    edges: dict[str, set[str]] = {}
    for path in modules():
        here = path.parent.relative_to(ROOT).as_posix()
        edges.setdefault(here, set()).update(folders_imported(path) - {here})
    assert cycle_in(edges) == []


@pytest.mark.parametrize("path", modules(), ids=lambda p: p.relative_to(ROOT).as_posix())
def test_nothing_grows_too_large(path: Path) -> None:
    text = path.read_text("utf-8")
    assert len(text.splitlines()) <= 450, "a file that long holds more than one thing"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            length = (node.end_lineno or 0) - node.lineno
            most = 320 if isinstance(node, ast.ClassDef) else 60
            assert length <= most, f"{node.name} has {length} lines"


def test_no_room_is_crowded() -> None:
    """A newcomer finds the place of a change from the names of folders."""
    for folder in {path.parent for path in modules()}:
        count = len(list(folder.glob("*.py")))
        assert count <= 40, f"{folder.relative_to(ROOT)} holds {count} modules; give it rooms"


def test_no_feature_imports_another() -> None:
    features = ROOT / "app" / "window" / "features"
    for path in features.rglob("*.py"):
        own = path.relative_to(features).parts[0]
        for folder in folders_imported(path):
            inside = folder.removeprefix("app/window/features/")
            assert inside == folder or inside.split("/")[0] == own, f"{path.name} imports {folder}"


def test_the_main_window_knows_no_feature_by_name() -> None:
    for path in (ROOT / "app" / "window" / "main_window.py", *_rooms_below_features()):
        assert not any(f.startswith("app/window/features") for f in folders_imported(path)), path


def _rooms_below_features() -> list[Path]:
    window = ROOT / "app" / "window"
    rooms = ("actions", "session", "sound", "tasks", "views", "widgets")
    return [path for room in rooms for path in (window / room).rglob("*.py")]


def test_the_main_window_is_not_the_biggest_class() -> None:
    sizes = {}
    for path in (ROOT / "app" / "window").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ClassDef):
                sizes[node.name] = (node.end_lineno or 0) - node.lineno
    assert max(sizes, key=lambda name: sizes[name]) != "MainWindow"


def test_no_path_of_a_machine_is_committed() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert listed
    home = re.compile(r"(^|[^A-Za-z0-9_.])/(home|root|work|mnt)/[A-Za-z_.]")
    for name in listed:
        path = ROOT / name
        if path.suffix in {".py", ".md", ".toml", ".html", ".json", ".csv"} and path.is_file():
            assert not home.search(path.read_text("utf-8")), name
