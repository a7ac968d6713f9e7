"""The licences of what the application carries, to be handed on with it."""

from __future__ import annotations

import re
from importlib.metadata import Distribution, distribution
from pathlib import Path
from typing import Final

from packaging.requirements import Requirement

_LICENCE: Final = re.compile(r"(^|/)(licen[cs]e|copying|notice|authors)[^/]*$|/licenses/", re.I)


def carried() -> list[Distribution]:
    """What the application needs to run, and what that needs, each once and by name."""
    found: dict[str, Distribution] = {}
    wanted = _needs(distribution("strokeside"), frozenset({"", "pose"}))
    while wanted:
        name = wanted.pop().lower().replace("_", "-")
        if name not in found:
            found[name] = distribution(name)
            wanted |= _needs(found[name], frozenset({""}))
    return [found[name] for name in sorted(found)]


def licence_files() -> list[tuple[str, str]]:
    """Give the licence files as (file, folder in the application)."""
    return [
        (str(path), f"licences/{package.name}")
        for package in carried()
        for file in package.files or ()
        if _LICENCE.search(file.as_posix()) and (path := Path(str(file.locate()))).is_file()
    ]


def _needs(package: Distribution, extras: frozenset[str]) -> set[str]:
    asked = [Requirement(line) for line in package.requires or ()]
    return {
        one.name
        for one in asked
        if one.marker is None or any(one.marker.evaluate({"extra": extra}) for extra in extras)
    }
