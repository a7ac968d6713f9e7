"""The command `shelf`: the explanations a coach keeps, over the same file as the window."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.answer import Answer
from app.commands.tables import table

if TYPE_CHECKING:
    from app.shelf.store import Shelf


def shelf(options: argparse.Namespace) -> Answer:
    """Do one of the things that can be done with the shelf."""
    answer: Answer = options.part(options)
    return answer


def add_options(command: argparse.ArgumentParser) -> None:
    """Options of `shelf` and of each of its parts."""
    parts = command.add_subparsers(title="what to do", metavar="WHAT", required=True)
    listing = parts.add_parser("list", help="list what is kept", allow_abbrev=False)
    listing.add_argument("--finding", metavar="CODE", help="only what is offered for this finding")
    writing = parts.add_parser("export", help="write all of it into one file", allow_abbrev=False)
    writing.add_argument("-o", "--output", type=Path, required=True, metavar="ZIP")
    taking = parts.add_parser("import", help="take in what such a file holds", allow_abbrev=False)
    taking.add_argument("file", type=Path, metavar="ZIP")
    for part, job in ((listing, _list), (writing, _export), (taking, _import)):
        part.add_argument("--shelf", type=Path, metavar="FILE", help="another shelf than your own")
        part.add_argument("--json", action="store_true", help="answer as JSON")
        part.set_defaults(part=job)


def _opened(options: argparse.Namespace) -> Shelf:
    from app.files.user_folders import data_folder
    from app.shelf.store import FILE_NAME, Shelf

    return Shelf(options.shelf or data_folder() / FILE_NAME)


def _list(options: argparse.Namespace) -> Answer:
    listed = _opened(options).listed()
    kept = listed.kept if options.finding is None else listed.of(options.finding)
    data = [
        {
            "id": one.id,
            "title": one.title,
            "findings": list(one.codes),
            "cue": one.cue,
            "drill": one.drill,
            "dose": one.dose,
            "voice_s": None if one.voice is None else round(one.voice.length_s, 3),
            "marks": len(one.marks) + len(one.curve_marks),
            "reference": None if one.stroke is None else one.stroke.reference_id,
            "kept_on": one.kept_on,
        }
        for one in kept
    ]
    rows = [(one.title, ", ".join(one.codes), one.holds, one.kept_on) for one in kept]
    text = table(("explanation", "offered for", "holds", "kept"), rows)
    nothing = "Nothing is kept; choose Keep this explanation in the Note menu of the window."
    lines = (text if rows else nothing, *listed.problems)
    return Answer({"explanations": data, "problems": list(listed.problems)}, "\n".join(lines))


def _export(options: argparse.Namespace) -> Answer:
    from app.shelf.exchange import export_shelf

    count = export_shelf(_opened(options), options.output)
    said = f"{count} {'explanation' if count == 1 else 'explanations'} in {options.output.name}."
    return Answer({"file": str(options.output), "explanations": count}, said)


def _import(options: argparse.Namespace) -> Answer:
    from app.shelf.exchange import import_shelf

    came = import_shelf(_opened(options), options.file)
    said = f"{came.new} came, {came.known} were there already."
    return Answer({"new": came.new, "known": came.known}, said)
