"""Fetch the body models from the command line: `python -m app.body_models [--quiet]`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from analysis.body.detecting.network import can_run
from app.body_models.fetching import fetch_models


def main(argv: Sequence[str] | None = None) -> int:
    """Fetch what is missing; 0 where body points can be found automatically then, else 1."""
    parser = argparse.ArgumentParser(
        prog="python -m app.body_models",
        description="Fetch the networks that find body points, once, into the user's data folder.",
    )
    parser.add_argument("--quiet", action="store_true", help="speak only of what did not work")
    quiet = parser.parse_args(argv).quiet
    if not can_run():
        if not quiet:
            _say(
                "The package ai-edge-litert, which runs the body models, is not installed or not "
                "made for this system; points can be placed by hand."
            )
        return 1
    outcome = fetch_models()
    if not quiet or not outcome.complete or not outcome.usable:
        _say(outcome.sentence)
    return 0 if outcome.usable else 1


def _say(sentence: str) -> None:
    sys.stderr.write(sentence + "\n")


if __name__ == "__main__":
    sys.exit(main())
