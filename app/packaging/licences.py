"""What the application carries of other packages, and their licences, to be handed on with it."""

from __future__ import annotations

import re
from importlib.metadata import (
    Distribution,
    PackageMetadata,
    distribution,
    packages_distributions,
)
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


def not_carried() -> list[str]:
    """Top names of what else is installed here: libraries offer to use it where it is there."""
    ours = {package.name for package in carried()} | {"strokeside"}
    return sorted(
        top for top, packages in packages_distributions().items() if ours.isdisjoint(packages)
    )


def licence_list() -> str:
    """Name each package that is carried, with its version, its licence and where it comes from."""
    return "".join(_line(package) for package in carried())


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


def _told(about: PackageMetadata, field: str) -> str:
    return next(iter(about.get_all(field) or []), "")


def _line(package: Distribution) -> str:
    about = package.metadata
    said = (_told(about, "License-Expression") or _told(about, "License")).splitlines()
    named = [
        line.rsplit("::", 1)[1].strip()
        for line in about.get_all("Classifier") or []
        if line.startswith("License ::")
    ]
    # Some give the whole text there, which begins with a title or a rule.
    short = [line for line in said[:1] if len(said) == 1]
    links = sorted(about.get_all("Project-URL") or [], key=lambda link: "home" not in link.lower())
    where = links[0].partition(", ")[2] if links else _told(about, "Home-page")
    kind = ", ".join(short or named) or "see its files"
    return f"{package.name} {package.version}: {kind}. {where}\n"
