"""A new kind of thing is one module and its name in one list: no other file need know it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
HELPERS = ROOT / "tests" / "helpers"


def house_with_landmarks(folder: Path) -> None:
    """Copy what the document needs, add one module, and name it in the list."""
    without = shutil.ignore_patterns("__pycache__")
    for part in ("app/files", "app/review", "analysis"):
        shutil.copytree(ROOT / part, folder / part, ignore=without)
    shutil.copyfile(ROOT / "app" / "__init__.py", folder / "app" / "__init__.py")
    shutil.copyfile(HELPERS / "landmarks.py", folder / "app/review/parts/landmarks.py")
    listed = folder / "app" / "review" / "parts" / "state.py"
    text = listed.read_text("utf-8")
    imported, named = (
        "from app.review.parts.walkthroughs import Walkthroughs\n",
        "    Walkthroughs,\n",
    )
    assert text.count(imported) == text.count(named) == 1
    text = text.replace(imported, f"from app.review.parts.landmarks import Landmarks\n{imported}")
    listed.write_text(text.replace(named, f"{named}    Landmarks,\n"), "utf-8")


def test_a_kind_nobody_heard_of_is_saved_merged_retimed_undone_and_salvaged(tmp_path: Path) -> None:
    house_with_landmarks(tmp_path / "house")
    (tmp_path / "work").mkdir()
    trial = subprocess.run(
        [sys.executable, HELPERS / "landmarks_trial.py", tmp_path / "work"],
        env={**os.environ, "PYTHONPATH": str(tmp_path / "house")},
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert trial.returncode == 0, trial.stderr


def test_nothing_but_the_list_names_a_part_of_the_trial() -> None:
    naming = [p for p in (ROOT / "app").rglob("*.py") if "andmarks" in p.name]
    assert naming == [], "the trial needs a kind that does not exist"
