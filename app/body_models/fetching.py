"""Fetching the networks once, checked before they are kept."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Final

from app.body_models.archives import ArchiveError
from app.body_models.sources import FetchError, Runner, Source, npm_here, run, sources
from app.body_models.weights import (
    ALL,
    HEAVY,
    LICENCE,
    NEEDED,
    NOTICE,
    Weight,
    is_here,
    is_weight,
    models_folder,
)
from app.files import atomic

AGAIN: Final = "“python -m app.body_models” tries again"


@dataclass(frozen=True)
class Outcome:
    """How it went.

    Attributes
    ----------
    usable : whether body points can be found automatically now
    complete : whether the best network is here too
    fetched : whether anything new came
    sentence : what to tell the user
    why : what was in the way, "" for nothing
    """

    usable: bool
    complete: bool
    fetched: bool
    sentence: str
    why: str = ""


def fetch_models(
    folder: Path | None = None, ways: Sequence[Source] | None = None, runner: Runner = run
) -> Outcome:
    """Bring what is missing; what is here is never touched. Fails with a sentence, never an error.

    Parameters
    ----------
    folder : where to keep the networks; None for the user's own
    ways : packages to try in turn; None for those there are
    runner : starts the client of a registry
    """
    folder = models_folder() if folder is None else folder
    missing = [weight for weight in ALL if not is_here(weight, folder)]
    troubles = []
    for way in sources(npm_here()) if ways is None and missing else ways or ():
        if not missing:
            break
        try:
            with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as work:
                brought = way.fetch(Path(work), runner)
            _keep(_checked(brought, missing), way.package, folder)
        except (FetchError, ArchiveError) as error:
            troubles.append(f"{way.package}: {error}")
        except OSError as error:
            troubles.append(f"{way.package}: {(error.strerror or str(error)).lower()}")
        missing, before = [w for w in missing if not is_here(w, folder)], missing
        if all(weight not in missing for weight in NEEDED) and len(missing) < len(before):
            return _told(missing, True, troubles)
    return _told(missing, False, troubles)


def _checked(brought: Mapping[Weight, bytes], missing: Sequence[Weight]) -> dict[Weight, bytes]:
    """Give what is missing of what was brought; all of that must be as published."""
    wrong = [weight.name for weight, data in brought.items() if not is_weight(data, weight)]
    if wrong:
        raise FetchError(f"{' and '.join(wrong)} in it is not the published one and was not kept")
    new = {weight: data for weight, data in brought.items() if weight in missing}
    if not new:
        raise FetchError("it does not hold what is missing")
    return new


def _keep(new: Mapping[Weight, bytes], package: str, folder: Path) -> None:
    """Write the licence first, then the networks, each whole or not at all."""
    folder.mkdir(parents=True, exist_ok=True)
    licence = files("app.body_models").joinpath("apache-2.0.txt").read_bytes()
    atomic.write(folder / LICENCE, licence)
    atomic.write(
        folder / NOTICE,
        (
            "The .tflite files in this folder find people and body points in pictures. They are\n"
            f"the work of the MediaPipe authors, taken unchanged from the package {package},\n"
            "which is under the Apache License, Version 2.0 (LICENSE.txt).\n"
        ).encode(),
    )
    for weight, data in new.items():
        atomic.write(folder / weight.name, data)


def _told(missing: Sequence[Weight], fetched: bool, troubles: Sequence[str]) -> Outcome:
    usable = not any(weight in missing for weight in NEEDED)
    why = f" ({'; '.join(troubles)})" if troubles else ""
    if not missing:
        said = "The body models are here."
    elif usable:
        said = (
            "The body models are here but for the best one, so points are less exact and no "
            f"doubt is shown{why}; {AGAIN}."
        )
    else:
        said = (
            f"The body models could not be fetched{why}; everything else works, body points can "
            f"be placed by hand, and {AGAIN}."
        )
    return Outcome(usable, HEAVY not in missing, fetched, said, "; ".join(troubles))
