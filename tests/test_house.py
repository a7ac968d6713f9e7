"""The rules of the house: who may import whom, how large things may grow, what must not be said."""

from __future__ import annotations

import ast
import re
import subprocess
from functools import cache
from pathlib import Path
from typing import NamedTuple

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
    # What a coach explains once; it knows no athlete, and so no library.
    "app/shelf": {"app.shelf", "app.submission", "app.review", "app.files", "analysis"},
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
        "app.shelf",
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
    "app/shelf",
    "app/speech",
    "app/submission",
    "app/bundle",
    "app/scene",
    "samples",
)


# Rooms in which no folder may import one that imports it, at any depth; a module directly in a
# folder belongs to that folder. Those that are still to be rearranged are named beside them.
@cache
def modules() -> list[Path]:
    return [p for package in PACKAGES for p in sorted((ROOT / package).rglob("*.py"))]


@cache
def folders() -> list[Path]:
    """Every folder with a module of the house directly in it."""
    return sorted({path.parent for path in modules()})


class Outline(NamedTuple):
    """What the rules ask of a module: the modules and the names it imports, and how large it is."""

    modules: frozenset[str]
    names: frozenset[str]
    lines: int
    functions: tuple[tuple[str, int], ...]
    classes: tuple[tuple[str, int], ...]


@cache
def outline(path: Path) -> Outline:
    """Read a module once for all rules; its tree is not kept, for all of them are large."""
    text = path.read_text("utf-8")
    modules, names, functions, classes = set(), set(), [], []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            modules |= {alias.name for alias in node.names}
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide where a name comes from"
            modules.add(node.module or "")
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            sizes = classes if isinstance(node, ast.ClassDef) else functions
            sizes.append((node.name, (node.end_lineno or 0) - node.lineno))
    lines = len(text.splitlines())
    return Outline(frozenset(modules), frozenset(names), lines, tuple(functions), tuple(classes))


# A test for each folder, not for each module: there are hundreds, and each test costs more to
# set up than a module does to look at. What a rule says names the module.
in_each_folder = pytest.mark.parametrize(
    "folder", folders(), ids=lambda folder: folder.relative_to(ROOT).as_posix()
)


def part_of(path: Path) -> str | None:
    inside = path.relative_to(ROOT).as_posix()
    fits = [part for part in MAY_IMPORT if inside.startswith(part + "/")]
    return max(fits, key=len) if fits else None


def forbidden_imports(path: Path) -> list[str]:
    """What a module imports that its part may not."""
    part = part_of(path)
    if part is None:
        return []  # the commands stand above all parts
    found = []
    for name in sorted(outline(path).modules):
        if name.split(".")[0] in PACKAGES and name != "app":
            allowed = any(name == may or name.startswith(may + ".") for may in MAY_IMPORT[part])
            if not allowed:
                found.append(f"{path.relative_to(ROOT)}: {part} must not import {name}")
        if part in QT_FREE and name.split(".")[0] in QT:
            found.append(f"{path.relative_to(ROOT)}: {part} must not know Qt")
    return found


@in_each_folder
def test_imports_run_one_way(folder: Path) -> None:
    assert [said for path in folder.glob("*.py") for said in forbidden_imports(path)] == []


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
    inside = {name for name in outline(path).names if name.split(".")[0] in PACKAGES}
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


def too_large(path: Path) -> list[str]:
    """What a module has that is longer than it may be, or that it is so itself."""
    here, module = path.relative_to(ROOT), outline(path)
    found = []
    if module.lines > 450:
        found.append(f"{here} has {module.lines} lines; one that long holds more than one thing")
    for most, sizes in ((60, module.functions), (320, module.classes)):
        found += [f"{here}: {name} has {n} lines" for name, n in sizes if n > most]
    return found


@in_each_folder
def test_nothing_grows_too_large(folder: Path) -> None:
    assert [said for path in folder.glob("*.py") for said in too_large(path)] == []


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
        sizes.update(outline(path).classes)
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
