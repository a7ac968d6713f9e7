"""What goes into the application, and how it begins."""

from __future__ import annotations

import re
import runpy
import sys
from pathlib import Path

import pytest

from app.packaging import entry
from app.packaging.licences import carried, licence_files, licence_list, not_carried

ROOT = Path(__file__).parents[3]


def test_the_application_can_be_each_child_that_is_started() -> None:
    """A child is started as `python -m MODULE`, and the application stands in for `python`."""
    asked = re.compile(r'sys\.executable, "-m", "(app\.[a-z_.]+)"')
    started = {
        name
        for path in (ROOT / "app").rglob("*.py")
        for name in asked.findall(path.read_text("utf-8"))
    }
    assert started == set(entry.CHILDREN)


def test_it_is_a_child_only_of_those_names(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[str] = []
    monkeypatch.setattr(runpy, "run_module", lambda name, **_: begun.append(name))
    monkeypatch.setattr(sys, "argv", ["strokeside", "-m", entry.CHILDREN[0]])
    assert entry.main() == 0 and begun == [entry.CHILDREN[0]]
    monkeypatch.setattr(sys, "argv", ["strokeside", "-m", "http.server"])
    assert entry.main() == 2 and len(begun) == 1


def test_only_what_is_asked_for_is_carried() -> None:
    names = {package.name.lower() for package in carried()}
    assert {"numpy", "pyside6_essentials", "av", "kiwisolver", "ai-edge-litert"} <= names
    assert not names & {"pytest", "pyinstaller", "mypy", "strokeside"}
    left_out = not_carried()
    assert {"pytest", "PyInstaller", "mypy"} <= set(left_out)
    assert not {"numpy", "PySide6", "cv2", "dateutil", "app", "analysis"} & set(left_out)


def test_each_that_is_carried_is_named_with_its_licence() -> None:
    lines = licence_list().splitlines()
    assert len(lines) == len(carried())
    assert any(line.startswith("numpy ") and "BSD" in line for line in lines)
    with_text = {folder for _file, folder in licence_files()}
    assert {"licences/numpy", "licences/av", "licences/matplotlib"} <= with_text
